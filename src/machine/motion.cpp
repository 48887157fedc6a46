#include "machine/motion.h"

#include <algorithm>

#include "base/check.h"
#include "machine/by_name_detail.h"

namespace bight::machine {

namespace {

/// What the body's own joint adds to the motion of its carrier.
void add_own_motion(const std::vector<plan::Joint>& joints, const plan::Body& body,
                    std::vector<Vec3>& motion) {
  if (body.joint.empty()) return;
  const plan::Joint* joint = find_named(joints, body.joint);
  BIGHT_CHECK(joint != nullptr);
  const double sense = joint->moves_work ? -1.0 : 1.0;
  motion[static_cast<std::size_t>(joint - joints.data())] += sense * body.ratio * joint->direction;
}

}  // namespace

std::vector<Body> bodies_in_motion(const std::vector<plan::Joint>& joints,
                                   const std::vector<plan::Body>& bodies) {
  std::vector<Body> result;
  result.push_back({.name = plan::k_ground, .motion = std::vector<Vec3>(joints.size(), Vec3(0.0))});
  for (const plan::Body& body : bodies) {
    std::vector<Vec3> motion(joints.size(), Vec3(0.0));
    const plan::Body* carried = &body;
    for (std::size_t depth = 0;; ++depth) {
      BIGHT_CHECK(depth < bodies.size());
      add_own_motion(joints, *carried, motion);
      if (carried->carried_by == plan::k_ground) break;
      carried = find_named(bodies, carried->carried_by);
      BIGHT_CHECK(carried != nullptr);
    }
    result.push_back({.name = body.name, .motion = std::move(motion)});
  }
  return result;
}

Vec3 translation(const Body& body, const std::vector<double>& pose) {
  BIGHT_CHECK(pose.size() == body.motion.size());
  Vec3 t(0.0);
  for (std::size_t j = 0; j < pose.size(); ++j) t += pose[j] * body.motion[j];
  return t;
}

std::vector<Vec3> relative_motion(const Body& a, const Body& b) {
  BIGHT_CHECK(a.motion.size() == b.motion.size());
  std::vector<Vec3> result(a.motion.size());
  for (std::size_t j = 0; j < result.size(); ++j) result[j] = a.motion[j] - b.motion[j];
  return result;
}

bool moves_together(const Body& a, const Body& b) {
  const std::vector<Vec3> motion = relative_motion(a, b);
  return std::all_of(motion.begin(), motion.end(), [](const Vec3& m) { return m == Vec3(0.0); });
}

}  // namespace bight::machine
