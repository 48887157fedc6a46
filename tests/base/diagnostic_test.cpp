#include "base/diagnostic.h"

#include <gtest/gtest.h>

namespace bight {
namespace {

TEST(Diagnostic, TextNamesPlaceFoundAndAllowed) {
  Diagnostics all;
  all.error({"a.toml", 3, 7}, "pitch is out of range", "-2 mm", "more than 0 mm");
  EXPECT_EQ(to_text(all.items().front()),
            "a.toml:3:7: error: pitch is out of range; found -2 mm; allowed: more than 0 mm");
}

TEST(Diagnostic, WarningsAndNotesAreNoErrors) {
  Diagnostics all;
  all.warning({}, "thin");
  all.note({}, "by the way");
  EXPECT_FALSE(all.has_errors());
  all.error({}, "bad");
  EXPECT_TRUE(all.has_errors());
  EXPECT_EQ(to_text(all.items()[0]), "warning: thin");
  EXPECT_EQ(to_text(all.items()[1]), "note: by the way");
}

}  // namespace
}  // namespace bight
