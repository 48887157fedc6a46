// The rod beside a general physics library (MuJoCo): the same cable, a chain of capsules with
// bending springs at its joints, brought to rest to the same accuracy after its end was moved. One
// run of one program, so that the ratio means something on any machine.

#include <benchmark/benchmark.h>
#include <mujoco/mujoco.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "rod/planar_rod.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

constexpr double k_length_mm = 3000.0;
constexpr double k_mass_kg_m = 0.2;
constexpr double k_stiffness_Nm2 = 0.02;
constexpr int k_links = 64;
constexpr double k_accuracy_mm = 0.2;

/// Both ends pinned, 2 m apart and 0.2 m up.
PlanarRodProblem cable(double dx) {
  return {.length_mm = k_length_mm,
          .mass_kg_m = k_mass_kg_m,
          .stiffness_Nm2 = k_stiffness_Nm2,
          .end = {dx, 200.0}};
}

SpatialRodProblem cable_in_space(double dx, double dy) {
  SpatialRodProblem p{
      .length_mm = k_length_mm, .mass_kg_m = k_mass_kg_m, .stiffness_Nm2 = k_stiffness_Nm2};
  p.end = {dx, dy, 200.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_tangent = glm::normalize(Vec3(0.3, 0.5, 0.8));
  return p;
}

void planar_rod(benchmark::State& state) {
  PlanarRodSolver solver(static_cast<int>(state.range(0)));
  auto step = static_cast<double>(state.range(1));
  double span = 2000.0;
  long failures = solver.solve(cable(span)).converged() ? 0 : 1;
  for (auto _ : state) {
    if (span + step > 2200.0 || span + step < 1800.0) step = -step;
    span += step;
    failures += solver.solve(cable(span)).converged() ? 0 : 1;
  }
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] =
      benchmark::Counter(static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
}
BENCHMARK(planar_rod)->ArgsProduct({{64, 128}, {1, 5, 20}});

void spatial_rod(benchmark::State& state) {
  SpatialRodSolver solver(static_cast<int>(state.range(0)));
  auto step = static_cast<double>(state.range(1));
  double span = 2000.0;
  long failures = solver.solve(cable_in_space(span, 0.0)).converged() ? 0 : 1;
  for (auto _ : state) {
    if (span + step > 2200.0 || span + step < 1800.0) step = -step;
    span += step;
    const auto problem = cable_in_space(span, 0.5 * (span - 2000.0));
    failures += solver.solve(problem).converged() ? 0 : 1;
  }
  state.counters["failures"] = static_cast<double>(failures);
  state.counters["solves"] =
      benchmark::Counter(static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
}
BENCHMARK(spatial_rod)->ArgsProduct({{64, 128}, {1, 5, 20}});

/// The cable as nested bodies of one capsule each, joined by ball joints with springs EI / l; its
/// end held by a connect constraint to a body that is moved. Lengths in m.
class PhysicsCable {
 public:
  /// Starts in the given shape of the rod (k_links + 1 joints in the x-z plane, mm).
  PhysicsCable(const std::vector<Vec2>& joints, double viscosity, double time_step) {
    const std::string file = (std::filesystem::temp_directory_path() /
                              ("rod_peer_" + std::to_string(::getpid()) + ".xml"))
                                 .string();
    std::ofstream(file) << model(joints, viscosity, time_step);
    std::array<char, 1000> error{};
    model_ = mj_loadXML(file.c_str(), nullptr, error.data(), static_cast<int>(error.size()));
    std::filesystem::remove(file);
    if (model_ == nullptr) {
      std::fprintf(stderr, "%s\n", error.data());
      return;
    }
    data_ = mj_makeData(model_);
    mj_forward(model_, data_);
  }
  ~PhysicsCable() {
    if (data_ != nullptr) mj_deleteData(data_);
    if (model_ != nullptr) mj_deleteModel(model_);
  }
  PhysicsCable(const PhysicsCable&) = delete;
  PhysicsCable& operator=(const PhysicsCable&) = delete;

  bool usable() const { return data_ != nullptr; }
  void hold_end_at(double x_mm) { data_->mocap_pos[0] = 1e-3 * x_mm; }
  void step() { mj_step(model_, data_); }

  /// Farthest of its joints from the given ones, mm.
  double off(const std::vector<Vec2>& joints) const {
    double most = 0.0;
    for (int i = 0; i < k_links; ++i) {
      const double* at = data_->xpos + 3 * (i + 2);  // world and held body come first
      const Vec2& want = joints[static_cast<std::size_t>(i)];
      most = std::max(most, std::hypot(1e3 * at[0] - want.x, 1e3 * at[2] - want.y));
    }
    return most;
  }

 private:
  static std::string model(const std::vector<Vec2>& joints, double viscosity, double time_step) {
    const double l = 1e-3 * k_length_mm / k_links;
    std::ostringstream xml;
    xml.precision(12);
    xml << "<mujoco><compiler angle=\"radian\"/><size njmax=\"500\" nconmax=\"10\"/>"
        << "<option timestep=\"" << time_step << "\" gravity=\"0 0 -9.80665\" viscosity=\""
        << viscosity << "\" solver=\"Newton\" iterations=\"50\" tolerance=\"1e-12\">"
        << "<flag contact=\"disable\"/></option><worldbody>"
        << "<body name=\"held\" mocap=\"true\" pos=\"" << 1e-3 * joints.back().x << " 0 "
        << 1e-3 * joints.back().y << "\"/>";
    double before = 0.0;
    for (int i = 0; i < k_links; ++i) {
      const Vec2 d = joints[static_cast<std::size_t>(i) + 1] - joints[static_cast<std::size_t>(i)];
      const double angle = std::atan2(d.y, d.x);
      // Each body turned against the one before; the spring is straight at zero turn, so the turn
      // goes into the joint's reference position instead of the body.
      const double turn = angle - before;
      before = angle;
      const double stiffness = i == 0 ? 0.0 : k_stiffness_Nm2 / l;
      xml << "<body pos=\"" << (i == 0 ? 0.0 : l) << " 0 0\" euler=\"0 " << -turn << " 0\">"
          << "<joint type=\"hinge\" axis=\"0 -1 0\" ref=\"" << turn
          << "\" springref=\"0\" stiffness=\"" << stiffness << "\" damping=\"1e-4\"/>"
          << "<geom type=\"capsule\" fromto=\"0 0 0 " << l << " 0 0\" size=\"0.004\" mass=\""
          << k_mass_kg_m * l << "\"/>";
    }
    for (int i = 0; i < k_links; ++i) xml << "</body>";
    xml << "</worldbody><equality><connect body1=\"held\" body2=\"last\" anchor=\"0 0 0\" "
           "solref=\"0.004 1\" solimp=\"0.99 0.999 0.0001\"/></equality></mujoco>";
    std::string text = xml.str();
    // Name the last body, to which the end is connected.
    const std::size_t at = text.rfind("<body pos");
    return text.insert(at + 5, " name=\"last\"");
  }

  mjModel* model_ = nullptr;
  mjData* data_ = nullptr;
};

/// From rest at a span of 2 m the end moves out by 10 mm: time until all joints stay within 0.2 mm
/// of the rod's shape. Arguments: the medium's viscosity that brings it to rest, in 1e-3 Pa s (the
/// best is near the critical one), and the time step in ms. `off_at_rest_mm` is where it ends.
void physics_library(benchmark::State& state) {
  PlanarRodSolver solver(k_links);
  const bool known = solver.solve(cable(2000.0)).converged();
  const std::vector<Vec2> start = solver.points();
  const bool known_after = solver.solve(cable(2010.0)).converged();
  const std::vector<Vec2> rest = solver.points();
  const double viscosity = 1e-3 * static_cast<double>(state.range(0));
  const double time_step = 1e-3 * static_cast<double>(state.range(1));
  constexpr int k_most_steps = 6'000;
  constexpr int k_for_good = 1'000;  // steps inside
  double bias = 0.0;
  double seconds = 0.0;
  int last_outside = 0;
  for (auto _ : state) {
    PhysicsCable peer(start, viscosity, time_step);
    if (!peer.usable() || !known || !known_after) {
      state.SkipWithError("the cable could not be built");
      return;
    }
    peer.hold_end_at(2010.0);
    // The step after which it stays within the accuracy is known only afterwards: run long, note
    // the last step outside, and time a second run up to there.
    last_outside = 0;
    for (int i = 1; i <= k_most_steps; ++i) {
      peer.step();
      if (peer.off(rest) > k_accuracy_mm) last_outside = i;
      if (i > last_outside + k_for_good) break;
    }
    bias = peer.off(rest);
    PhysicsCable timed(start, viscosity, time_step);
    timed.hold_end_at(2010.0);
    const auto begin = std::chrono::steady_clock::now();
    for (int i = 0; i < last_outside; ++i) timed.step();
    seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    state.SetIterationTime(seconds);
  }
  state.counters["steps"] = last_outside;
  state.counters["off_at_rest_mm"] = bias;
  // Ours for the same move, in the same run.
  const auto begin = std::chrono::steady_clock::now();
  constexpr int k_repeats = 4000;
  double span = 2000.0;
  for (int i = 0; i < k_repeats; ++i) {
    span = span == 2000.0 ? 2010.0 : 2000.0;
    benchmark::DoNotOptimize(solver.solve(cable(span)));
  }
  const double ours =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count() / k_repeats;
  SpatialRodSolver spatial(k_links);
  spatial.solve(cable_in_space(2000.0, 0.0));
  const auto spatial_begin = std::chrono::steady_clock::now();
  for (int i = 0; i < k_repeats; ++i) {
    span = span == 2000.0 ? 2010.0 : 2000.0;
    benchmark::DoNotOptimize(spatial.solve(cable_in_space(span, 0.0)));
  }
  const double ours_spatial =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - spatial_begin).count() /
      k_repeats;
  state.counters["over_planar_rod"] = seconds / ours;
  state.counters["over_spatial_rod"] = seconds / ours_spatial;
}
BENCHMARK(physics_library)
    ->ArgsProduct({{100, 200, 400}, {1, 2}})
    ->UseManualTime()
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace bight::rod

BENCHMARK_MAIN();
