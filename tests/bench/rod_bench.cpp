// Rods and catenaries: solves a second, with the Newton steps spent beside the time.

#include <benchmark/benchmark.h>

#include <cmath>

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

}  // namespace
}  // namespace bight::rod

BENCHMARK_MAIN();
