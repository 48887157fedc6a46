// Rods and catenaries: solves a second, with the Newton steps spent beside the time.

#include <benchmark/benchmark.h>

#include <eigen3/Eigen/SparseCholesky>

#include <algorithm>
#include <cmath>
#include <vector>

#include "rod/catenary.h"
#include "rod/catenary_length.h"
#include "rod/planar_rod.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

void catenary(benchmark::State& state) {
  double span = 1800.0;
  for (auto _ : state) {
    span = span > 2200.0 ? 1800.0 : span + 0.7;
    benchmark::DoNotOptimize(solve_catenary({span, 200.0, 3000.0, 0.2}));
  }
}
BENCHMARK(catenary);

void nearly_taut_catenary(benchmark::State& state) {
  double longer = 1e-9;
  for (auto _ : state) {
    longer = longer > 1e-6 ? 1e-9 : longer * 1.01;
    benchmark::DoNotOptimize(solve_catenary({800.0, 600.0, 1000.0 * (1.0 + longer), 0.2}));
  }
}
BENCHMARK(nearly_taut_catenary);

void lengths_for_a_pull(benchmark::State& state) {
  double span = 1800.0;
  for (auto _ : state) {
    span = span > 2200.0 ? 1800.0 : span + 0.7;
    benchmark::DoNotOptimize(lengths_for_pull(span, 200.0, 0.2, 20.0));
  }
}
BENCHMARK(lengths_for_a_pull);

/// A cable of 3 m and 0.2 kg/m, both ends clamped upright, spans 1.8 to 2.2 m.
PlanarRodProblem cable(double dx) {
  return {.length_mm = 3000.0,
          .mass_kg_m = 0.2,
          .stiffness_Nm2 = 0.02,
          .end = {dx, 200.0},
          .at_start = {EndKind::clamped, -90.0},
          .at_end = {EndKind::clamped, 90.0}};
}

/// Arguments: segments, step of the end in mm.
void planar_rod_warm(benchmark::State& state) {
  PlanarRodSolver solver(static_cast<int>(state.range(0)));
  auto step = static_cast<double>(state.range(1));
  double span = 2000.0;
  long steps = 0;
  long failures = 0;
  solver.solve(cable(span));
  for (auto _ : state) {
    if (span + step > 2200.0 || span + step < 1800.0) step = -step;
    span += step;
    const RodReport report = solver.solve(cable(span));
    steps += report.iterations;
    failures += report.converged() ? 0 : 1;
  }
  const auto solves = static_cast<double>(state.iterations());
  state.counters["newton_steps"] = static_cast<double>(steps) / solves;
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] = benchmark::Counter(solves, benchmark::Counter::kIsRate);
}
BENCHMARK(planar_rod_warm)->ArgsProduct({{64, 100}, {1, 5, 10, 50}});

/// Cold from the catenary, spans spread over 0.1 to 0.995 of taut; argument: EI in 1e-3 N m^2.
void planar_rod_cold(benchmark::State& state) {
  PlanarRodSolver solver(64);
  double fraction = 0.1;
  long steps = 0;
  long failures = 0;
  for (auto _ : state) {
    fraction = fraction + 0.0517 > 0.995 ? fraction + 0.0517 - 0.895 : fraction + 0.0517;
    PlanarRodProblem p = cable(std::sqrt(9e6 - 4e4) * fraction);
    p.stiffness_Nm2 = 1e-3 * static_cast<double>(state.range(0));
    const RodReport report = solver.solve_cold(p);
    steps += report.iterations;
    failures += report.converged() ? 0 : 1;
  }
  const auto solves = static_cast<double>(state.iterations());
  state.counters["newton_steps"] = static_cast<double>(steps) / solves;
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] = benchmark::Counter(solves, benchmark::Counter::kIsRate);
}
BENCHMARK(planar_rod_cold)->Arg(2)->Arg(20)->Arg(500);

/// The same cable with its end clamp turned out of the plane, moving across it.
SpatialRodProblem cable_in_space(double dx, double dy) {
  SpatialRodProblem p{.length_mm = 3000.0, .mass_kg_m = 0.2, .stiffness_Nm2 = 0.02};
  p.end = {dx, dy, 200.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_tangent = glm::normalize(Vec3(0.3, 0.5, 0.8));
  return p;
}

void spatial_rod_warm(benchmark::State& state) {
  SpatialRodSolver solver(static_cast<int>(state.range(0)));
  auto step = static_cast<double>(state.range(1));
  double span = 2000.0;
  long steps = 0;
  long failures = 0;
  solver.solve(cable_in_space(span, 0.0));
  for (auto _ : state) {
    if (span + step > 2200.0 || span + step < 1800.0) step = -step;
    span += step;
    const RodReport report = solver.solve(cable_in_space(span, 0.5 * (span - 2000.0)));
    steps += report.iterations;
    failures += report.converged() ? 0 : 1;
  }
  const auto solves = static_cast<double>(state.iterations());
  state.counters["newton_steps"] = static_cast<double>(steps) / solves;
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] = benchmark::Counter(solves, benchmark::Counter::kIsRate);
}
BENCHMARK(spatial_rod_warm)->ArgsProduct({{64, 100}, {1, 10, 50}});

void spatial_rod_cold(benchmark::State& state) {
  SpatialRodSolver solver(64);
  double fraction = 0.1;
  long steps = 0;
  long failures = 0;
  for (auto _ : state) {
    fraction = fraction + 0.0517 > 0.995 ? fraction + 0.0517 - 0.895 : fraction + 0.0517;
    SpatialRodProblem p = cable_in_space(std::sqrt(9e6 - 4e4) * fraction, 0.0);
    p.stiffness_Nm2 = 1e-3 * static_cast<double>(state.range(0));
    const RodReport report = solver.solve_cold(p);
    steps += report.iterations;
    failures += report.converged() ? 0 : 1;
  }
  const auto solves = static_cast<double>(state.iterations());
  state.counters["newton_steps"] = static_cast<double>(steps) / solves;
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] = benchmark::Counter(solves, benchmark::Counter::kIsRate);
}
BENCHMARK(spatial_rod_cold)->Arg(2)->Arg(20)->Arg(500);

/// A slack cable that sinks onto a floor 300 mm below its start as its end comes nearer.
void spatial_rod_on_floor(benchmark::State& state) {
  SpatialRodSolver solver(64);
  double step = -10.0;
  double span = 2400.0;
  long steps = 0;
  long failures = 0;
  for (auto _ : state) {
    if (span + step > 2400.0 || span + step < 1800.0) step = -step;
    span += step;
    SpatialRodProblem p = cable_in_space(span, 0.0);
    p.obstacles = {Floor{-300.0}};
    const RodReport report = solver.solve(p);
    steps += report.iterations;
    failures += report.converged() ? 0 : 1;
  }
  const auto solves = static_cast<double>(state.iterations());
  state.counters["newton_steps"] = static_cast<double>(steps) / solves;
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] = benchmark::Counter(solves, benchmark::Counter::kIsRate);
}
BENCHMARK(spatial_rod_on_floor);

/// The peer: the textbook way with a general sparse library. Positions only, stretch as a stiff
/// spring, Newton with a line search, Eigen's SimplicialLDLT. Same cable, ends pinned; the warm
/// start is the last shape. Stretches by about 1e-6 of its length, where the rods above do not
/// stretch.
class TextbookRod {
 public:
  TextbookRod(int segments, double dx) : n_(segments), x_(3 * (segments + 1)) {
    for (int i = 0; i <= n_; ++i) {  // a V of the right length
      const double s = static_cast<double>(i) / n_;
      const double down = std::sqrt(0.25 * (k_length * k_length - dx * dx));
      x_.segment<3>(3 * i) = Eigen::Vector3d(s * dx, 0.0, -down * (1.0 - std::abs(2.0 * s - 1.0)));
    }
  }

  /// Moves the end and solves; returns Newton steps, or -1.
  int solve(double dx, double dy) {
    x_.tail<3>() = Eigen::Vector3d(dx, dy, 200.0);
    for (int steps = 0; steps < 300; ++steps) {
      assemble(true);
      if (gradient_.lpNorm<Eigen::Infinity>() < 1e-8) return steps;
      factor();
      const Eigen::VectorXd step = solver_.solve(-gradient_);
      const double before = energy_;
      const Eigen::VectorXd start = x_;
      const double slope = gradient_.dot(step);
      double length = 1.0;
      for (int half = 0; half < 40; ++half, length *= 0.5) {
        x_ = start;
        x_.segment(3, step.size()) += length * step;
        assemble(false);
        if (energy_ <= before + 1e-4 * length * slope + 1e-12 * std::abs(before)) break;
      }
    }
    return -1;
  }

 private:
  static constexpr double k_length = 3000.0;
  static constexpr double k_bend = 0.02e6;              // N mm^2
  static constexpr double k_stretch = 5e5;              // N
  static constexpr double k_weight = 0.2 * 9.80665e-3;  // N/mm

  void add(int a, int b, const Eigen::Matrix3d& block) {
    if (a < 1 || b < 1 || a >= n_ || b >= n_) return;
    for (int r = 0; r < 3; ++r) {
      for (int c = 0; c < 3; ++c) {
        entries_.emplace_back(3 * (a - 1) + r, 3 * (b - 1) + c, block(r, c));
      }
    }
  }

  void assemble(bool derivatives) {
    const double l = k_length / n_;
    energy_ = 0.0;
    Eigen::VectorXd g = Eigen::VectorXd::Zero(x_.size());
    entries_.clear();
    for (int i = 0; i <= n_; ++i) {
      const double w = k_weight * l * (i == 0 || i == n_ ? 0.5 : 1.0);
      energy_ += w * x_[3 * i + 2];
      g[3 * i + 2] += w;
    }
    for (int j = 0; j < n_; ++j) {
      const Eigen::Vector3d e = x_.segment<3>(3 * j + 3) - x_.segment<3>(3 * j);
      const double size = e.norm();
      const double k = k_stretch / l;
      energy_ += 0.5 * k * (size - l) * (size - l);
      const Eigen::Vector3d t = e / size;
      g.segment<3>(3 * j + 3) += k * (size - l) * t;
      g.segment<3>(3 * j) -= k * (size - l) * t;
      if (!derivatives) continue;
      const double across = std::max(0.0, k * (size - l) / size);  // kept positive
      const Eigen::Matrix3d h =
          k * t * t.transpose() + across * (Eigen::Matrix3d::Identity() - t * t.transpose());
      add(j, j, h);
      add(j + 1, j + 1, h);
      add(j, j + 1, -h);
      add(j + 1, j, -h);
    }
    const double k = k_bend / (l * l * l);
    for (int i = 1; i < n_; ++i) {
      const Eigen::Vector3d d =
          x_.segment<3>(3 * i + 3) - 2.0 * x_.segment<3>(3 * i) + x_.segment<3>(3 * i - 3);
      energy_ += 0.5 * k * d.squaredNorm();
      const double weights[] = {1.0, -2.0, 1.0};
      for (int a = 0; a < 3; ++a) {
        g.segment<3>(3 * (i - 1 + a)) += k * weights[a] * d;
        if (!derivatives) continue;
        for (int b = 0; b < 3; ++b) {
          add(i - 1 + a, i - 1 + b, k * weights[a] * weights[b] * Eigen::Matrix3d::Identity());
        }
      }
    }
    gradient_ = g.segment(3, 3 * (n_ - 1));
  }

  void factor() {
    Eigen::SparseMatrix<double> h(3 * (n_ - 1), 3 * (n_ - 1));
    h.setFromTriplets(entries_.begin(), entries_.end());
    if (!analysed_) solver_.analyzePattern(h);
    analysed_ = true;
    solver_.factorize(h);
  }

  int n_;
  Eigen::VectorXd x_;
  Eigen::VectorXd gradient_;
  double energy_ = 0.0;
  std::vector<Eigen::Triplet<double>> entries_;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver_;
  bool analysed_ = false;
};

void textbook_rod_warm(benchmark::State& state) {
  TextbookRod rod(static_cast<int>(state.range(0)), 2000.0);
  auto step = static_cast<double>(state.range(1));
  double span = 2000.0;
  long steps = 0;
  long failures = rod.solve(span, 0.0) < 0 ? 1 : 0;
  for (auto _ : state) {
    if (span + step > 2200.0 || span + step < 1800.0) step = -step;
    span += step;
    const int used = rod.solve(span, 0.5 * (span - 2000.0));
    steps += std::max(used, 0);
    failures += used < 0 ? 1 : 0;
  }
  const auto solves = static_cast<double>(state.iterations());
  state.counters["newton_steps"] = static_cast<double>(steps) / solves;
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] = benchmark::Counter(solves, benchmark::Counter::kIsRate);
}
BENCHMARK(textbook_rod_warm)->ArgsProduct({{64, 100}, {1, 10, 50}});

}  // namespace
}  // namespace bight::rod

BENCHMARK_MAIN();
