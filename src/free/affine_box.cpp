#include "free/affine_box.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/check.h"

namespace bight::free {
namespace {

/// Corners and faces are enumerated; plans have at most six joints.
constexpr std::size_t k_most_joints = 12;

AffineBox from_pair(const AnchorPair& pair, const Vec3& keep) {
  BIGHT_CHECK(pair.joints.size() <= k_most_joints);
  AffineBox box;
  box.base = keep * (pair.end - pair.start);
  for (const JointMotion& j : pair.joints) {
    box.direction.push_back(keep * (j.end - j.start));
    box.lower.push_back(j.lower);
    box.upper.push_back(j.upper);
  }
  return box;
}

/// Search over the faces of the joint box: each joint at its lower limit, at its upper limit, or
/// free; the free ones solve their normal equations.
class NearestFace {
 public:
  explicit NearestFace(const AffineBox& box) : box_(box), pose_(box.lower) {}

  ExtremePose find() {
    visit(0, box_.base);
    best_.distance_mm = std::sqrt(best_square_);
    return best_;
  }

 private:
  void visit(std::size_t joint, const Vec3& fixed) {
    if (joint == pose_.size()) {
      solve(fixed);
      return;
    }
    const Vec3& g = box_.direction[joint];
    pose_[joint] = box_.lower[joint];
    visit(joint + 1, fixed + box_.lower[joint] * g);
    if (g == Vec3(0.0) || !(box_.lower[joint] < box_.upper[joint])) return;
    pose_[joint] = box_.upper[joint];
    visit(joint + 1, fixed + box_.upper[joint] * g);
    if (count_ == 3) return;
    free_[count_++] = joint;
    visit(joint + 1, fixed);
    --count_;
  }

  /// Gram-Schmidt on the free directions, then back substitution.
  void solve(const Vec3& fixed) {
    std::array<Vec3, 3> basis{};
    std::array<std::array<double, 3>, 3> r{};
    for (std::size_t i = 0; i < count_; ++i) {
      Vec3 v = box_.direction[free_[i]];
      const double whole = glm::length(v);
      for (std::size_t k = 0; k < i; ++k) {
        r[k][i] = glm::dot(basis[k], v);
        v -= r[k][i] * basis[k];
      }
      r[i][i] = glm::length(v);
      // Dependent directions: the optimum also lies on a face with fewer free joints.
      if (!(r[i][i] > 1e-9 * whole)) return;
      basis[i] = v / r[i][i];
    }
    Vec3 at = fixed;
    std::array<double, 3> x{};
    for (std::size_t i = count_; i-- > 0;) {
      double rest = -glm::dot(basis[i], fixed);
      for (std::size_t k = i + 1; k < count_; ++k) rest -= r[i][k] * x[k];
      x[i] = rest / r[i][i];
    }
    for (std::size_t i = 0; i < count_; ++i) {
      const std::size_t joint = free_[i];
      x[i] = std::clamp(x[i], box_.lower[joint], box_.upper[joint]);
      at += x[i] * box_.direction[joint];
    }
    const double square = glm::dot(at, at);
    if (!(square < best_square_)) return;
    best_square_ = square;
    best_.pose = pose_;
    for (std::size_t i = 0; i < count_; ++i) best_.pose[free_[i]] = x[i];
  }

  const AffineBox& box_;
  Pose pose_;
  std::array<std::size_t, 3> free_{};
  std::size_t count_ = 0;
  double best_square_ = std::numeric_limits<double>::infinity();
  ExtremePose best_;
};

}  // namespace

AffineBox difference(const AnchorPair& pair) {
  return from_pair(pair, Vec3(1.0));
}

AffineBox horizontal_difference(const AnchorPair& pair) {
  return from_pair(pair, Vec3(1.0, 1.0, 0.0));
}

Vec3 image(const AffineBox& box, const Pose& pose) {
  Vec3 at = box.base;
  for (std::size_t i = 0; i < pose.size(); ++i) at += pose[i] * box.direction[i];
  return at;
}

double least_along(const AffineBox& box, const Vec3& direction) {
  double sum = glm::dot(direction, box.base);
  for (std::size_t i = 0; i < box.direction.size(); ++i) {
    const double rate = glm::dot(direction, box.direction[i]);
    sum += std::min(rate * box.lower[i], rate * box.upper[i]);
  }
  return sum;
}

double most_along(const AffineBox& box, const Vec3& direction) {
  return -least_along(box, -direction);
}

ExtremePose farthest_from_origin(const AffineBox& box) {
  std::vector<std::size_t> moving;
  for (std::size_t i = 0; i < box.direction.size(); ++i) {
    if (box.direction[i] != Vec3(0.0)) moving.push_back(i);
  }
  ExtremePose best{-1.0, box.lower};
  Pose pose = box.lower;
  for (std::size_t corner = 0; corner < (std::size_t{1} << moving.size()); ++corner) {
    for (std::size_t k = 0; k < moving.size(); ++k) {
      const std::size_t i = moving[k];
      pose[i] = ((corner >> k) & 1U) != 0 ? box.upper[i] : box.lower[i];
    }
    const double distance = glm::length(image(box, pose));
    if (distance > best.distance_mm) best = {distance, pose};
  }
  return best;
}

ExtremePose nearest_to_origin(const AffineBox& box) {
  return NearestFace(box).find();
}

double distance_below(const AffineBox& box, const Vec3& point) {
  const double length = glm::length(point);
  return length > 0.0 ? std::max(0.0, least_along(box, point / length)) : 0.0;
}

}  // namespace bight::free
