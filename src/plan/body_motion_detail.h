#pragma once
// Which joints move which body, as far as a plan says it; for the plan's own checks. The machine
// module computes the motions themselves. Inside the plan module only.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace bight::plan {

/// A body carried by more bodies in a row than this is refused: no machine has them, and a hostile
/// file must not make each walk long.
inline constexpr std::size_t k_carriers_limit = 64;

/// Share of each joint of the plan (in the plan's order) in a body's motion.
using JointShares = std::vector<double>;

/// The bodies of a plan, those of its frame included.
class BodyMotion {
 public:
  explicit BodyMotion(const Plan& plan);

  /// Nothing for a body that does not exist, is carried in a circle or refers to an unknown joint.
  std::optional<JointShares> shares(const std::string& body) const;

  /// Joints that move `a` against `b`, by index; nothing when a motion is not known.
  std::optional<std::vector<std::size_t>> joints_between(const std::string& a,
                                                         const std::string& b) const;

  /// The body, what carries it, and so on: to the ground, to `body` itself when it is carried in a
  /// circle, or until there are more than k_carriers_limit.
  std::vector<std::string> carriers(const std::string& body) const;

 private:
  std::size_t joint_count_ = 0;
  std::map<std::string, Body> bodies_;
  std::map<std::string, std::size_t> joints_;
};

}  // namespace bight::plan
