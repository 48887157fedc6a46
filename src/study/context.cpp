#include "study/context.h"

#include <algorithm>
#include <cmath>

#include "machine/parametric.h"

namespace bight::study {

std::vector<double> neutral_pose(const machine::Machine& machine) {
  std::vector<double> pose;
  pose.reserve(machine.joints.size());
  for (const plan::Joint& joint : machine.joints) {
    pose.push_back(std::clamp(0.0, joint.travel[0], joint.travel[1]));
  }
  return pose;
}

std::string pose_text(const Context& context, const std::vector<double>& pose) {
  const bool inch = context.unit == LengthUnit::inch;
  std::string text;
  for (std::size_t j = 0; j < pose.size(); ++j) {
    if (j > 0) text += ", ";
    text += context.machine.joints[j].name + " " +
            fixed(inch ? pose[j] / k_mm_per_inch : pose[j], inch ? 2 : 1);
  }
  return text + (inch ? " in" : " mm");
}

std::string place_in_plan(const Context& context, const std::string& owner) {
  const auto& parts = context.plan.parts;
  const bool written = std::any_of(parts.begin(), parts.end(),
                                   [&](const plan::Part& part) { return part.name == owner; });
  const std::string keys = context.plan.frame && !written ? machine::frame_keys(owner) : "";
  return keys.empty() ? owner : owner + " ([frame]: " + keys + ")";
}

std::string direction_text(const Vec3& direction) {
  int axis = 0;
  for (int i = 1; i < 3; ++i) {
    if (std::abs(direction[i]) > std::abs(direction[axis])) axis = i;
  }
  return std::string(direction[axis] < 0.0 ? "-" : "+") + "XYZ"[axis];
}

}  // namespace bight::study
