// The rod beside a general physics library (MuJoCo): the same cable, a chain of capsules with
// bending springs at its joints, brought to rest to the same accuracy after its end was moved. One
// run of one program, so that the ratio means something on any machine.

#include <benchmark/benchmark.h>
#include <mujoco/mujoco.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <glm/gtc/quaternion.hpp>
#include <initializer_list>
#include <memory>
#include <optional>
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

/// How a cable of the library is damped and stepped.
struct Settings {
  double viscosity = 0.0;  ///< of the medium, Pa s
  double time_step_s = 0.0;
};

/// A cable of the general physics library: nested bodies of one capsule each, joined with springs
/// EI / l; its end held by constraints to a body that is moved. Lengths in m.
class PhysicsCable {
 public:
  explicit PhysicsCable(const std::string& xml) {
    const std::string file = (std::filesystem::temp_directory_path() /
                              ("rod_peer_" + std::to_string(::getpid()) + ".xml"))
                                 .string();
    std::ofstream(file) << xml;
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
  void hold_end_at(const Vec3& mm) {
    for (int c = 0; c < 3; ++c) data_->mocap_pos[c] = 1e-3 * mm[c];
  }
  void turn_held(const glm::dquat& q) {
    const double numbers[4] = {q.w, q.x, q.y, q.z};
    std::copy_n(numbers, 4, data_->mocap_quat);
  }
  void turn_hinges(std::size_t link, double first, double second) {
    data_->qpos[2 * link] = first;
    data_->qpos[2 * link + 1] = second;
  }
  void step() { mj_step(model_, data_); }

  /// The starts of its links, mm.
  std::vector<Vec3> joints() const {
    std::vector<Vec3> all;
    for (int i = 0; i < k_links; ++i) {
      const double* at = data_->xpos + 3 * (i + 2);  // world and held body come first
      all.push_back(1e3 * Vec3(at[0], at[1], at[2]));
    }
    return all;
  }

 private:
  mjModel* model_ = nullptr;
  mjData* data_ = nullptr;
};

std::string model_head(const Settings& settings) {
  std::ostringstream xml;
  xml << "<mujoco><compiler angle=\"radian\"/><size njmax=\"500\" nconmax=\"10\"/>"
      << "<option timestep=\"" << settings.time_step_s << "\" gravity=\"0 0 -9.80665\" viscosity=\""
      << settings.viscosity << "\" solver=\"Newton\" iterations=\"50\" tolerance=\"1e-12\">"
      << "<flag contact=\"disable\"/></option><worldbody>";
  return xml.str();
}

std::string link_geometry(double l) {
  std::ostringstream xml;
  xml.precision(12);
  xml << "<geom type=\"capsule\" fromto=\"0 0 0 " << l << " 0 0\" size=\"0.004\" mass=\""
      << k_mass_kg_m * l << "\"/>";
  return xml.str();
}

constexpr const char* k_hold = "solref=\"0.004 1\" solimp=\"0.99 0.999 0.0001\"/>";

/// Hinges in the x-z plane, both ends pinned, starting in the given shape (k_links + 1 joints, mm).
std::unique_ptr<PhysicsCable> planar_cable(const std::vector<Vec3>& joints,
                                           const Settings& settings) {
  const double l = 1e-3 * k_length_mm / k_links;
  std::ostringstream xml;
  xml.precision(12);
  xml << model_head(settings) << "<body name=\"held\" mocap=\"true\" pos=\""
      << 1e-3 * joints.back().x << " 0 " << 1e-3 * joints.back().z << "\"/>";
  double before = 0.0;
  for (int i = 0; i < k_links; ++i) {
    const Vec3 d = joints[static_cast<std::size_t>(i) + 1] - joints[static_cast<std::size_t>(i)];
    const double angle = std::atan2(d.z, d.x);
    // Each body turned against the one before; the spring is straight at zero turn, so the turn
    // goes into the joint's reference position instead of the body.
    const double turn = angle - before;
    before = angle;
    const double stiffness = i == 0 ? 0.0 : k_stiffness_Nm2 / l;
    xml << "<body" << (i + 1 == k_links ? " name=\"last\"" : "") << " pos=\"" << (i == 0 ? 0.0 : l)
        << " 0 0\" euler=\"0 " << -turn << " 0\"><joint type=\"hinge\" axis=\"0 -1 0\" ref=\""
        << turn << "\" springref=\"0\" stiffness=\"" << stiffness << "\" damping=\"1e-4\"/>"
        << link_geometry(l);
  }
  for (int i = 0; i < k_links; ++i) xml << "</body>";
  xml << "</worldbody><equality><connect body1=\"held\" body2=\"last\" anchor=\"0 0 0\" " << k_hold
      << "</equality></mujoco>";
  return std::make_unique<PhysicsCable>(xml.str());
}

/// The turn without twist from one unit vector to another.
glm::dquat turn_between(const Vec3& from, const Vec3& to) {
  return glm::normalize(glm::dquat(1.0 + glm::dot(from, to), glm::cross(from, to)));
}

void write_numbers(std::ostringstream& xml, std::initializer_list<double> numbers) {
  for (const double number : numbers) xml << number << ' ';
}

/// Two hinges across each link, both ends clamped as in cable_in_space (half a cell's stiffness
/// 2 EI / l against the clamp) and the last free to spin, so nothing twists; starting in the given
/// shape.
std::unique_ptr<PhysicsCable> spatial_cable(const std::vector<Vec3>& joints,
                                            const SpatialRodProblem& problem,
                                            const Settings& settings) {
  const double l = 1e-3 * k_length_mm / k_links;
  const Vec3 along(1.0, 0.0, 0.0);
  const glm::dquat first = turn_between(along, *problem.start_tangent);
  std::ostringstream xml;
  xml.precision(12);
  // The model is straight along the start's clamp, where its springs are at rest; constraints join
  // what coincides there, so the held body begins at the straight cable's end.
  const Vec3 far = 1e-3 * k_length_mm * *problem.start_tangent;
  xml << model_head(settings) << "<body name=\"held\" mocap=\"true\" pos=\"";
  write_numbers(xml, {far.x, far.y, far.z});
  xml << "\" quat=\"";
  write_numbers(xml, {first.w, first.x, first.y, first.z});
  xml << "\"/>";
  for (int i = 0; i <= k_links; ++i) {
    const double stiffness = (i == 0 || i == k_links ? 2.0 : 1.0) * k_stiffness_Nm2 / l;
    xml << "<body" << (i == k_links ? " name=\"last\"" : "") << " pos=\"" << (i == 0 ? 0.0 : l)
        << " 0 0\"";
    if (i == 0) {
      xml << " quat=\"";
      write_numbers(xml, {first.w, first.x, first.y, first.z});
      xml << "\"";
    }
    xml << ">";
    for (const char* axis : {"0 0 1", "0 1 0"}) {
      xml << "<joint type=\"hinge\" axis=\"" << axis << "\" stiffness=\"" << stiffness
          << "\" damping=\"1e-4\"/>";
    }
    // The piece that holds the end's direction has about a link's mass and inertia: its springs and
    // the medium's drag would be too quick for the time step otherwise.
    xml << (i < k_links ? link_geometry(l)
                        : "<inertial pos=\"0 0 0\" mass=\"0.01\" diaginertia=\"1e-5 1e-5 1e-5\"/>");
  }
  for (int i = 0; i <= k_links; ++i) xml << "</body>";
  xml << "</worldbody><equality><connect body1=\"held\" body2=\"last\" anchor=\"0 0 0\" " << k_hold
      << "<connect body1=\"held\" body2=\"last\" anchor=\"0.05 0 0\" " << k_hold
      << "</equality></mujoco>";
  auto cable = std::make_unique<PhysicsCable>(xml.str());
  if (!cable->usable()) return cable;
  cable->hold_end_at(problem.end);
  cable->turn_held(turn_between(along, *problem.end_tangent));
  glm::dquat frame = first;  // of the link before
  for (std::size_t i = 0; i <= k_links; ++i) {
    const Vec3 tangent =
        i < k_links ? glm::normalize(joints[i + 1] - joints[i]) : *problem.end_tangent;
    const Vec3 d = glm::conjugate(frame) * tangent;
    const double turn = std::atan2(d.y, d.x);
    const double pitch = -std::asin(std::clamp(d.z, -1.0, 1.0));
    cable->turn_hinges(i, turn, pitch);
    frame = frame * glm::angleAxis(turn, Vec3(0.0, 0.0, 1.0)) *
            glm::angleAxis(pitch, Vec3(0.0, 1.0, 0.0));
  }
  return cable;
}

/// Farthest of the first k_links joints, mm.
double farthest(const std::vector<Vec3>& a, const std::vector<Vec3>& b) {
  double most = 0.0;
  for (std::size_t i = 0; i < k_links; ++i) most = std::max(most, glm::distance(a[i], b[i]));
  return most;
}

struct Settled {
  double seconds = 0.0;
  int steps = 0;
  double off_ours_mm = 0.0;  ///< of its rest: the two discretise the same cable, each in its way
};

/// Time until all joints stay within the accuracy of where they come to rest, after the end was
/// moved to that of `ours`; none when the cable cannot be built. Where they rest, and the step
/// after which they stay near, is known only afterwards: the run is made three times, the third is
/// timed.
template <typename Make>
std::optional<Settled> time_to_settle(const Make& make, const std::vector<Vec3>& ours) {
  constexpr int k_most_steps = 8'000;
  constexpr int k_look = 500;            // steps
  constexpr double k_at_rest_mm = 1e-3;  // in so many steps
  Settled settled;
  const auto first = make();
  if (!first->usable()) return {};
  first->hold_end_at(ours.back());
  std::vector<Vec3> rest = first->joints();
  int run = 0;
  for (double moved = 1.0; run < k_most_steps && moved > k_at_rest_mm; run += k_look) {
    for (int i = 0; i < k_look; ++i) first->step();
    moved = farthest(rest, first->joints());
    rest = first->joints();
  }
  settled.off_ours_mm = farthest(rest, ours);
  const auto second = make();
  second->hold_end_at(ours.back());
  for (int i = 1; i <= run; ++i) {
    second->step();
    if (farthest(rest, second->joints()) > k_accuracy_mm) settled.steps = i;
  }
  const auto third = make();
  third->hold_end_at(ours.back());
  const auto begin = std::chrono::steady_clock::now();
  for (int i = 0; i < settled.steps; ++i) third->step();
  settled.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return settled;
}

/// Seconds of one warm solve of our own, to and fro between two problems.
template <typename Solver, typename Problem>
double time_of_solve(Solver& solver, const Problem& here, const Problem& there) {
  constexpr int k_pairs = 2000;
  const auto begin = std::chrono::steady_clock::now();
  for (int i = 0; i < k_pairs; ++i) {
    benchmark::DoNotOptimize(solver.solve(there));
    benchmark::DoNotOptimize(solver.solve(here));
  }
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count() /
         (2.0 * k_pairs);
}

Settings settings_of(const benchmark::State& state) {
  return {.viscosity = 1e-3 * static_cast<double>(state.range(0)),
          .time_step_s = 1e-3 * static_cast<double>(state.range(1))};
}

void report(benchmark::State& state, const Settled& settled, double ours_s) {
  state.SetIterationTime(settled.seconds);
  state.counters["steps"] = settled.steps;
  state.counters["off_ours_mm"] = settled.off_ours_mm;
  state.counters["over_ours"] = settled.seconds / ours_s;
  constexpr double k_same_shape_mm = 0.5;
  if (settled.off_ours_mm > k_same_shape_mm) state.SkipWithError("came to rest elsewhere");
}

std::vector<Vec3> upright(const std::vector<Vec2>& points) {
  std::vector<Vec3> all;
  for (const Vec2& p : points) all.emplace_back(p.x, 0.0, p.y);
  return all;
}

/// The end moves out by 10 mm: until all joints stay within 0.2 mm of their rest, which is our
/// shape to `off_ours_mm`. Arguments: viscosity of the medium that brings it to rest, in 1e-3 Pa s
/// (the best is near the critical one), and the time step in ms.
void physics_library_planar(benchmark::State& state) {
  PlanarRodSolver solver(k_links);
  bool known = solver.solve(cable(2000.0)).converged();
  const std::vector<Vec3> start = upright(solver.points());
  known = solver.solve(cable(2010.0)).converged() && known;
  const std::vector<Vec3> rest = upright(solver.points());
  for (auto _ : state) {
    const auto settled =
        time_to_settle([&] { return planar_cable(start, settings_of(state)); }, rest);
    if (!settled || !known) {
      state.SkipWithError("the cable could not be built");
      return;
    }
    report(state, *settled, time_of_solve(solver, cable(2010.0), cable(2000.0)));
  }
}
BENCHMARK(physics_library_planar)
    ->ArgsProduct({{100, 200, 400}, {1, 2}})
    ->UseManualTime()
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

/// The same in space, both ends clamped, one of them out of the plane.
void physics_library_spatial(benchmark::State& state) {
  const SpatialRodProblem here = cable_in_space(2000.0, 0.0);
  const SpatialRodProblem there = cable_in_space(2010.0, 5.0);
  SpatialRodSolver solver(k_links);
  bool known = solver.solve(here).converged();
  const std::vector<Vec3> start = solver.points();
  known = solver.solve(there).converged() && known;
  const std::vector<Vec3> rest = solver.points();
  for (auto _ : state) {
    const auto settled =
        time_to_settle([&] { return spatial_cable(start, here, settings_of(state)); }, rest);
    if (!settled || !known) {
      state.SkipWithError("the cable could not be built");
      return;
    }
    report(state, *settled, time_of_solve(solver, there, here));
  }
}
BENCHMARK(physics_library_spatial)
    ->ArgsProduct({{100, 200, 400}, {1, 2}})
    ->UseManualTime()
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace bight::rod

BENCHMARK_MAIN();
