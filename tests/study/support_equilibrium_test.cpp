// The forces on every hanging line, and on every support that rests where its lines put it, summed
// up from the shapes alone: weights, contacts and laws of friction, not the solvers' own residuals.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "base/tolerance.h"
#include "rod/catenary.h"
#include "study/check_free_run_bend.h"
#include "study/free_run_shapes.h"
#include "study/support_window.h"
#include "support_fixture.h"

namespace bight::study {
namespace {

/// A plan with its machine, and its context as long as it lives.
struct Variant {
  plan::Plan plan;
  machine::Machine machine;
  StudyOptions options;
  Context context() const { return {plan, machine, options}; }
  std::string name() const { return plan.name + " / " + plan.chosen_option; }
};

std::vector<Variant> demo_variants() {
  std::vector<Variant> all;
  machine::MeshCache cache;
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(
           std::filesystem::path(BIGHT_SOURCE_DIR) / "assets" / "demo")) {
    if (entry.path().extension() == ".toml") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  for (const auto& file : files) {
    Diagnostics diagnostics;
    const auto plans = plan::load_plan_and_options(file, diagnostics);
    for (const Diagnostic& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
    if (!plans) continue;
    for (const plan::Plan& plan : *plans) {
      all.push_back({plan, machine::build_machine(plan, cache, diagnostics), {}});
    }
  }
  return all;
}

Variant small_variant(const std::string& text) {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(text, "t.toml", "", diagnostics);
  for (const Diagnostic& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  machine::MeshCache cache;
  Variant v{*plan, {}, {}};
  v.machine = machine::build_machine(v.plan, cache, diagnostics);
  return v;
}

free::Pose any_pose(const machine::Machine& machine, std::mt19937& random) {
  free::Pose pose;
  for (const plan::Joint& joint : machine.joints) {
    const double share = static_cast<double>(random()) / 4294967296.0;
    pose.push_back(joint.travel[0] + share * (joint.travel[1] - joint.travel[0]));
  }
  return pose;
}

/// Free runs of a plan that have a length, each on its support as long as it was found to be.
std::vector<FreeRun> hanging_runs(const Context& context, std::map<std::string, double>& lengths) {
  std::vector<FreeRun> hanging;
  for (FreeRun& run : make_free_runs(context)) {
    if (run.festoon != nullptr) continue;
    const RunWindow window = window_of(context, run);
    if (!window.open() || window.length_mm <= window.farthest.distance_mm) continue;
    if (run.support) run.support = support_with(run, window.length_mm);
    lengths[run.run->name + std::to_string(run.leg)] = window.length_mm;
    hanging.push_back(run);
  }
  return hanging;
}
double length_of(const FreeRun& run, const std::map<std::string, double>& lengths) {
  return lengths.at(run.run->name + std::to_string(run.leg));
}

double link_of(const RodShape& s) {
  return glm::distance(s.points[0], s.points[1]);
}
double weight_of(const RodShape& s, const HangingRod& rod) {
  return link_of(s) * static_cast<double>(s.points.size() - 1) * rod.mass_kg_m * k_gravity / 1000.0;
}

/// Moment that the part beyond joint i exerts on the part before it: EI over the link's length x
/// the angle of turn in a plane, x 2 tan of half of it in space (Bergou et al., 2008).
Vec3 moment_at(const RodShape& s, std::size_t i, double stiffness_Nmm2) {
  const double l = link_of(s);
  const Vec3 before = (s.points[i] - s.points[i - 1]) / l;
  const Vec3 after = (s.points[i + 1] - s.points[i]) / l;
  const Vec3 axis = glm::cross(before, after);
  const double sine = glm::length(axis);
  const double cosine = glm::dot(before, after);
  if (s.along)
    return (sine > 0.0 ? std::atan2(sine, cosine) / sine : 1.0) * stiffness_Nmm2 / l * axis;
  return 2.0 / (1.0 + cosine) * stiffness_Nmm2 / l * axis;
}

/// Largest unbalanced force and moment of a line's links; clamped ends bring moments of their own.
struct Unbalanced {
  double force_N = 0.0;
  double moment_Nmm = 0.0;
};
Unbalanced unbalanced(const RodShape& s, const HangingRod& rod, bool clamped_start,
                      bool clamped_end) {
  const std::size_t n = s.points.size() - 1;
  const double weight = weight_of(s, rod);
  const double ei = rod.stiffness_Nm2 * 1e6;
  Unbalanced worst;
  worst.force_N = glm::length(s.start_force_N + s.end_force_N - Vec3(0.0, 0.0, weight));
  Vec3 pull = s.end_force_N;  // of what is beyond on the link's end
  for (std::size_t i = n; i-- > 0;) {
    const Vec3 middle = pull - Vec3(0.0, 0.0, 0.5 * weight / static_cast<double>(n));
    pull = pull - Vec3(0.0, 0.0, weight / static_cast<double>(n));
    if ((i == 0 && clamped_start) || (i + 1 == n && clamped_end)) continue;
    const Vec3 at_start = i == 0 ? Vec3(0.0) : moment_at(s, i, ei);
    const Vec3 at_end = i + 1 == n ? Vec3(0.0) : moment_at(s, i + 1, ei);
    const Vec3 moment = at_end - at_start + glm::cross(s.points[i + 1] - s.points[i], middle);
    worst.moment_Nmm = std::max(worst.moment_Nmm, glm::length(moment));
  }
  return worst;
}

std::vector<Slip> slips_of(const FreeRun& run) {
  if (!run.support || !run.support->has_friction()) return {Slip::rest};
  return {Slip::rest, Slip::low, Slip::high};
}

TEST(Equilibrium, OfForcesAndMomentsOfEveryLinkOfEveryFreeRunOfTheDemoPlansAtRandomPoses) {
  std::mt19937 random(20260101);
  std::size_t looked_at = 0;
  std::size_t on_supports = 0;
  std::size_t chosen_lengths = 0;
  for (const Variant& demo : demo_variants()) {
    const Context context = demo.context();
    std::map<std::string, double> lengths;
    for (const FreeRun& run : hanging_runs(context, lengths)) {
      for (const RunRod& line : rods_of(context, run, length_of(run, lengths))) {
        for (const Slip slip : slips_of(run)) {
          FreeRunRod rod = make_rod(run, line.rod, home_pose(context), slip);
          for (int i = 0; i < 8; ++i) {
            const RodShape shape = rod.solve_cold(any_pose(demo.machine, random));
            if (!shape.converged()) continue;
            ++looked_at;
            on_supports += run.support ? 1 : 0;
            chosen_lengths += run.run->legs[run.leg].length ? 0 : 1;
            const Unbalanced off =
                unbalanced(shape, line.rod, run.anchors.start_direction.has_value(),
                           run.anchors.end_direction.has_value());
            const double length = line.rod.length_mm;
            const double force = weight_of(shape, line.rod) + glm::length(shape.start_force_N) +
                                 line.rod.stiffness_Nm2 * 1e6 / (length * length);
            EXPECT_LT(off.force_N, 1e-6 * force) << demo.name() << " " << run.run->name;
            EXPECT_LT(off.moment_Nmm, 1e-6 * force * link_of(shape))
                << demo.name() << " " << run.run->name;
          }
        }
      }
    }
  }
  EXPECT_GT(looked_at, 300U);
  EXPECT_GT(on_supports, 50U);
  EXPECT_GT(chosen_lengths, 50U);
}

/// What the lines on a support do to it at a pose, from their shapes.
struct OnSupport {
  bool known = true;
  Vec3 force_N{0.0};
  double weight_N = 0.0;
  double pull_N = 0.0;  ///< of the last line along itself
  Vec3 leaving{0.0};
};
OnSupport lines_on(const Context& context, const std::vector<FreeRun>& runs,
                   const std::map<std::string, double>& lengths, const std::string& support,
                   const free::Pose& pose, Slip slip) {
  OnSupport sum;
  for (const FreeRun& run : runs) {
    if (!run.support || run.support->support().name != support) continue;
    for (const RunRod& line : rods_of(context, run, length_of(run, lengths))) {
      const RodShape s = make_rod(run, line.rod, home_pose(context), slip).solve_cold(pose);
      sum.known = sum.known && s.converged();
      if (!s.converged()) continue;
      const bool start = run.support_at_start;
      const Vec3 force = -(start ? s.start_force_N : s.end_force_N);
      const std::size_t n = s.points.size() - 1;
      sum.leaving =
          glm::normalize(start ? s.points[1] - s.points[0] : s.points[n - 1] - s.points[n]);
      sum.pull_N = glm::dot(force, sum.leaving);
      sum.force_N += static_cast<double>(line.lines) * force;
      sum.weight_N += static_cast<double>(line.lines) * weight_of(s, line.rod);
    }
  }
  return sum;
}

/// -1 and 1 at the ends of the band of friction.
double side_of(Slip slip) {
  return slip == Slip::low ? -1.0 : slip == Slip::high ? 1.0 : 0.0;
}

/// A force towards larger coordinates that friction holds at the ends of its band: there it is just
/// as large and points back; at rest it is 0.
void expect_band(double force, double friction, Slip slip, double small, const std::string& what) {
  EXPECT_NEAR(force, -side_of(slip) * friction, small) << what;
}

/// Checks one support at random poses; returns how many rests were inside their range.
std::size_t expect_balance(const Variant& v, const std::string& name, int poses,
                           std::mt19937& random) {
  const Context context = v.context();
  std::map<std::string, double> lengths;
  const std::vector<FreeRun> runs = hanging_runs(context, lengths);
  const auto run = std::find_if(runs.begin(), runs.end(), [&](const FreeRun& r) {
    return r.support && r.support->support().name == name;
  });
  if (run == runs.end()) return 0;
  const MovingSupport& support = *run->support;
  const plan::Support& s = support.support();
  std::size_t inside = 0;
  for (int i = 0; i < poses; ++i) {
    const free::Pose pose = any_pose(v.machine, random);
    Vec3 place = s.at;
    for (std::size_t j = 0; j < pose.size(); ++j) place += pose[j] * support.motion()[j];
    for (const Slip slip : slips_of(*run)) {
      const SupportState state = support.at(pose, slip);
      const OnSupport lines = lines_on(context, runs, lengths, name, pose, slip);
      if (!state.has_shape() || !lines.known || state.jumps) continue;
      const auto range = support.range();
      const double c = state.coordinate;
      if (range && !(c > (*range)[0] + 1e-6 && c < (*range)[1] - 1e-6)) continue;
      ++inside;
      const std::string what = v.name() + " " + name + " pose " + std::to_string(i) + " slip " +
                               std::to_string(static_cast<int>(slip));
      const double small = 2e-6 * (lines.weight_N + glm::length(lines.force_N));
      const Vec3 down(0.0, 0.0, -1.0);
      switch (s.kind) {
        case plan::SupportKind::trolley: {
          const Vec3 load = lines.force_N + s.trolley_mass * k_gravity * down;
          const double along = glm::dot(load, *s.track);
          expect_band(along, s.friction * glm::length(load - along * *s.track), slip, small, what);
          EXPECT_LT(glm::length(state.load_N - load), small) << what;
          break;
        }
        case plan::SupportKind::boom: {
          const Vec3 arm = state.shift;
          EXPECT_NEAR(glm::length(arm), s.arm, 1e-9 * s.arm) << what;
          const double moment = glm::cross(arm, lines.force_N).z;
          expect_band(moment, s.friction_moment * 1000.0, slip, small * s.arm, what);
          break;
        }
        case plan::SupportKind::retractor:
          expect_band(lines.pull_N - s.pull, s.friction_pull, slip, small, what);
          break;
        case plan::SupportKind::pulley: {
          // Capstan: the logarithm of the ratio of pulls is mu x the angle of wrap.
          double other = 0.0;
          Vec3 other_leaving = down;
          const plan::Article& article = v.plan.articles.front();
          const double w = article.mass * k_gravity / 1000.0;
          const double rest_mm = length_of(*run, lengths) - c;
          if (s.weight) {
            other = *s.weight * k_gravity + w * rest_mm;
          } else {
            FreeRunRod tied({place, *s.tie_off + (place - s.at), {}, {}, {}},
                            {rest_mm, article.mass, line_stiffness(article).value}, {});
            const RodShape beyond = tied.solve_cold({});
            EXPECT_TRUE(beyond.converged()) << what;
            if (!beyond.converged()) break;
            other_leaving = glm::normalize(beyond.points[1] - beyond.points[0]);
            other = glm::dot(-beyond.start_force_N, other_leaving);
          }
          const double wrap = std::numbers::pi - std::acos(glm::dot(lines.leaving, other_leaving));
          EXPECT_NEAR(std::log(lines.pull_N / other), -side_of(slip) * s.friction * wrap,
                      2.0 * small / std::min(other, lines.pull_N))
              << what;
          break;
        }
        case plan::SupportKind::cord: {
          const double r = glm::length(state.shift);
          const double stretch = std::max(0.0, r - s.cord_length);
          const Vec3 hooke = s.cord_stiffness / 1000.0 * stretch / r * state.shift;
          EXPECT_LT(glm::length(lines.force_N - hooke), 10.0 * small) << what;
          break;
        }
        case plan::SupportKind::hook:
        case plan::SupportKind::festoon:
          ADD_FAILURE() << what;
          break;
      }
    }
  }
  return inside;
}

TEST(Equilibrium, OfEverySupportOfTheDemoPlansAtRandomPoses) {
  std::mt19937 random(20260102);
  std::map<plan::SupportKind, std::size_t> inside;
  for (const Variant& demo : demo_variants()) {
    for (const plan::Support& s : demo.plan.supports) {
      if (s.kind == plan::SupportKind::hook || s.kind == plan::SupportKind::festoon) continue;
      inside[s.kind] += expect_balance(demo, s.name, 5, random);
    }
  }
  for (const auto kind :
       {plan::SupportKind::trolley, plan::SupportKind::boom, plan::SupportKind::retractor,
        plan::SupportKind::pulley, plan::SupportKind::cord}) {
    EXPECT_GE(inside[kind], 4U) << to_text(kind);
  }
}

TEST(Equilibrium, OfEachKindOfSupportWithFriction) {
  std::mt19937 random(20260103);
  for (const auto& [support, leg] : small_supports()) {
    SCOPED_TRACE(support);
    EXPECT_GE(expect_balance(small_variant(hung(support, leg)), "support", 8, random), 8U);
  }
}

// A level loop with the pull H is a catenary of a = H / w: length 2 a sinh(D / 2a), depth
// a (cosh(D / 2a) - 1); a trolley between two loops holds friction x (a loop and the trolley).
TEST(Equilibrium, OfTheLoopsOfTheFestoonsOfTheDemoPlansAtRandomPoses) {
  std::mt19937 random(20260104);
  std::size_t looked_at = 0;
  for (const Variant& demo : demo_variants()) {
    const Context context = demo.context();
    for (const FreeRun& run : make_free_runs(context)) {
      if (run.festoon == nullptr) continue;
      const RunWindow window = window_of(context, run);
      const free::FestoonProblem row = festoon_problem(context, run, window.length_mm);
      const double w = row.mass_kg_m * k_gravity / 1000.0;
      for (int i = 0; i < 5; ++i) {
        const free::Pose pose = any_pose(demo.machine, random);
        const double tow =
            glm::distance(free::start_at(run.anchors, pose), free::end_at(run.anchors, pose));
        const free::FestoonAt at = free::festoon_at(row, tow);
        ASSERT_TRUE(std::isfinite(at.pitch_mm));
        ++looked_at;
        const double a = at.pull_N / w;
        const double half = 0.5 * (at.pitch_mm - row.saddle_mm) / a;
        EXPECT_NEAR(2.0 * a * std::sinh(half), row.loop_mm, 1e-9 * row.loop_mm);
        EXPECT_NEAR(a * (std::cosh(half) - 1.0), at.depth_mm, 1e-9 * row.loop_mm);
        EXPECT_NEAR(at.pitch_mm * row.loops, tow, 1e-9 * tow);
        if (row.loops != 2 || row.rolling_friction == 0.0) continue;
        // Two loops: one has what the other lacks, their pulls differ by what the trolley holds.
        EXPECT_NEAR(at.least_pitch_mm + at.most_pitch_mm, tow, 1e-6);
        const auto pull = [&](double pitch) {
          return rod::solve_catenary({pitch - row.saddle_mm, 0.0, row.loop_mm, row.mass_kg_m})
              .horizontal_force_N;
        };
        const double held = row.rolling_friction * (w * row.loop_mm + row.trolley_kg * k_gravity);
        if (at.least_pitch_mm > row.pitch_stacked_mm + 1e-6) {
          EXPECT_NEAR(pull(at.most_pitch_mm) - pull(at.least_pitch_mm), held, 1e-6);
        }
      }
    }
  }
  EXPECT_GE(looked_at, 5U);
}

}  // namespace
}  // namespace bight::study
