#include "clearance/gjk.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>

#include "scenes/random_scene.h"

namespace bight::clearance {
namespace {

using scenes::Random;

GjkResult solve(const Triangle& a, const Triangle& b, const Travel& travel = {},
                double rounding = 1e-13) {
  Zonotope z;
  z.assign(travel);
  SweptTriangles pair;
  Vec3 start(0.0);
  return pair.solve(a, b, z, {.rounding = rounding}, start);
}

double distance(const Triangle& a, const Triangle& b, const Travel& travel = {}) {
  const GjkResult r = solve(a, b, travel);
  EXPECT_LE(r.lower, r.upper);
  EXPECT_LE(r.upper - r.lower, 1e-9 * (1.0 + r.upper));
  return r.upper;
}

// Another route for two triangles at rest: the nearest points are a vertex and a face or two edges
// (Ericson 2005, 5.1.10), unless an edge pierces the other face. Each is minimised by dense
// sampling here on purpose: slow, simple, and without a line in common.
double brute_force(const Triangle& a, const Triangle& b, int steps) {
  double best = std::numeric_limits<double>::infinity();
  const auto to_triangle = [&](const Vec3& p, const Triangle& t) {
    // Distance to the plane where the foot is inside, to the edges otherwise.
    const Vec3 n = glm::cross(t[1] - t[0], t[2] - t[0]);
    bool inside = true;
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3& u = t[i];
      const Vec3& v = t[(i + 1) % 3];
      inside = inside && glm::dot(glm::cross(v - u, p - u), n) >= 0.0;
      const double s = std::clamp(glm::dot(p - u, v - u) / glm::dot(v - u, v - u), 0.0, 1.0);
      nearest = std::min(nearest, glm::distance(p, u + s * (v - u)));
    }
    return inside ? std::abs(glm::dot(p - t[0], n)) / glm::length(n) : nearest;
  };
  for (std::size_t i = 0; i < 3; ++i) {
    for (int k = 0; k <= steps; ++k) {
      const double s = static_cast<double>(k) / steps;
      best = std::min(best, to_triangle(glm::mix(a[i], a[(i + 1) % 3], s), b));
      best = std::min(best, to_triangle(glm::mix(b[i], b[(i + 1) % 3], s), a));
    }
  }
  return best;
}

Triangle random_triangle(Random& random, const Vec3& at, double size) {
  return {at + size * random.uniform(0.0, 1.0) * random.direction(),
          at + size * random.uniform(0.0, 1.0) * random.direction(),
          at + size * random.uniform(0.0, 1.0) * random.direction()};
}

const Triangle k_unit{Vec3(0, 0, 0), Vec3(1, 0, 0), Vec3(0, 1, 0)};

TEST(Gjk, ParallelFacesAreTheirPlanesApart) {
  Triangle other = k_unit;
  for (Vec3& v : other) v += Vec3(0.1, 0.1, 3.0);
  EXPECT_NEAR(distance(k_unit, other), 3.0, 1e-12);
}

TEST(Gjk, VertexOverFaceEdgeAndVertex) {
  const auto tip = [](const Vec3& p) { return Triangle{p, p + Vec3(1, 1, 5), p + Vec3(-1, 2, 6)}; };
  EXPECT_NEAR(distance(k_unit, tip({0.25, 0.25, 2})), 2.0, 1e-12);       // face
  EXPECT_NEAR(distance(k_unit, tip({0.5, -3, 4})), 5.0, 1e-12);          // edge
  EXPECT_NEAR(distance(k_unit, tip({-2, -3, 6})), 7.0, 1e-12);           // vertex
  EXPECT_NEAR(distance(k_unit, tip({1, 1, 0})), std::sqrt(0.5), 1e-12);  // slanting edge
}

TEST(Gjk, CrossedEdgesAreTheirCommonPerpendicularApart) {
  const Triangle a{Vec3(-5, 0, 0), Vec3(5, 0, 0), Vec3(0, 0, -5)};
  const Triangle b{Vec3(0, -5, 0.75), Vec3(0, 5, 0.75), Vec3(0, 0, 6)};
  EXPECT_NEAR(distance(a, b), 0.75, 1e-12);
}

TEST(Gjk, TouchingAndCrossingAreExactlyZero) {
  const Triangle touching{Vec3(0.25, 0.25, 0), Vec3(1, 1, 5), Vec3(-1, 2, 6)};
  const Triangle crossing{Vec3(0.25, 0.25, -1), Vec3(0.3, 0.3, 5), Vec3(-1, 2, 6)};
  const Triangle coplanar{Vec3(0.2, 0.2, 0), Vec3(3, 0.2, 0), Vec3(0.2, 3, 0)};
  const Triangle sharing_a_corner{Vec3(1, 0, 0), Vec3(2, 0, 1), Vec3(2, 1, 1)};
  for (const Triangle& t : {touching, crossing, coplanar, sharing_a_corner, k_unit}) {
    EXPECT_EQ(solve(k_unit, t).upper, 0.0);
    EXPECT_EQ(solve(t, k_unit).upper, 0.0);
    EXPECT_EQ(solve(k_unit, t).lower, 0.0);
  }
}

TEST(Gjk, DegenerateTrianglesAreSegmentsAndPoints) {
  const Triangle point{Vec3(0, 0, 2), Vec3(0, 0, 2), Vec3(0, 0, 2)};
  const Triangle segment{Vec3(-4, 1, 0), Vec3(4, 1, 0), Vec3(1, 1, 0)};
  EXPECT_NEAR(distance(point, segment), std::sqrt(5.0), 1e-12);
  EXPECT_NEAR(distance(point, k_unit), 2.0, 1e-12);
  EXPECT_NEAR(distance(segment, segment, {{Vec3(0, 1, 1), 1.0, 2.0}}), std::sqrt(2.0), 1e-12);
  EXPECT_EQ(solve(point, point).upper, 0.0);
}

TEST(Gjk, OneAxisReachesAsFarAsItsTravel) {
  const Triangle tip{Vec3(0.25, 0.25, 10), Vec3(1, 1, 15), Vec3(-1, 2, 16)};
  EXPECT_NEAR(distance(tip, k_unit, {{Vec3(0, 0, 1), -7.0, 20.0}}), 3.0, 1e-12);
  EXPECT_EQ(solve(tip, k_unit, {{Vec3(0, 0, 1), -10.0, 20.0}}).upper, 0.0);
  EXPECT_EQ(solve(tip, k_unit, {{Vec3(0, 0, 1), -90.0, 20.0}}).upper, 0.0);
}

// t = (q, q): the nearest pose of a point moving along a diagonal past a vertex, by hand: the
// distance of the vertex to the line.
TEST(Gjk, SlantingMovePassesAVertex) {
  const Triangle point{Vec3(0, 0, 0), Vec3(0, 0, 0), Vec3(0, 0, 0)};
  const Triangle post{Vec3(10, 4, 0), Vec3(20, 4, -1), Vec3(20, 4, 1)};
  EXPECT_NEAR(distance(point, post, {{Vec3(1, 1, 0), 0.0, 100.0}}), 6.0 / std::sqrt(2.0), 1e-11);
}

TEST(Gjk, WitnessAttainsTheUpperBoundWithinTheTravel) {
  const Travel travel{{Vec3(1, 0.2, 0), -3.0, 5.0}, {Vec3(0, 1, -0.4), 0.0, 2.0}};
  Zonotope z;
  z.assign(travel);
  SweptTriangles pair;
  Random random(7);
  for (int i = 0; i < 200; ++i) {
    const Triangle a = random_triangle(random, Vec3(0.0), 3.0);
    const Triangle b = random_triangle(random, 8.0 * random.direction(), 3.0);
    Vec3 start(0.0);
    const GjkResult r = pair.solve(a, b, z, {.rounding = 1e-13}, start);
    EXPECT_NEAR(glm::distance(pair.point_a(), pair.point_b()), r.upper, 1e-12);
    for (const double s : pair.coefficients()) EXPECT_LE(std::abs(s), 1.0);
  }
}

TEST(Gjk, AgreesWithDenseSamplingAtRest) {
  Random random(1);
  int apart = 0;
  for (int i = 0; i < 400; ++i) {
    const Triangle a = random_triangle(random, Vec3(0.0), 1.0);
    const Triangle b = random_triangle(random, 1.2 * random.direction(), 1.0);
    const double found = distance(a, b);
    const double sampled = brute_force(a, b, 400);
    apart += found > 0.0 ? 1 : 0;
    EXPECT_LE(found, sampled + 1e-12);
    // An edge is at most 2 long, so a sample is at most 2.5e-3 from the best point. A pierced face
    // is seen by its edges only to that accuracy too.
    EXPECT_GE(found, sampled - 5e-3) << i;
  }
  EXPECT_GT(apart, 100);
}

// The smallest distance over a fine grid of poses, each at rest.
TEST(Gjk, AgreesWithManyPosesOverTheTravel) {
  Random random(2);
  for (int i = 0; i < 40; ++i) {
    const Triangle a = random_triangle(random, Vec3(0.0), 1.0);
    const Triangle b = random_triangle(random, 4.0 * random.direction(), 1.0);
    const Travel travel{{random.direction(), -1.0, 1.0}, {random.direction(), -0.5, 1.0}};
    const double found = distance(a, b, travel);
    double sampled = std::numeric_limits<double>::infinity();
    for (int x = 0; x <= 40; ++x) {
      for (int y = 0; y <= 40; ++y) {
        const std::array<double, 2> pose{-1.0 + x / 20.0, -0.5 + 1.5 * y / 40.0};
        const Vec3 t = translation(travel, pose);
        sampled = std::min(sampled, solve({a[0] + t, a[1] + t, a[2] + t}, b).upper);
      }
    }
    EXPECT_LE(found, sampled + 1e-12);
    EXPECT_GE(found, sampled - 0.05);
  }
}

TEST(Gjk, AllOrdersOfTheCornersGiveTheSameAnswer) {
  Random random(3);
  for (int i = 0; i < 50; ++i) {
    Triangle a = random_triangle(random, Vec3(0.0), 1.0);
    const Triangle b = random_triangle(random, 1.5 * random.direction(), 1.0);
    const Travel travel{{Vec3(0.1, 0.2, -0.1), -1.0, 1.0}};
    const double expected = distance(a, b, travel);
    std::array<std::size_t, 3> order{0, 1, 2};
    do {
      EXPECT_NEAR(distance({a[order[0]], a[order[1]], a[order[2]]}, b, travel), expected, 1e-11);
    } while (std::next_permutation(order.begin(), order.end()));
  }
}

// Needles in a long travel: the polytope is 1200 x 800 x 120 while the triangles are a hair wide.
TEST(Gjk, NeedlesInALongTravelKeepTheirDigits) {
  const Travel travel{{Vec3(1, 0, 0), 0, 1200}, {Vec3(0, 1, 0), 0, 800}, {Vec3(0, 0, 1), -120, 0}};
  const Triangle needle{Vec3(0, 0, 0), Vec3(-34, 1e-4, 40), Vec3(-34, -1e-4, 40)};
  const Triangle post{Vec3(1203, 804, 30), Vec3(1230, 850, 30), Vec3(1230.0001, 850, 30.0001)};
  // Lowest point of the needle meets z = 30 within the travel only by rising: q_z = 0 leaves a gap
  // of 30 to its tip; higher points of the needle are 3/4 of that to the left. Nearest: on the
  // needle's axis from (0,0,0) to (-34,0,40), at rest at (1200, 800).
  const Vec3 u = glm::normalize(Vec3(-34, 0, 40));
  const Vec3 p(3, 4, 30);
  const double expected = glm::length(p - glm::dot(p, u) * u);
  EXPECT_NEAR(distance(needle, post, travel), expected, 1e-3);
}

TEST(Gjk, StopsAsSoonAsItIsKnownToBeFarther) {
  Triangle far = k_unit;
  for (Vec3& v : far) v += Vec3(0, 0, 100);
  Zonotope z;
  z.assign({});
  SweptTriangles pair;
  Vec3 start(0, 0, -1);
  const GjkResult r = pair.solve(k_unit, far, z, {.prune = 50.0, .rounding = 1e-13}, start);
  EXPECT_EQ(r.iterations, 1);
  EXPECT_GT(r.lower, 50.0);
  EXPECT_EQ(r.upper, std::numeric_limits<double>::infinity());
}

TEST(Gjk, AnyNumberOfAxesIsTaken) {
  Travel travel;
  Random random(5);
  double reach = 0.0;
  for (int i = 0; i < 90; ++i) {
    travel.push_back({random.direction(), -0.05, 0.05});
    reach += 0.05 * std::abs(travel.back().direction.z);
  }
  const Triangle plate{Vec3(-50, -50, 20), Vec3(50, -50, 20), Vec3(0, 90, 20)};
  EXPECT_NEAR(distance(k_unit, plate, travel), 20.0 - reach, 1e-10);
}

}  // namespace
}  // namespace bight::clearance
