#include "machine/limits.h"

#include "base/check.h"

namespace bight::machine {

namespace {

/// Which coordinate of a program a joint follows: 0, 1, 2 for X, Y, Z, nothing for other letters.
std::optional<glm::length_t> program_axis(const plan::Joint& joint) {
  if (joint.name == "X") return 0;
  if (joint.name == "Y") return 1;
  if (joint.name == "Z") return 2;
  return std::nullopt;
}

}  // namespace

TravelBox soft_travel(const std::vector<plan::Joint>& joints) {
  TravelBox box;
  box.reserve(joints.size());
  for (const plan::Joint& joint : joints) box.push_back(joint.travel);
  return box;
}

TravelBox hard_travel(const std::vector<plan::Joint>& joints) {
  TravelBox box;
  box.reserve(joints.size());
  for (const plan::Joint& joint : joints) box.push_back(joint.stops.value_or(joint.travel));
  return box;
}

std::vector<std::vector<double>> corner_poses(const TravelBox& box) {
  BIGHT_CHECK(box.size() <= 16);
  const std::size_t count = std::size_t{1} << box.size();
  std::vector<std::vector<double>> corners(count, std::vector<double>(box.size()));
  for (std::size_t corner = 0; corner < count; ++corner) {
    for (std::size_t j = 0; j < box.size(); ++j) corners[corner][j] = box[j][(corner >> j) & 1U];
  }
  return corners;
}

std::vector<double> home_pose(const std::vector<plan::Joint>& joints) {
  std::vector<double> pose;
  pose.reserve(joints.size());
  for (const plan::Joint& joint : joints) {
    pose.push_back(joint.travel[joint.home == plan::End::low ? 0 : 1]);
  }
  return pose;
}

double stopping_distance(double speed, double acceleration) {
  BIGHT_CHECK(speed > 0.0 && acceleration > 0.0);
  const double per_second = speed / 60.0;
  return per_second * per_second / (2.0 * acceleration);
}

std::optional<double> stopping_distance(const plan::Joint& joint) {
  if (!joint.speed || !joint.acceleration) return std::nullopt;
  return stopping_distance(*joint.speed, *joint.acceleration);
}

std::vector<double> joint_values(const std::vector<plan::Joint>& joints,
                                 const plan::WorkOffset& offset, const Vec3& program_point,
                                 std::vector<double> rest) {
  BIGHT_CHECK(rest.size() == joints.size());
  for (std::size_t j = 0; j < joints.size(); ++j) {
    if (const auto axis = program_axis(joints[j]))
      rest[j] = program_point[*axis] + offset.at[*axis];
  }
  return rest;
}

Vec3 program_point(const std::vector<plan::Joint>& joints, const plan::WorkOffset& offset,
                   const std::vector<double>& pose) {
  BIGHT_CHECK(pose.size() == joints.size());
  Vec3 point(0.0);
  for (std::size_t j = 0; j < joints.size(); ++j) {
    if (const auto axis = program_axis(joints[j])) point[*axis] = pose[j];
  }
  return point - offset.at;
}

}  // namespace bight::machine
