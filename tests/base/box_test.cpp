#include "base/box.h"

#include <gtest/gtest.h>

namespace bight {
namespace {

TEST(Box, TheDefaultIsEmptyAndGrowsToThePointsGiven) {
  Box box;
  EXPECT_TRUE(box.empty());
  box.extend(Vec3(1.0, 2.0, 3.0));
  EXPECT_FALSE(box.empty());
  EXPECT_EQ(box.size(), Vec3(0.0));
  box.extend(Vec3(-1.0, 4.0, 3.0));
  EXPECT_EQ(box.center(), Vec3(0.0, 3.0, 3.0));
}

TEST(Box, TouchingBoxesOverlapAndEmptyOnesNever) {
  const Box a{Vec3(0.0), Vec3(1.0)};
  EXPECT_TRUE(overlap(a, translated(a, Vec3(1.0, 0.0, 0.0))));
  EXPECT_FALSE(overlap(a, translated(a, Vec3(1.001, 0.0, 0.0))));
  EXPECT_TRUE(overlap(a, translated(grown(a, 0.01), Vec3(1.001, 0.0, 0.0))));
  EXPECT_FALSE(overlap(a, Box{}));
}

TEST(Box, ABoxWithNotANumberCountsAsEmpty) {
  EXPECT_TRUE((Box{Vec3(std::nan("")), Vec3(1.0)}.empty()));
}

}  // namespace
}  // namespace bight
