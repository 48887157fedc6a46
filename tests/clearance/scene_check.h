#pragma once
// Every claim of a query or of a blocked region on one scene, held against FCL at single poses and
// winding numbers. Shared by the random scenes and the corpus. An empty problem means none.

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "clearance/blocked_region.h"
#include "clearance/query.h"
#include "oracle/fcl_oracle.h"
#include "scenes/random_scene.h"

namespace bight::clearance {

inline double largest_coordinate(const scenes::Scene& s) {
  double largest = 0.0;
  for (const shape::Mesh* m : {&s.a, &s.b}) {
    const Box b = shape::bounds(*m);
    largest = std::max({largest, glm::length(b.lower), glm::length(b.upper)});
  }
  return largest;
}

inline double distance_to_mesh(const shape::Mesh& mesh, const Vec3& p) {
  return oracle::FclPair({{p, p, p}, {{0, 1, 2}}}, mesh).distance(Vec3(0.0)).distance_mm;
}

struct Verdict {
  std::string problem;  // empty: none
  bool contact = false;
};

// All claims of the clearance query on one scene. `rounding` covers FCL's own arithmetic.
inline Verdict check_query(const scenes::Scene& s, std::uint64_t seed) {
  const shape::Solid a = shape::make_solid(s.a);
  const shape::Solid b = shape::make_solid(s.b);
  const double tolerance = 5e-4 * s.size_mm;
  const double rounding = 1e-9 * (s.size_mm + largest_coordinate(s));
  const QueryResult r = query_clearance(a, b, s.travel, {.tolerance_mm = tolerance});

  Verdict verdict;
  const auto claim = [&](bool holds, const std::string& what, double x, double y) {
    if (!holds && verdict.problem.empty())
      verdict.problem =
          s.kind + ": " + what + " (" + std::to_string(x) + ", " + std::to_string(y) + ")";
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
  const oracle::FclPair fcl(s.a, s.b);
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
  scenes::Random random(seed ^ 0xABCDEFU);
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

inline bool holds(const std::vector<JointRange>& box, const std::vector<double>& pose) {
  for (std::size_t i = 0; i < box.size(); ++i)
    if (!(box[i].lower <= pose[i] && pose[i] <= box[i].upper)) return false;
  return true;
}

struct Tally {
  std::string problem;
  std::size_t free = 0;
  std::size_t blocked = 0;
  std::size_t undecided = 0;
};

// Poses at random, at the corners and on the faces of cells (where a wrong bound shows first)
// against FCL and winding numbers.
inline Tally check_blocked_region(const scenes::Scene& s, std::uint64_t seed) {
  const shape::Solid a = shape::make_solid(s.a);
  const shape::Solid b = shape::make_solid(s.b);
  MovingPair pair{&a, &b, {}};
  std::vector<JointRange> joints;
  for (const Axis& axis : s.travel) {
    pair.directions.push_back(axis.direction);
    joints.push_back({axis.lower, axis.upper});
  }
  const double resolution = s.size_mm * (joints.size() > 3 ? 0.5 : 0.08);
  const BlockedRegion r =
      find_blocked_region({&pair, 1}, joints, {.resolution_mm = resolution, .threads = 1});
  const oracle::FclPair fcl(s.a, s.b);
  const double rounding = 1e-8 * s.size_mm;
  Tally tally;
  const auto fail = [&](const std::string& what) {
    if (tally.problem.empty()) tally.problem = s.kind + ": " + what;
  };

  scenes::Random random(seed + 1000);
  std::vector<Pose> poses = scenes::random_poses(random, s.travel, 60);
  for (int i = 0; i < 60 && !r.cells.empty(); ++i) {
    const BlockedCell& c = r.cells[random.bits() % r.cells.size()];
    Pose pose;
    for (std::size_t k = 0; k < joints.size(); ++k) {
      const JointRange& range = c.box[k];
      const int side = random.integer(0, 4);
      const double outward = 1e-7 * (range.upper - range.lower) + 1e-12;
      double q = random.uniform(range.lower, range.upper);
      if (side == 1) q = range.lower;
      if (side == 2) q = range.upper;
      if (side == 3) q = range.lower - outward;
      if (side == 4) q = range.upper + outward;
      pose.push_back(std::clamp(q, joints[k].lower, joints[k].upper));
    }
    poses.push_back(pose);
  }
  double covered = 0.0;
  for (const BlockedCell& c : r.cells) {
    double volume = 1.0;
    for (std::size_t k = 0; k < joints.size(); ++k) {
      if (!(c.box[k].lower <= c.box[k].upper && joints[k].lower <= c.box[k].lower &&
            c.box[k].upper <= joints[k].upper))
        fail("a cell leaves the travel");
      if (joints[k].lower < joints[k].upper) volume *= c.box[k].upper - c.box[k].lower;
    }
    covered += volume;
  }
  if (!(covered <= r.travel_volume * (1.0 + 1e-9))) fail("cells overlap");

  for (const Pose& pose : poses) {
    bool in_blocked = false;
    bool in_any = false;
    for (const BlockedCell& c : r.cells) {
      if (!holds(c.box, pose)) continue;
      in_any = true;
      in_blocked = in_blocked || c.state == CellState::blocked;
    }
    const Vec3 t = translation(s.travel, pose);
    const double distance = fcl.distance(t).distance_mm;
    const bool contained = distance > 0.0 && fcl.contained(t);
    // FCL rounds a gap of 1e-9 mm to 0 now and then; its other test then sees no contact.
    const bool meet = distance == 0.0 && fcl.surfaces_meet(t);
    if (!in_any && (meet || contained)) fail("contact at a pose called free");
    if (in_blocked && distance > rounding && !contained)
      fail("no contact at a pose called blocked");
    (in_blocked ? tally.blocked : in_any ? tally.undecided : tally.free) += 1;
  }
  const QueryResult whole = query_clearance(a, b, s.travel);
  if (r.all_free() && whole.upper_mm == 0.0 && fcl.contact(translation(s.travel, whole.pose)))
    fail("all free, but the query finds contact");
  if (!r.all_free() && whole.lower_mm > 2.0 * resolution) fail("not free far from contact");
  return tally;
}

}  // namespace bight::clearance
