// The derivative of what rod/line_motion.h leaves of the forces, and Newton's step by it.

#include "rod/line_motion.h"
#include "rod/line_motion_detail.h"
#include "rod/motion_unit.h"

namespace bight::rod {

using motion_detail::mean_slope;
using motion_detail::second_difference;

namespace {

/// Derivative of the force by the second difference at the step's end, made symmetric.
Mat3 bend_slope(double stiffness, double l, const Vec3& d0, const Vec3& d1) {
  const double square = glm::dot(d1, d1);
  const double s = mean_slope(stiffness, l, glm::dot(d0, d0), square);
  const Vec3 mean = 0.5 * (d0 + d1);
  return s * (Mat3(0.5) + 2.0 / (4.0 * l * l - square) * glm::outerProduct(mean, mean));
}

}  // namespace

/// Of the force on joint `row` by the place of joint `column` <= row, also where one of them is
/// set.
void LineMotion::add(std::size_t row, std::size_t column, const Mat3& block) {
  if (!is_set(row) && !is_set(column)) {
    matrix_.add_block(4 * row, 4 * column, block);
    return;
  }
  if (row == column) {
    end_corners_[row == 0 ? 0 : 1] += block;
    return;
  }
  const bool start = column == 0;
  const std::size_t other = start ? row : column;
  for (int axis = 0; axis < 3; ++axis) {
    std::vector<double>& by = end_columns_[start ? 0 : 1][static_cast<std::size_t>(axis)];
    for (int k = 0; k < 3; ++k) by[4 * other + static_cast<std::size_t>(k)] += block[axis][k];
  }
}

void LineMotion::add_bumper() {
  if (pressed(next_) == 0.0) return;
  const Mat3 slope =
      0.5 * bumper_.stiffness_N_m / 1000.0 * glm::outerProduct(bumper_.along, bumper_.along);
  for (Mat3& corner : end_corners_) corner += slope;
  between_ends_ = -slope;
}

/// Where the step's mean stands in one equation and its end in the other, the mean is taken in
/// both. A joint's three unknowns are followed by the tension of the link that ends there; what it
/// cannot do is the identity.
void LineMotion::factor(double seconds) {
  const std::size_t n = links();
  const double l = link(next_length_);
  matrix_.clear();
  end_corners_.fill(Mat3(0.0));
  between_ends_ = Mat3(0.0);
  for (auto& end : end_columns_) {
    for (auto& column : end) column.assign(matrix_.size(), 0.0);
  }
  for (std::size_t i = 0; i <= n; ++i) {
    const Mat3 inertia(2.0 * mass_kg_[i] * k_N_per_kg_mm_s2 / (seconds * seconds));
    add(i, i, inertia);
    if (is_set(i)) matrix_.add_block(4 * i, 4 * i, Mat3(1.0));
  }
  matrix_.add(3, 3, 1.0);
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = 0.5 / l * (next_[j + 1] - next_[j] + position_[j + 1] - position_[j]);
    const Mat3 pull(0.5 * tension_[j] / l);
    add(j + 1, j + 1, pull);
    add(j, j, pull);
    add(j + 1, j, -pull);
    for (int axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<std::size_t>(axis);
      const std::size_t row = 4 * (j + 1) + 3;
      if (is_set(j + 1)) {
        end_columns_[1][a][row] += e[axis];
      } else {
        matrix_.add(row, 4 * (j + 1) + a, e[axis]);
      }
      if (is_set(j)) {
        end_columns_[0][a][row] -= e[axis];
      } else {
        matrix_.add(row, 4 * j + a, -e[axis]);
      }
    }
  }
  for (std::size_t i = 1; i < n; ++i) {
    const Mat3 h =
        bend_slope(stiffness_, l, second_difference(position_, i), second_difference(next_, i));
    add(i + 1, i + 1, h);
    add(i + 1, i, -2.0 * h);
    add(i + 1, i - 1, h);
    add(i, i, 4.0 * h);
    add(i, i - 1, -2.0 * h);
    add(i - 1, i - 1, h);
  }
  const auto add_clamp = [&](std::size_t j, const Vec3& tangent) {
    const Vec3 clamp = l * tangent;
    const Mat3 h = bend_slope(2.0 * stiffness_, l, position_[j + 1] - position_[j] - clamp,
                              next_[j + 1] - next_[j] - clamp);
    add(j + 1, j + 1, h);
    add(j + 1, j, -h);
    add(j, j, h);
  };
  if (problem_.start_tangent) add_clamp(0, *problem_.start_tangent);
  if (problem_.end_tangent && !problem_.end_is_free) add_clamp(n - 1, *problem_.end_tangent);
  add_bumper();
  matrix_.factor();
}

std::vector<double> LineMotion::equations() const {
  std::vector<double> all(matrix_.size(), 0.0);
  for (std::size_t i = 0; i < position_.size(); ++i) {
    for (int axis = 0; axis < 3 && !is_set(i); ++axis) {
      all[4 * i + static_cast<std::size_t>(axis)] = force_[i][axis];
    }
    if (i > 0) all[4 * i + 3] = stretch_[i - 1];
  }
  return all;
}

std::vector<double> LineMotion::column(const LineRates& rates, double seconds, double weight_N) {
  std::vector<double> sum(matrix_.size(), 0.0);
  const auto add_times = [&sum](double times, const std::vector<double>& more) {
    if (times == 0.0) return;
    for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += times * more[i];
  };
  for (int axis = 0; axis < 3; ++axis) {
    const auto a = static_cast<std::size_t>(axis);
    add_times(rates.start[axis], end_columns_[0][a]);
    add_times(rates.end[axis], end_columns_[1][a]);
  }
  if (rates.length == 0.0) return sum;
  const double step = 1e-5 * problem_.length_mm;  // a difference: the equations are smooth in it
  next_length_ += step;
  evaluate(seconds, weight_N);
  const std::vector<double> more = equations();
  const double more_force = length_force_N_;
  next_length_ -= step;
  evaluate(seconds, weight_N);
  length_corner_ = (more_force - length_force_N_) / step;
  add_times(rates.length / step, more);
  add_times(-rates.length / step, equations());
  return sum;
}

double LineMotion::corner(const LineRates& a, const LineRates& b) const {
  return glm::dot(a.start, end_corners_[0] * b.start) + glm::dot(a.end, end_corners_[1] * b.end) +
         glm::dot(a.start, between_ends_ * b.end) + glm::dot(a.end, between_ends_ * b.start) +
         a.length * b.length * length_corner_;
}

std::vector<double> LineMotion::correction() const {
  std::vector<double> change = equations();
  for (double& c : change) c = -c;
  matrix_.solve(change);
  return change;
}

void LineMotion::apply(std::span<const double> change, double factor) {
  for (std::size_t i = 0; i < next_.size(); ++i) {
    const double* d = change.data() + 4 * i;
    if (!is_set(i)) next_[i] += factor * Vec3(d[0], d[1], d[2]);
    if (i > 0) tension_[i - 1] += factor * d[3];
  }
}

}  // namespace bight::rod
