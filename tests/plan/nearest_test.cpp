#include "plan/nearest.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace bight::plan {
namespace {

TEST(EditDistance, CountsLettersPutInTakenOutChangedAndSwapped) {
  EXPECT_EQ(edit_distance("diameter", "diameter"), 0);
  EXPECT_EQ(edit_distance("diamter", "diameter"), 1);
  EXPECT_EQ(edit_distance("diameeter", "diameter"), 1);
  EXPECT_EQ(edit_distance("diamater", "diameter"), 1);
  EXPECT_EQ(edit_distance("daimeter", "diameter"), 1);
  // The usual example of textbooks: two changes and one letter put in.
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3);
  EXPECT_EQ(edit_distance("", "abc"), 3);
}

TEST(EditDistance, IsTheSameBothWaysAndKeepsTheTriangleOfSingleSlips) {
  const std::vector<std::string> words = {"pitch", "pithc", "ptich", "pitches", "patch", ""};
  for (const auto& a : words) {
    for (const auto& b : words) {
      EXPECT_EQ(edit_distance(a, b), edit_distance(b, a)) << a << " " << b;
      // Never more than writing the longer word anew.
      EXPECT_LE(edit_distance(a, b), static_cast<int>(std::max(a.size(), b.size())));
    }
  }
}

TEST(EditDistance, TakesLettersOfEitherCaseAsEqual) {
  EXPECT_EQ(edit_distance("Gantry", "gantry"), 0);
}

TEST(Nearest, FindsTheWordThatWasMeant) {
  EXPECT_EQ(nearest("lenght", {"width", "length", "height"}), "length");
  EXPECT_EQ(nearest("Gantrey", {"head", "gantry"}), "gantry");
}

TEST(Nearest, SaysNothingWhenNothingIsNear) {
  EXPECT_EQ(nearest("spindle", {"ground", "gantry", "head"}), "");
  EXPECT_EQ(nearest("x", {"in"}), "");
  EXPECT_EQ(nearest("anything", {}), "");
}

TEST(Nearest, DoesNotSpendTimeOnHostileWords) {
  EXPECT_EQ(nearest(std::string(1'000'000, 'a'), {"length"}), "");
}

}  // namespace
}  // namespace bight::plan
