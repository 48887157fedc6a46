#include "free/reach_ellipsoid.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "free/hanging.h"
#include "free/line_geometry.h"

namespace bight::free {
namespace {

/// Of a step before a line search gives up.
constexpr int k_halvings = 30;

/// Minimises |d| + |e| over a box of unknowns y = (point, joint values), where d = point - start
/// and e = point - end are affine in y. Both norms are rounded off to sqrt(d.d + eps^2), eps
/// falling to a fraction of the tolerance, and each smooth problem is solved by Newton's method
/// with an active set of limits (Nocedal and Wright, Numerical Optimization, 2006, ch. 16).
///
/// The bound: for any u, v with |u|, |v| <= 1, |d| + |e| >= u.d + v.e, whose minimum over a box is
/// had by choosing each unknown's limit by the sign of its coefficient. With u = d / sqrt(d.d +
/// eps^2) and v alike, the coefficients are the gradient of the smooth function, so the bound is
/// within 2 eps of the value at its minimum, and valid at any point.
class ReachProblem {
 public:
  ReachProblem(const AnchorPair& anchors, const Box& target)
      : first_(-anchors.start), second_(-anchors.end) {
    for (int i = 0; i < 3; ++i) {
      Vec3 axis(0.0);
      axis[i] = 1.0;
      add_unknown(axis, axis, target.lower[i], target.upper[i]);
    }
    for (const JointMotion& j : anchors.joints) {
      add_unknown(-j.start, -j.end, j.lower, j.upper);
    }
    for (std::size_t i = 0; i < size(); ++i) {
      y_.push_back(0.5 * (lower_[i] + upper_[i]));
      const double most = std::max(std::abs(lower_[i]), std::abs(upper_[i]));
      scale_ += most * (glm::length(a_[i]) + glm::length(b_[i]));
    }
    scale_ += glm::length(first_) + glm::length(second_);
    step_.resize(size());
    trial_.resize(size());
    matrix_.resize(size() * size());
  }

  ReachBound solve(const ReachOptions& options) {
    constexpr int k_newton_steps = 60;
    constexpr double k_shrink = 0.05;
    double eps = 0.1 * scale_;
    while (true) {
      for (int i = 0; i < k_newton_steps; ++i) {
        const double before = evaluate(y_, eps);
        update_bounds();
        const std::optional<double>& enough = options.enough_mm;
        const bool answered = enough && (best_lower_ > *enough || best_upper_ <= *enough);
        if (answered || best_upper_ - best_lower_ <= options.tolerance_mm) return result();
        if (!newton_step(before, eps)) break;
      }
      // Below this the norms are exact to rounding.
      if (eps <= 1e-13 * scale_) return result();
      eps *= k_shrink;
    }
  }

 private:
  std::size_t size() const { return a_.size(); }

  void add_unknown(const Vec3& a, const Vec3& b, double lower, double upper) {
    a_.push_back(a);
    b_.push_back(b);
    lower_.push_back(lower);
    upper_.push_back(upper);
  }

  /// Sets d, e, u, v and the gradient at y; returns the smooth value.
  double evaluate(const std::vector<double>& y, double eps) {
    d_ = first_;
    e_ = second_;
    for (std::size_t i = 0; i < size(); ++i) {
      d_ += y[i] * a_[i];
      e_ += y[i] * b_[i];
    }
    smooth_d_ = std::sqrt(glm::dot(d_, d_) + eps * eps);
    smooth_e_ = std::sqrt(glm::dot(e_, e_) + eps * eps);
    u_ = d_ / smooth_d_;
    v_ = e_ / smooth_e_;
    return smooth_d_ + smooth_e_;
  }

  double gradient(std::size_t i) const { return glm::dot(a_[i], u_) + glm::dot(b_[i], v_); }

  void update_bounds() {
    const double value = glm::length(d_) + glm::length(e_);
    if (value < best_upper_) {
      best_upper_ = value;
      best_y_ = y_;
    }
    double bound = glm::dot(u_, first_) + glm::dot(v_, second_);
    for (std::size_t i = 0; i < size(); ++i) {
      bound += std::min(gradient(i) * lower_[i], gradient(i) * upper_[i]);
    }
    bound -= 1e-14 * scale_;  // rounding of the sum above
    best_lower_ = std::max({best_lower_, bound, 0.0});
    best_lower_ = std::min(best_lower_, best_upper_);
  }

  /// One step within the box; false when none improves.
  bool newton_step(double before, double eps) {
    free_.clear();
    for (std::size_t i = 0; i < size(); ++i) {
      const double g = gradient(i);
      const bool held = (y_[i] <= lower_[i] && g >= 0.0) || (y_[i] >= upper_[i] && g <= 0.0);
      if (!held) free_.push_back(i);
    }
    // An unknown at its limit that the coupled step would push out is held for this step too.
    std::size_t pushed_out = 0;
    do {
      if (free_.empty()) return false;
      solve_free();
      pushed_out = 0;
      for (std::size_t k = 0; k < free_.size(); ++k) {
        const std::size_t i = free_[k];
        const bool out =
            (y_[i] <= lower_[i] && step_[k] > 0.0) || (y_[i] >= upper_[i] && step_[k] < 0.0);
        if (out) {
          ++pushed_out;
        } else {
          free_[k - pushed_out] = i;
        }
      }
      free_.resize(free_.size() - pushed_out);
    } while (pushed_out > 0);

    double expected = 0.0;
    double longest = 1.0;
    for (std::size_t k = 0; k < free_.size(); ++k) {
      const std::size_t i = free_[k];
      expected += gradient_[k] * step_[k];
      const double room = step_[k] > 0.0 ? y_[i] - lower_[i] : upper_[i] - y_[i];
      if (std::abs(step_[k]) > room) longest = std::min(longest, room / std::abs(step_[k]));
    }
    if (!(expected > 0.0)) return false;
    double length = longest;
    for (int i = 0; i < k_halvings; ++i, length *= 0.5) {
      trial_ = y_;
      for (std::size_t k = 0; k < free_.size(); ++k) {
        const std::size_t i = free_[k];
        trial_[i] = std::clamp(y_[i] - length * step_[k], lower_[i], upper_[i]);
      }
      if (evaluate(trial_, eps) <= before - 1e-4 * length * expected) {
        const bool moved = trial_ != y_;
        y_ = trial_;
        return moved;
      }
    }
    return false;
  }

  /// step_ = (Hessian + small multiple of the identity)^-1 gradient on the free unknowns, by
  /// Cholesky; the addition makes flat directions (the ellipsoid's segment) harmless.
  void solve_free() {
    const std::size_t n = free_.size();
    gradient_.resize(n);
    double trace = 0.0;
    for (std::size_t r = 0; r < n; ++r) {
      gradient_[r] = gradient(free_[r]);
      for (std::size_t c = 0; c <= r; ++c) {
        const std::size_t i = free_[r];
        const std::size_t j = free_[c];
        matrix_[r * n + c] =
            (glm::dot(a_[i], a_[j]) - glm::dot(a_[i], u_) * glm::dot(a_[j], u_)) / smooth_d_ +
            (glm::dot(b_[i], b_[j]) - glm::dot(b_[i], v_) * glm::dot(b_[j], v_)) / smooth_e_;
      }
      trace += matrix_[r * n + r];
    }
    const double least = 1e-9 * trace + 1e-12 / scale_;
    for (std::size_t r = 0; r < n; ++r) matrix_[r * n + r] += least;
    for (std::size_t r = 0; r < n; ++r) {
      for (std::size_t c = 0; c <= r; ++c) {
        double sum = matrix_[r * n + c];
        for (std::size_t k = 0; k < c; ++k) sum -= matrix_[r * n + k] * matrix_[c * n + k];
        matrix_[r * n + c] = r == c ? std::sqrt(std::max(sum, least)) : sum / matrix_[c * n + c];
      }
    }
    for (std::size_t r = 0; r < n; ++r) {
      step_[r] = gradient_[r];
      for (std::size_t k = 0; k < r; ++k) step_[r] -= matrix_[r * n + k] * step_[k];
      step_[r] /= matrix_[r * n + r];
    }
    for (std::size_t r = n; r-- > 0;) {
      for (std::size_t k = r + 1; k < n; ++k) step_[r] -= matrix_[k * n + r] * step_[k];
      step_[r] /= matrix_[r * n + r];
    }
  }

  ReachBound result() const {
    return {best_lower_, best_upper_, Vec3(best_y_[0], best_y_[1], best_y_[2]),
            Pose(best_y_.begin() + 3, best_y_.end())};
  }

  Vec3 first_;   ///< d = first_ + sum of y_i a_i
  Vec3 second_;  ///< e = second_ + sum of y_i b_i
  std::vector<Vec3> a_;
  std::vector<Vec3> b_;
  std::vector<double> lower_;
  std::vector<double> upper_;
  double scale_ = 0.0;

  std::vector<double> y_;
  Vec3 d_{0.0};
  Vec3 e_{0.0};
  Vec3 u_{0.0};
  Vec3 v_{0.0};
  double smooth_d_ = 0.0;
  double smooth_e_ = 0.0;

  std::vector<double> best_y_;
  double best_lower_ = 0.0;
  double best_upper_ = std::numeric_limits<double>::infinity();

  std::vector<std::size_t> free_;
  std::vector<double> gradient_;
  std::vector<double> step_;
  std::vector<double> trial_;
  std::vector<double> matrix_;
};

}  // namespace

ReachBound reach_bound(const AnchorPair& anchors, const Box& target, const ReachOptions& options) {
  if (target.empty()) {
    constexpr double k_infinity = std::numeric_limits<double>::infinity();
    return {k_infinity, k_infinity, Vec3(0.0), all_poses(anchors).lower};
  }
  return ReachProblem(anchors, target).solve(options);
}

bool proved_out_of_reach(const AnchorPair& anchors, double length_mm, double radius_mm,
                         double clearance_mm, const Box& target) {
  // A point at the distance c from a point x of the line: |y - P| + |y - Q| <= L + 2 c.
  const double enough = length_mm + 2.0 * (radius_mm + clearance_mm);
  return reach_bound(anchors, target, {.enough_mm = enough}).lower_mm > enough;
}

Box limp_line_box(const AnchorPair& anchors, double length_mm) {
  const EndExtremes e = LineGeometry(anchors).extremes(all_poses(anchors));
  Box box;
  for (const Pose& pose : corner_poses(anchors)) {
    box.extend(start_at(anchors, pose));
    box.extend(end_at(anchors, pose));
  }
  box.upper.z = std::max(e.start_highest, e.end_highest);
  box.lower.z = lowest_over_travel(anchors, length_mm).lower_mm;
  return box;
}

}  // namespace bight::free
