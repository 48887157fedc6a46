#include <cmath>

#include "plan/body_motion_detail.h"
#include "plan/frame_names.h"

namespace bight::plan {
namespace {

// Shares are small fractions written by people; sums of a few of them are exact to this.
constexpr double k_share_equal = 1e-12;

}  // namespace

BodyMotion::BodyMotion(const Plan& plan) : joint_count_(plan.joints.size()) {
  for (std::size_t i = 0; i < plan.joints.size(); ++i) joints_.emplace(plan.joints[i].name, i);
  // Bodies of the plan replace those of the frame that have the same name.
  for (const Body& body : plan.bodies) bodies_.emplace(body.name, body);
  if (plan.frame) {
    const bool moving_table = plan.frame->moving_table;
    const auto add = [this](const char* name, const char* carrier, const char* joint) {
      Body body;
      body.name = name;
      body.carried_by = carrier;
      body.joint = joint;
      bodies_.emplace(name, body);
    };
    if (moving_table) add(k_frame_table, k_ground, "Y");
    add(k_frame_gantry, k_ground, moving_table ? "" : "Y");
    add(k_frame_carriage, k_frame_gantry, "X");
    add(k_frame_head, k_frame_carriage, "Z");
  }
}

std::optional<JointShares> BodyMotion::shares(const std::string& body) const {
  JointShares shares(joint_count_, 0.0);
  std::string at = body;
  for (std::size_t steps = 0; at != k_ground; ++steps) {
    const auto found = bodies_.find(at);
    if (found == bodies_.end() || steps > k_carriers_limit) return {};
    if (!found->second.joint.empty()) {
      const auto joint = joints_.find(found->second.joint);
      if (joint == joints_.end()) return {};
      shares[joint->second] += found->second.ratio;
    }
    at = found->second.carried_by;
  }
  return shares;
}

std::optional<std::vector<std::size_t>> BodyMotion::joints_between(const std::string& a,
                                                                   const std::string& b) const {
  const auto of_a = shares(a);
  const auto of_b = shares(b);
  if (!of_a || !of_b) return {};
  std::vector<std::size_t> moving;
  for (std::size_t i = 0; i < of_a->size(); ++i) {
    if (!(std::abs((*of_a)[i] - (*of_b)[i]) <= k_share_equal)) moving.push_back(i);
  }
  return moving;
}

std::vector<std::string> BodyMotion::carriers(const std::string& body) const {
  std::vector<std::string> way = {body};
  while (way.size() <= k_carriers_limit) {
    const auto found = bodies_.find(way.back());
    if (found == bodies_.end()) break;  // the ground, or a name that does not exist
    way.push_back(found->second.carried_by);
    if (way.back() == body) break;
  }
  return way;
}

}  // namespace bight::plan
