#include "clearance/zonotope.h"

#include <gtest/gtest.h>

#include <vector>

namespace bight::clearance {
namespace {

Zonotope zonotope_of(const Travel& travel) {
  Zonotope z;
  z.assign(travel);
  return z;
}

/// Translation of the pose that pose_at gives for the coefficients s.
Vec3 translation_at(const Travel& travel, const std::vector<double>& s) {
  Pose pose;
  pose_at(zonotope_of(travel), travel, s, pose);
  return translation(travel, pose);
}

Vec3 point_of(const Zonotope& z, const std::vector<double>& s) {
  Vec3 p = z.center;
  for (std::size_t k = 0; k < s.size(); ++k) p += s[k] * z.generators[k];
  return p;
}

TEST(Zonotope, NoAxesGiveTheOrigin) {
  const Zonotope z = zonotope_of({});
  EXPECT_TRUE(z.generators.empty());
  EXPECT_EQ(z.center, Vec3(0.0));
}

TEST(Zonotope, AxesAreHalfTheirTravelAboutItsMiddle) {
  const Zonotope z = zonotope_of({{Vec3(2, 0, 0), -1.0, 5.0}, {Vec3(0, 1, 1), 10.0, 20.0}});
  ASSERT_EQ(z.generators.size(), 2U);
  EXPECT_EQ(z.generators[0], Vec3(6, 0, 0));
  EXPECT_EQ(z.generators[1], Vec3(0, 5, 5));
  EXPECT_EQ(z.center, Vec3(4, 15, 15));
}

TEST(Zonotope, AxesThatDoNotMoveGiveNoGeneratorButTheirPlace) {
  const Zonotope z = zonotope_of(
      {{Vec3(0.0), -100.0, 100.0}, {Vec3(0, 3, 0), 7.0, 7.0}, {Vec3(1, 0, 0), 0.0, 0.0}});
  EXPECT_TRUE(z.generators.empty());
  EXPECT_EQ(z.center, Vec3(0, 21, 0));
}

TEST(Zonotope, ParallelAndOpposedAxesAreOneGenerator) {
  const Travel travel{{Vec3(0.1, 0.2, 0.3), 0.0, 10.0},
                      {Vec3(-0.3, -0.6, -0.9), -2.0, 4.0},
                      {Vec3(0.05, 0.1, 0.15), 1.0, 2.0}};
  const Zonotope z = zonotope_of(travel);
  ASSERT_EQ(z.generators.size(), 1U);
  // 5 + 3 * 3 + 0.5 * 0.5 times the first direction.
  EXPECT_LE(glm::distance(z.generators[0], 14.25 * Vec3(0.1, 0.2, 0.3)), 1e-14);
  for (const double s : {-1.0, -0.3, 0.0, 1.0}) {
    EXPECT_LE(glm::distance(translation_at(travel, {s}), point_of(z, {s})), 1e-13);
  }
}

TEST(Zonotope, PosesStayWithinTheirTravelAndMoveAsTheCoefficientsSay) {
  const Travel travel{{Vec3(1, 0.5, 0), -1.0, 3.0},
                      {Vec3(0.0), 2.0, 9.0},
                      {Vec3(0, 1, 0.5), 0.25, 0.5},
                      {Vec3(0, 0, 1), 4.0, 4.0}};
  const Zonotope z = zonotope_of(travel);
  ASSERT_EQ(z.generators.size(), 2U);
  for (const std::vector<double>& s : {std::vector{1.0, -1.0}, {0.2, 0.9}, {-1.0, 1.0}}) {
    Pose pose;
    pose_at(z, travel, s, pose);
    for (std::size_t i = 0; i < travel.size(); ++i) {
      EXPECT_GE(pose[i], travel[i].lower);
      EXPECT_LE(pose[i], travel[i].upper);
    }
    EXPECT_LE(glm::distance(translation(travel, pose), point_of(z, s)), 1e-13);
  }
}

TEST(Zonotope, RoundingGrowsWithTheCoordinates) {
  const Zonotope small = zonotope_of({{Vec3(1, 0, 0), 0.0, 1.0}});
  const Zonotope large = zonotope_of({{Vec3(1, 0, 0), 1e6, 1e6 + 1}});
  EXPECT_GT(small.rounding, 0.0);
  EXPECT_LT(small.rounding, 1e-13);
  EXPECT_GT(large.rounding, 1e5 * small.rounding);
  EXPECT_LT(large.rounding, 1e-7);
}

}  // namespace
}  // namespace bight::clearance
