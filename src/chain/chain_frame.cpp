#include "chain/chain_frame.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "base/number.h"
#include "base/tolerance.h"

namespace bight::chain {
namespace {

/// Sine of the angle by which `opens` may be off the joint: directions in plans are exact.
constexpr double k_parallel = 1e-6;

ChainFrame refused(ChainFrame frame, ChainStatus status, std::string problem) {
  frame.status = status;
  frame.problem = std::move(problem);
  return frame;
}

bool valid(const plan::Chain& c) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0.0; };
  return is_finite(c.fixed_at) && is_finite(c.moving_at) && is_finite(c.opens) &&
         glm::length(c.opens) > 0.0 && positive(c.bend_radius) && positive(c.pitch) &&
         c.pitch < 2.0 * c.bend_radius && positive(c.outer_width) && positive(c.outer_height) &&
         std::isfinite(c.end_straight) && c.end_straight >= 0.0;
}

/// The joint by which the moving body differs from the fixed one; nothing for none or several.
std::optional<std::size_t> working_joint(const std::vector<Vec3>& relative) {
  std::optional<std::size_t> joint;
  for (std::size_t j = 0; j < relative.size(); ++j) {
    if (glm::length(relative[j]) <= k_parallel) continue;
    if (joint) return {};
    joint = j;
  }
  return joint;
}

/// Are the runs mounted at the distance that the bend gives them?
void check_height(const plan::Chain& chain, ChainFrame& frame) {
  const auto [lowest, highest] = level_heights(chain.bend_radius, chain.pitch);
  const std::string both = "the brackets' pins are " + fixed(frame.height_mm, 1) +
                           " mm apart across the joint, the bend makes it " +
                           fixed(2.0 * chain.bend_radius, 1) + " mm: ";
  if (!(frame.height_mm >= lowest)) {
    frame.status = ChainStatus::bracket_too_low;
    frame.problem = both + fixed(2.0 * chain.bend_radius - frame.height_mm, 1) +
                    " mm too near, no chain bends so";
  } else if (!(frame.height_mm <= highest)) {
    frame.status = ChainStatus::bracket_too_high;
    frame.problem = both + fixed(frame.height_mm - 2.0 * chain.bend_radius, 1) +
                    " mm too far, the moving run tilts or hangs";
  }
}

}  // namespace

double joint_value(const ChainFrame& frame, double moving_mm) {
  const double value = (moving_mm - frame.offset_mm) / frame.rate;
  for (const double end : frame.travel) {
    if (std::abs((value - end) * frame.rate) <= k_length_equal_mm) return end;
  }
  return value;
}

std::array<double, 2> joint_interval(const ChainFrame& frame, double moving_a, double moving_b) {
  const double a = joint_value(frame, moving_a);
  const double b = joint_value(frame, moving_b);
  return {std::min(a, b), std::max(a, b)};
}

ChainFrame chain_frame(const plan::Chain& chain, const machine::Machine& machine) {
  ChainFrame frame;
  if (!valid(chain)) {
    return refused(frame, ChainStatus::invalid,
                   "a dimension is not above 0 or not finite, or a link is longer than 2 R");
  }
  const machine::Body& fixed_body = machine.bodies[machine.body_index(chain.fixed_body)];
  const machine::Body& moving_body = machine.bodies[machine.body_index(chain.moving_body)];
  std::vector<Vec3> relative;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    relative.push_back(moving_body.motion[j] - fixed_body.motion[j]);
  }
  const std::optional<std::size_t> joint = working_joint(relative);
  if (!joint) {
    return refused(frame, ChainStatus::not_one_joint,
                   "the motions of " + chain.fixed_body + " and " + chain.moving_body +
                       " must differ by exactly one joint");
  }
  frame.joint = *joint;
  frame.along = glm::normalize(chain.opens);
  const Vec3 direction = glm::normalize(relative[*joint]);
  if (!(glm::length(glm::cross(frame.along, direction)) <= k_parallel)) {
    return refused(
        frame, ChainStatus::opens_astray,
        "`opens` must point along joint " + machine.joints[*joint].name + " or against it");
  }
  frame.rate = glm::dot(relative[*joint], frame.along);
  const Vec3 between = chain.moving_at - chain.fixed_at;
  frame.offset_mm = glm::dot(between, frame.along);
  const Vec3 across_joint = between - frame.offset_mm * frame.along;
  frame.height_mm = glm::length(across_joint);
  if (frame.height_mm > k_parallel) {
    frame.normal = across_joint / frame.height_mm;
    frame.across = glm::cross(frame.along, frame.normal);
  }

  frame.travel = machine.joints[*joint].travel;
  const auto [low, high] = frame.travel;
  const double a = frame.offset_mm + frame.rate * low;
  const double b = frame.offset_mm + frame.rate * high;
  frame.loop = {.fixed_mm = 0.0,
                .moving_mm = {std::min(a, b), std::max(a, b)},
                .bend_radius_mm = chain.bend_radius,
                .pitch_mm = chain.pitch,
                .outer_height_mm = chain.outer_height,
                .end_straight_mm = chain.end_straight,
                .links = chain.links,
                .room_mm = chain.room};
  frame.size = size_loop(frame.loop);
  check_height(chain, frame);
  if (frame.status != ChainStatus::ok) return frame;
  if (frame.size.status == LoopStatus::invalid) {
    return refused(frame, ChainStatus::invalid, frame.size.problem);
  }
  if (frame.size.status == LoopStatus::too_short) {
    return refused(frame, ChainStatus::too_short, frame.size.problem);
  }
  return frame;
}

}  // namespace bight::chain
