#include "machine/zonotope_gap.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "machine/line_in_box.h"

namespace bight::machine {
namespace {

double distance_to_box(const Vec3& p, const Box& box) {
  const Vec3 nearest = glm::min(glm::max(p, box.lower), box.upper);
  return glm::length(p - nearest);
}

Vec3 point_at(const Zonotope& z, const std::vector<double>& values) {
  Vec3 p = z.origin;
  for (std::size_t k = 0; k < values.size(); ++k) p += values[k] * z.generators[k].direction;
  return p;
}

/// Smallest distance by projected gradient steps from the middle: slow, but another route.
double descended_distance(const Zonotope& z, const Box& box) {
  std::vector<double> values;
  double lipschitz = 0.0;
  for (const auto& g : z.generators) {
    values.push_back(0.5 * (g.lower + g.upper));
    lipschitz += glm::dot(g.direction, g.direction);
  }
  for (int step = 0; step < 20000; ++step) {
    const Vec3 p = point_at(z, values);
    const Vec3 out = p - glm::min(glm::max(p, box.lower), box.upper);
    for (std::size_t k = 0; k < values.size(); ++k) {
      const auto& g = z.generators[k];
      values[k] = std::clamp(values[k] - glm::dot(out, g.direction) / lipschitz, g.lower, g.upper);
    }
  }
  return distance_to_box(point_at(z, values), box);
}

TEST(ZonotopeGap, APointIsAsFarAsItsCoordinatesSay) {
  const Box box{Vec3(0), Vec3(10, 10, 10)};
  // 3-4-12: out by 3 in X, 4 in Y, 12 in Z gives 13.
  const auto gap = gap_to_box({.origin = {13, 14, 22}, .generators = {}}, box);
  EXPECT_NEAR(gap.distance, 13.0, 1e-9);
  EXPECT_NEAR(gap.lower_bound, 13.0, 1e-9);
  EXPECT_NEAR(gap.towards_box.z, -12.0 / 13.0, 1e-9);
}

TEST(ZonotopeGap, AxesParallelToTheBoxGiveABoxAgainstABox) {
  const Box box{Vec3(0), Vec3(10, 10, 10)};
  const Zonotope z{.origin = {0, 0, 0},
                   .generators = {{.direction = {1, 0, 0}, .lower = -500, .upper = -30},
                                  {.direction = {0, 1, 0}, .lower = 50, .upper = 900}}};
  const auto gap = gap_to_box(z, box);
  EXPECT_NEAR(gap.distance, 50.0, 1e-9);  // 3-4-5: 30 in X, 40 in Y
  EXPECT_NEAR(gap.values[0], -30.0, 1e-9);
  EXPECT_NEAR(gap.values[1], 50.0, 1e-9);
}

TEST(ZonotopeGap, APointInsideHasNoGap) {
  const Box box{Vec3(0), Vec3(10, 10, 10)};
  const Zonotope z{.origin = {-100, 5, 5},
                   .generators = {{.direction = {1, 0.01, 0}, .lower = 0, .upper = 400}}};
  const auto gap = gap_to_box(z, box);
  EXPECT_EQ(gap.distance, 0.0);
  EXPECT_LE(distance_to_box(point_at(z, gap.values), box), 1e-8);
}

TEST(ZonotopeGap, RandomZonotopesAgreeWithProjectedGradientDescent) {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> unit(-1, 1);
  int apart = 0;
  int together = 0;
  for (int trial = 0; trial < 500; ++trial) {
    // In braces, so that every compiler draws in the same order.
    const Box box{Vec3{unit(random), unit(random), unit(random)} * 20.0,
                  Vec3(25) + Vec3{unit(random), unit(random), unit(random)} * 4.0};
    Zonotope z{.origin = Vec3{unit(random), unit(random), unit(random)} * 45.0, .generators = {}};
    const int generators = trial % 5;
    for (int k = 0; k < generators; ++k) {
      const double length = std::abs(unit(random)) * 50.0;
      z.generators.push_back({.direction = {unit(random), unit(random), k == 1 ? 0 : unit(random)},
                              .lower = -length,
                              .upper = length * 0.5});
    }
    const auto gap = gap_to_box(z, box);
    EXPECT_LE(gap.lower_bound, gap.distance + 1e-12);
    EXPECT_GE(gap.lower_bound, gap.distance - 2e-9) << trial;
    EXPECT_NEAR(gap.distance, descended_distance(z, box), 2e-4) << trial;
    EXPECT_NEAR(gap.distance, distance_to_box(point_at(z, gap.values), box), 1e-7) << trial;
    for (int k = 0; k < generators; ++k) {
      const auto i = static_cast<std::size_t>(k);
      EXPECT_GE(gap.values[i], z.generators[i].lower - 1e-9);
      EXPECT_LE(gap.values[i], z.generators[i].upper + 1e-9);
    }
    (gap.distance > 0.0 ? apart : together) += 1;
  }
  EXPECT_GT(apart, 50);
  EXPECT_GT(together, 50);
}

TEST(FirstContact, OfAPointIsTheFirstEndOfItsLine) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> unit(-1, 1);
  const Box box{Vec3(-10, -20, -5), Vec3(10, 20, 5)};
  int hits = 0;
  for (int trial = 0; trial < 500; ++trial) {
    const Vec3 p = Vec3(unit(random), unit(random), unit(random)) * 25.0;
    const Vec3 g(unit(random), unit(random), unit(random));
    const double radius = trial % 4 == 0 ? 0.0 : 10.0 * std::abs(unit(random));
    const auto line = line_in_box(p, g, box, radius);
    const auto first = first_contact({.origin = p, .generators = {}}, g, box, radius);
    ASSERT_EQ(line.has_value(), first.has_value()) << trial;
    if (!line) continue;
    ++hits;
    EXPECT_NEAR(*first, (*line)[0], 1e-5) << trial;
  }
  EXPECT_GT(hits, 100);
}

TEST(FirstContact, ALeaningRangeTouchesWhereItIsNearest) {
  // The sphere's centre may be anywhere on a bar that leans towards the box: at Y = 0 its X is 0,
  // at Y = 100 it is 10. The box's face is at X = 50, so contact comes at s = 50 - 10 - radius.
  const Zonotope z{.origin = {0, 0, 0},
                   .generators = {{.direction = {0.1, 1, 0}, .lower = 0, .upper = 100}}};
  const Box box{Vec3(50, -20, -20), Vec3(70, 120, 20)};
  EXPECT_NEAR(first_contact(z, {1, 0, 0}, box, 0.0).value(), 40.0, 1e-8);
  EXPECT_NEAR(first_contact(z, {1, 0, 0}, box, 4.0).value(), 36.0, 1e-8);
  EXPECT_NEAR(first_contact(z, {2, 0, 0}, box, 4.0).value(), 18.0, 1e-8);
  EXPECT_FALSE(first_contact(z, {0, 0, 1}, box, 4.0).has_value());
}

}  // namespace
}  // namespace bight::machine
