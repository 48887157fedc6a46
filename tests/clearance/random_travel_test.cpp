// The clearance query against an independent library on random scenes: FCL at single poses, a
// descent over the travel, and winding numbers for containment.

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>
#include <string>

#include "base/parallel.h"
#include "clearance/query.h"
#include "oracle/fcl_oracle.h"
#include "scenes/random_scene.h"

namespace bight::clearance {
namespace {

using oracle::FclPair;
using scenes::Random;
using scenes::Scene;

constexpr std::size_t k_scenes = 6000;

double largest_coordinate(const Scene& s) {
  double largest = 0.0;
  for (const shape::Mesh* m : {&s.a, &s.b}) {
    const Box b = shape::bounds(*m);
    largest = std::max({largest, glm::length(b.lower), glm::length(b.upper)});
  }
  return largest;
}

double distance_to_mesh(const shape::Mesh& mesh, const Vec3& p) {
  return FclPair({{p, p, p}, {{0, 1, 2}}}, mesh).distance(Vec3(0.0)).distance_mm;
}

struct Verdict {
  std::string problem;  // empty: none
  bool contact = false;
};

// All claims of one result. `rounding` covers FCL's own arithmetic.
Verdict check_scene(std::uint64_t seed) {
  const Scene s = scenes::random_scene(seed);
  const shape::Solid a = shape::make_solid(s.a);
  const shape::Solid b = shape::make_solid(s.b);
  const double tolerance = 5e-4 * s.size_mm;
  const double rounding = 1e-9 * (s.size_mm + largest_coordinate(s));
  const QueryResult r = query_clearance(a, b, s.travel, {.tolerance_mm = tolerance});

  Verdict verdict;
  const auto claim = [&](bool holds, const std::string& what, double x, double y) {
    if (!holds && verdict.problem.empty())
      verdict.problem = "seed " + std::to_string(seed) + " (" + s.kind + "): " + what + " (" +
                        std::to_string(x) + ", " + std::to_string(y) + ")";
  };
  claim(r.lower_mm <= r.upper_mm, "lower <= upper", r.lower_mm, r.upper_mm);
  claim(r.upper_mm - r.lower_mm <= tolerance * (1.0 + 1e-9), "bounds within the tolerance",
        r.lower_mm, r.upper_mm);

  // The pose lies in the travel and attains the upper bound.
  claim(r.pose.size() == s.travel.size(), "one value a joint", static_cast<double>(r.pose.size()),
        static_cast<double>(s.travel.size()));
  if (!verdict.problem.empty()) return verdict;
  for (std::size_t i = 0; i < s.travel.size(); ++i)
    claim(s.travel[i].lower <= r.pose[i] && r.pose[i] <= s.travel[i].upper, "pose in the travel",
          r.pose[i], s.travel[i].upper);
  const FclPair fcl(s.a, s.b);
  const Vec3 t = translation(s.travel, r.pose);
  const double at_pose = fcl.distance(t).distance_mm;
  if (r.contained) {
    claim(fcl.contained(t), "a piece is inside at the pose", at_pose, 0.0);
    claim(r.upper_mm == 0.0, "contained means 0", r.upper_mm, 0.0);
  } else {
    claim(at_pose <= r.upper_mm + rounding, "FCL finds the upper bound at the pose", at_pose,
          r.upper_mm);
    claim(at_pose >= r.lower_mm - rounding, "FCL finds no less than the lower bound", at_pose,
          r.lower_mm);
    claim(std::abs(glm::distance(r.point_a, r.point_b) - r.upper_mm) <= rounding,
          "the points are as far apart as the upper bound", glm::distance(r.point_a, r.point_b),
          r.upper_mm);
    claim(distance_to_mesh(s.a, r.point_a - t) <= rounding, "point_a lies on A",
          distance_to_mesh(s.a, r.point_a - t), rounding);
    claim(distance_to_mesh(s.b, r.point_b) <= rounding, "point_b lies on B",
          distance_to_mesh(s.b, r.point_b), rounding);
  }

  // Nothing nearer is found by looking.
  Random random(seed ^ 0xABCDEFU);
  const auto best =
      oracle::minimise_over_travel(fcl, s.travel, scenes::random_poses(random, s.travel, 12));
  claim(r.lower_mm <= best.distance_mm + rounding, "never clearer than the oracle", r.lower_mm,
        best.distance_mm);
  claim(r.upper_mm <= best.distance_mm + tolerance + rounding, "as near as the oracle", r.upper_mm,
        best.distance_mm);

  // The short questions agree with the long answer.
  const double limits[] = {0.0, 0.5 * r.lower_mm, r.upper_mm + tolerance,
                           s.size_mm * random.uniform(0.0, 1.0)};
  for (const double limit : limits) {
    const QueryResult q =
        query_clearance(a, b, s.travel, {.tolerance_mm = tolerance, .enough_mm = limit});
    claim(q.lower_mm <= q.upper_mm, "lower <= upper with a limit", q.lower_mm, q.upper_mm);
    claim(q.lower_mm <= r.upper_mm && r.lower_mm <= q.upper_mm, "bounds with a limit overlap",
          q.lower_mm, q.upper_mm);
    claim(q.lower_mm > limit || q.upper_mm <= limit || q.upper_mm - q.lower_mm <= tolerance,
          "a limit is answered", q.lower_mm, q.upper_mm);
    const bool exceeds = clearance_exceeds(a, b, s.travel, limit);
    claim(!exceeds || r.upper_mm > limit, "exceeds only where the query allows", limit, r.upper_mm);
    claim(exceeds || r.lower_mm <= limit + rounding, "exceeds where the query proves it", limit,
          r.lower_mm);
  }
  verdict.contact = r.upper_mm == 0.0;
  return verdict;
}

TEST(RandomTravel, BoundsAreTrueOnThousandsOfScenes) {
  std::vector<Verdict> verdicts(k_scenes);
  parallel_for(k_scenes, 0, [&](std::size_t i) { verdicts[i] = check_scene(i); });
  std::size_t contacts = 0;
  std::size_t failures = 0;
  for (const Verdict& v : verdicts) {
    if (v.contact) ++contacts;
    if (!v.problem.empty() && ++failures <= 25) ADD_FAILURE() << v.problem;
  }
  EXPECT_EQ(failures, 0U);
  // Both outcomes, so that the sample does not go vacuous.
  EXPECT_GT(contacts, k_scenes * 3 / 10);
  EXPECT_LT(contacts, k_scenes * 7 / 10);
}

}  // namespace
}  // namespace bight::clearance
