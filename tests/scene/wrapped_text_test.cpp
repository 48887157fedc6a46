#include "scene/wrapped_text.h"

#include <gtest/gtest.h>

namespace bight::scene {
namespace {

using Lines = std::vector<std::string>;

/// A stand-in for a font: one unit a character.
Lines wrapped(const std::string& text, double width) {
  return wrapped_text(text, width,
                      [](const std::string& line) { return static_cast<double>(line.size()); });
}

TEST(WrappedText, ASentenceThatFitsIsOneLine) {
  EXPECT_EQ(wrapped("no length works", 15.0), Lines{"no length works"});
  EXPECT_EQ(wrapped("", 15.0), Lines{""});
}

TEST(WrappedText, LinesBreakAtTheLastSpaceThatFits) {
  EXPECT_EQ(wrapped("it has to be at least 2029 mm", 12.0),
            (Lines{"it has to be", "at least", "2029 mm"}));
}

TEST(WrappedText, AWordThatIsTooLongHasALineOfItsOwn) {
  EXPECT_EQ(wrapped("the counterweight hangs", 8.0), (Lines{"the", "counterweight", "hangs"}));
}

}  // namespace
}  // namespace bight::scene
