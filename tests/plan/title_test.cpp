#include "plan/title.h"

#include <gtest/gtest.h>

namespace bight::plan {
namespace {

TEST(Title, IsTheNameAndWhatItIsAbout) {
  const Title title = title_of("format = 1\nname = \"Table mill\"\nabout = \"One chain.\"\n");
  EXPECT_EQ(title.name, "Table mill");
  EXPECT_EQ(title.about, "One chain.");
}

TEST(Title, IsEmptyWhereTheTextSaysNothing) {
  EXPECT_EQ(title_of("format = 1\n").name, "");
  EXPECT_EQ(title_of("this is no plan").about, "");
}

}  // namespace
}  // namespace bight::plan
