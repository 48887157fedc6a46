#include "rod/swing.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "base/check.h"
#include "rod/banded.h"

namespace bight::rod {
namespace {

constexpr double k_per_m = 1000.0;  // N/mm over kg, in 1/s^2

/// Stiffness and mass over the free joints: 1 to n - 1, or to n when the end is free.
class SidewaysSystem {
 public:
  SidewaysSystem(const SidewaysForm& form, bool end_is_free)
      : form_(form), free_(form.link.size() - (end_is_free ? 0 : 1)) {}

  std::size_t size() const { return free_; }
  double mass(std::size_t row) const { return form_.mass_kg[row + 1]; }

  /// Stiffness - omega^2 mass. The columns of the fixed ends go to the right-hand sides for a unit
  /// displacement of the start and of the end.
  BandedSymmetric matrix(double omega_squared, std::vector<double>* start,
                         std::vector<double>* end) const {
    BandedSymmetric m(free_);
    const std::size_t n = form_.link.size();
    const auto add = [&](double stiffness, std::initializer_list<std::size_t> joints,
                         std::initializer_list<double> weights) {
      const auto* joint = joints.begin();
      const auto* weight = weights.begin();
      for (std::size_t a = 0; a < joints.size(); ++a) {
        if (!is_free(joint[a])) continue;
        for (std::size_t b = 0; b < joints.size(); ++b) {
          const double value = stiffness * weight[a] * weight[b];
          if (is_free(joint[b])) {
            if (joint[b] <= joint[a]) m.add(joint[a] - 1, joint[b] - 1, value);
          } else if (joint[b] == 0) {
            if (start != nullptr) (*start)[joint[a] - 1] -= value;
          } else if (end != nullptr) {
            (*end)[joint[a] - 1] -= value;
          }
        }
      }
    };
    for (std::size_t j = 0; j < n; ++j) add(form_.link[j], {j, j + 1}, {-1.0, 1.0});
    for (std::size_t i = 1; i < n; ++i) {
      add(form_.joint[i - 1], {i - 1, i, i + 1}, {1.0, -2.0, 1.0});
    }
    if (form_.start_clamp > 0.0) add(form_.start_clamp, {0, 1}, {-1.0, 1.0});
    if (form_.end_clamp > 0.0) add(form_.end_clamp, {n - 1, n}, {-1.0, 1.0});
    for (std::size_t r = 0; r < free_; ++r) m.add(r, r, -omega_squared / k_per_m * mass(r));
    return m;
  }

 private:
  bool is_free(std::size_t joint) const { return joint >= 1 && joint <= free_; }

  const SidewaysForm& form_;
  std::size_t free_;
};

/// Number of modes slower than omega (Sylvester's law of inertia).
std::size_t slower(const SidewaysSystem& system, double omega_squared) {
  return system.matrix(omega_squared, nullptr, nullptr).factor();
}

/// omega^2 of mode k (from 0) by bisection.
double find_square(const SidewaysSystem& system, std::size_t k) {
  double upper = 1.0;
  while (slower(system, upper) <= k) upper *= 4.0;
  double lower = 0.0;
  constexpr int k_steps = 60;
  for (int i = 0; i < k_steps && upper - lower > 1e-13 * upper; ++i) {
    const double middle = 0.5 * (lower + upper);
    (slower(system, middle) <= k ? lower : upper) = middle;
  }
  return 0.5 * (lower + upper);
}

/// Inverse iteration close to the eigenvalue.
std::vector<double> find_shape(const SidewaysSystem& system, double omega_squared) {
  BandedSymmetric m = system.matrix(omega_squared * (1.0 - 1e-9), nullptr, nullptr);
  m.factor();
  std::vector<double> u(system.size());
  for (std::size_t i = 0; i < u.size(); ++i) u[i] = 1.0 + 0.37 * std::sin(static_cast<double>(i));
  constexpr int k_iterations = 4;
  for (int i = 0; i < k_iterations; ++i) {
    for (std::size_t r = 0; r < u.size(); ++r) u[r] *= system.mass(r);
    m.solve(u);
    double most = 0.0;
    for (const double v : u) most = std::abs(v) > std::abs(most) ? v : most;
    for (double& v : u) v /= most;
  }
  return u;
}

double share(const SidewaysSystem& system, const std::vector<double>& mode,
             const std::vector<double>& slow) {
  double along = 0.0;
  double square = 0.0;
  for (std::size_t r = 0; r < mode.size(); ++r) {
    along += mode[r] * system.mass(r) * slow[r];
    square += mode[r] * system.mass(r) * mode[r];
  }
  return along / square;
}

bool in_one_vertical_plane(const SpatialRodProblem& p) {
  std::vector<Vec3> directions;
  if (!p.end_is_free) directions.push_back(p.end - p.start);
  if (p.start_tangent) directions.push_back(*p.start_tangent);
  if (p.end_tangent && !p.end_is_free) directions.push_back(*p.end_tangent);
  Vec3 along(0.0);
  for (const Vec3& d : directions) {
    if (std::hypot(d.x, d.y) > 1e-9 * glm::length(d)) along = Vec3(d.x, d.y, 0.0);
  }
  if (along == Vec3(0.0)) return true;
  const Vec3 across = glm::normalize(Vec3(-along.y, along.x, 0.0));
  return std::all_of(directions.begin(), directions.end(), [&](const Vec3& d) {
    return std::abs(glm::dot(d, across)) <= 1e-6 * glm::length(d);
  });
}

}  // namespace

SwingModes swing_modes(const SpatialRodProblem& problem, int count, int segments) {
  BIGHT_CHECK(problem.obstacles.empty() && count >= 1);
  SwingModes result;
  if (!in_one_vertical_plane(problem) || !(problem.mass_kg_m > 0.0)) return result;
  SpatialRodSolver solver(segments);
  result.report = solver.solve_cold(problem);
  if (!result.report.converged()) return result;
  const SidewaysForm form = solver.sideways_form();
  const SidewaysSystem system(form, problem.end_is_free);

  std::vector<double> slow_start(system.size(), 0.0);
  std::vector<double> slow_end(system.size(), 0.0);
  BandedSymmetric still = system.matrix(0.0, &slow_start, &slow_end);
  still.factor();
  still.solve(slow_start);
  still.solve(slow_end);

  const std::size_t wanted = std::min(static_cast<std::size_t>(count), system.size());
  for (std::size_t k = 0; k < wanted; ++k) {
    const double square = find_square(system, k);
    SwingMode mode;
    mode.omega_rad_s = std::sqrt(square);
    mode.period_s = 2.0 * std::numbers::pi / mode.omega_rad_s;
    const std::vector<double> u = find_shape(system, square);
    mode.share_of_start = share(system, u, slow_start);
    mode.share_of_end = share(system, u, slow_end);
    mode.shape.assign(static_cast<std::size_t>(segments) + 1, 0.0);
    std::copy(u.begin(), u.end(), mode.shape.begin() + 1);
    result.modes.push_back(std::move(mode));
  }
  return result;
}

// Against the slowly moved line each mode obeys q'' + omega^2 q = -share b''. The end's
// acceleration b'' is a sum of steps, and a step of size a at the time t adds -(share a / omega^2)
// (1 - cos omega (T - t)). After the last step the constants cancel; what is left is an
// oscillation.
SwingAmplitude swing_after(const SwingModes& modes, const AcrossMove& move) {
  const double a = move.acceleration_mm_s2;
  const bool valid = move.distance_mm >= 0.0 && move.speed_mm_s > 0.0 && a > 0.0;
  BIGHT_CHECK(valid);
  const double speed = std::min(move.speed_mm_s, std::sqrt(a * move.distance_mm));
  const double ramp = speed / a;
  const double whole = speed > 0.0 ? move.distance_mm / speed + ramp : 0.0;
  const std::size_t joints = modes.modes.empty() ? 0 : modes.modes.front().shape.size();
  std::vector<double> after(joints, 0.0);
  std::vector<double> greatest(joints, 0.0);
  for (const SwingMode& mode : modes.modes) {
    const double share = move.moves_start ? mode.share_of_start : mode.share_of_end;
    const double unit = std::abs(share) * a / (mode.omega_rad_s * mode.omega_rad_s);
    const auto turn = [&](double t) { return std::polar(1.0, -mode.omega_rad_s * t); };
    const std::complex<double> first = turn(0.0) - turn(ramp);
    const std::complex<double> second = turn(whole) - turn(whole - ramp);
    const double left = std::abs(first + second);
    // During each phase: offset of the phase's acceleration + oscillation so far.
    const double most = std::max({1.0 + std::abs(turn(0.0)), std::abs(first),
                                  1.0 + std::abs(first - turn(whole - ramp)), left});
    for (std::size_t i = 0; i < joints; ++i) {
      after[i] += unit * left * std::abs(mode.shape[i]);
      greatest[i] += unit * most * std::abs(mode.shape[i]);
    }
  }
  SwingAmplitude result;
  for (std::size_t i = 0; i < joints; ++i) {
    result.after_mm = std::max(result.after_mm, after[i]);
    result.greatest_mm = std::max(result.greatest_mm, greatest[i]);
  }
  return result;
}

}  // namespace bight::rod
