#pragma once
// Limited-memory BFGS for the small smooth problems of circle packing (Nocedal and Wright,
// Numerical Optimization, 2nd ed., algorithm 7.4) with a weak Wolfe line search. It allocates once
// for any number of minimisations of one size.

#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace bight::line {

/// Stops when the largest component of the gradient is at most `gradient`, or after `iterations`,
/// or when no step lowers the value any more.
struct LbfgsOptions {
  double gradient = 1e-8;
  int iterations = 200;
};

class Lbfgs {
 public:
  explicit Lbfgs(std::size_t size) : size_(size), gradient_(size), step_(size), next_(size) {
    next_gradient_.resize(size);
    for (Pair& p : pairs_) {
      p.s.resize(size);
      p.y.resize(size);
    }
  }

  /// Lowers `evaluate(x, gradient) -> value` from x on, in place; returns the value reached.
  template <typename Evaluate>
  double minimise(std::span<double> x, const Evaluate& evaluate, const LbfgsOptions& options) {
    count_ = 0;
    double value = evaluate(std::span<const double>(x), std::span<double>(gradient_));
    for (int iteration = 0; iteration < options.iterations; ++iteration) {
      if (!(largest(gradient_) > options.gradient)) break;
      direction();
      double slope = dot(gradient_, step_);
      if (!(slope < 0.0)) {  // the memory has gone stale: start again from steepest descent
        count_ = 0;
        direction();
        slope = dot(gradient_, step_);
      }
      const std::optional<double> next_value = search(x, value, slope, evaluate);
      if (!next_value) break;
      remember(x);
      value = *next_value;
      for (std::size_t i = 0; i < size_; ++i) x[i] = next_[i];
      gradient_.swap(next_gradient_);
    }
    return value;
  }

 private:
  /// Weak Wolfe conditions by bisection (Lewis and Overton, Mathematical Programming 141, 2013):
  /// the value falls enough and the slope has risen enough, so that a step out of a saddle grows.
  /// Fills next_ and next_gradient_; nothing when the value cannot be lowered any more.
  template <typename Evaluate>
  std::optional<double> search(std::span<const double> x, double value, double slope,
                               const Evaluate& evaluate) {
    const auto at = [&](double length) {
      for (std::size_t i = 0; i < size_; ++i) next_[i] = x[i] + length * step_[i];
      return evaluate(std::span<const double>(next_), std::span<double>(next_gradient_));
    };
    double low = 0.0;
    double high = std::numeric_limits<double>::infinity();
    double length = 1.0;
    for (int trial = 0; trial < 30; ++trial) {
      const double next_value = at(length);
      if (!(next_value <= value + 1e-4 * length * slope)) {
        high = length;
      } else if (dot(next_gradient_, step_) < 0.9 * slope) {
        low = length;
      } else {
        return next_value;
      }
      length = std::isfinite(high) ? 0.5 * (low + high) : 2.0 * low;
    }
    if (low > 0.0) return at(low);
    return {};
  }

  static constexpr std::size_t k_memory = 8;
  struct Pair {
    std::vector<double> s;  ///< step
    std::vector<double> y;  ///< change of the gradient
    double rho = 0.0;       ///< 1 / (s . y)
  };

  static double dot(const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum;
  }
  static double largest(const std::vector<double>& v) {
    double most = 0.0;
    for (const double e : v) most = std::fmax(most, std::fabs(e));
    return most;
  }

  /// step = -(inverse Hessian estimate) gradient, by the two-loop recursion.
  void direction() {
    for (std::size_t i = 0; i < size_; ++i) step_[i] = -gradient_[i];
    const std::size_t kept = count_ < k_memory ? count_ : k_memory;
    if (kept == 0) {
      // A first step of a tenth of the unit of length keeps circles from jumping past each other.
      const double scale = 0.1 / std::fmax(0.1, largest(gradient_));
      for (double& e : step_) e *= scale;
      return;
    }
    std::array<double, k_memory> alpha{};
    for (std::size_t k = 0; k < kept; ++k) {
      const Pair& p = pairs_[(count_ - 1 - k) % k_memory];
      alpha[k] = p.rho * dot(p.s, step_);
      for (std::size_t i = 0; i < size_; ++i) step_[i] -= alpha[k] * p.y[i];
    }
    const Pair& last = pairs_[(count_ - 1) % k_memory];
    const double scale = 1.0 / (last.rho * dot(last.y, last.y));
    for (double& e : step_) e *= scale;
    for (std::size_t k = kept; k-- > 0;) {
      const Pair& p = pairs_[(count_ - 1 - k) % k_memory];
      const double beta = p.rho * dot(p.y, step_);
      for (std::size_t i = 0; i < size_; ++i) step_[i] += (alpha[k] - beta) * p.s[i];
    }
  }

  void remember(std::span<const double> x) {
    Pair& p = pairs_[count_ % k_memory];
    double sy = 0.0;
    double yy = 0.0;
    for (std::size_t i = 0; i < size_; ++i) {
      p.s[i] = next_[i] - x[i];
      p.y[i] = next_gradient_[i] - gradient_[i];
      sy += p.s[i] * p.y[i];
      yy += p.y[i] * p.y[i];
    }
    if (!(sy > 1e-12 * yy)) return;  // no curvature seen: the pair would spoil positiveness
    p.rho = 1.0 / sy;
    ++count_;
  }

  std::size_t size_;
  std::size_t count_ = 0;
  std::array<Pair, k_memory> pairs_;
  std::vector<double> gradient_, step_, next_, next_gradient_;
};

}  // namespace bight::line
