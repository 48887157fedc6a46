#include "study/check_swing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <optional>

#include "rod/swing.h"

namespace bight::study {
namespace {

constexpr std::size_t k_approaches = 3;  ///< the nearest ones
constexpr int k_modes = 3;
constexpr double k_seconds_per_minute = 60.0;

rod::SpatialRodProblem rod_problem(const FreeRun& run, const HangingRod& rod,
                                   const std::vector<double>& pose) {
  rod::SpatialRodProblem p;
  p.length_mm = rod.length_mm;
  p.mass_kg_m = rod.mass_kg_m;
  p.stiffness_Nm2 = rod.stiffness_Nm2;
  p.start = free::start_at(run.anchors, pose);
  p.end = free::end_at(run.anchors, pose);
  p.start_tangent = run.anchors.start_direction;
  if (run.anchors.end_direction) p.end_tangent = -*run.anchors.end_direction;
  return p;
}

/// Largest swing left after moves of one joint, of any distance, that end at the pose. Both ends
/// may move: their parts add up at worst.
double swing_of(const rod::SwingModes& modes, const plan::Joint& joint,
                const free::JointMotion& motion, const Vec3& across, double at,
                double acceleration) {
  constexpr int k_distances = 16;  // the swing depends on how the stop meets the phase
  const double longest = std::max(at - joint.travel[0], joint.travel[1] - at);
  double most = 0.0;
  for (int i = 1; i <= k_distances; ++i) {
    double sum = 0.0;
    for (const bool start : {true, false}) {
      const double share = std::abs(glm::dot(start ? motion.start : motion.end, across));
      if (!(share > 0.0)) continue;
      sum += rod::swing_after(modes, {.distance_mm = share * longest * i / k_distances,
                                      .speed_mm_s = share * *joint.speed / k_seconds_per_minute,
                                      .acceleration_mm_s2 = share * acceleration,
                                      .moves_start = start})
                 .after_mm;
    }
    most = std::max(most, sum);
  }
  return most;
}

/// Distance of all that the line sweeps, swung by the amplitude to both sides, to the target.
double swung_distance(const LineApproach& approach, const rod::SwingMode& mode, const Vec3& across,
                      double amplitude, const RunRod& line) {
  std::vector<Vec3> left = approach.shape.points;
  std::vector<Vec3> right = left;
  for (std::size_t i = 0; i < left.size(); ++i) {
    const Vec3 swing = amplitude * mode.shape[i] * across;
    left[i] += swing;
    right[i] -= swing;
  }
  return swept_distance(approach.target, approach.pose, left, right, line.rod.length_mm,
                        line.article->outside_diameter);
}

/// A lower acceleration with which it does not get there.
std::string swing_advice(const Context& context, const plan::Joint& joint, double distance,
                         const std::function<double(double)>& distance_at) {
  constexpr double k_factor = 0.8;
  constexpr int k_trials = 20;
  double acceleration = *joint.acceleration;
  for (int i = 0; i < k_trials; ++i) {
    acceleration *= k_factor;
    if (distance_at(acceleration) > 0.0) {
      return "lower the acceleration of " + joint.name + " to " +
             context.length(std::floor(acceleration / 10.0) * 10.0, 0) + "/s^2, or guide the line";
    }
  }
  return "guide the line, for example by an arm: it is " + context.length(distance, 0) +
         " away at standstill";
}

}  // namespace

SwingCheck check_swing(const Context& context, const FreeRun& run, const RunRod& line,
                       const std::vector<LineApproach>& approaches) {
  SwingCheck check;
  std::size_t looked_at = 0;
  for (const LineApproach& approach : approaches) {
    const LineTarget& target = approach.target;
    if (target.skip_start || target.skip_end || !(approach.distance_mm > 0.0)) continue;
    if (!approach.shape.along) break;
    if (looked_at++ == k_approaches || is_cancelled(context.options.progress)) break;
    const Vec3 across(-approach.shape.along->y, approach.shape.along->x, 0.0);
    std::optional<rod::SwingModes> modes;
    const plan::Joint* worst = nullptr;
    std::size_t worst_joint = 0;
    double most = 0.0;
    for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
      const plan::Joint& joint = context.machine.joints[j];
      const free::JointMotion& motion = run.anchors.joints[j];
      const bool moves =
          glm::dot(motion.start, across) != 0.0 || glm::dot(motion.end, across) != 0.0;
      if (!moves || !joint.speed || !joint.acceleration) continue;
      if (!modes) {
        modes =
            rod::swing_modes(rod_problem(run, line.rod, approach.pose), k_modes, k_rod_segments);
      }
      if (modes->modes.empty()) break;
      const double swing =
          swing_of(*modes, joint, motion, across, approach.pose[j], *joint.acceleration);
      if (swing > most) {
        most = swing;
        worst = &joint;
        worst_joint = j;
      }
    }
    if (worst == nullptr) continue;
    const rod::SwingMode& slowest = modes->modes.front();
    if (most > check.amplitude_mm) {
      check.amplitude_mm = most;
      check.period_s = slowest.period_s;
      check.pose = approach.pose;
    }
    const auto distance_at = [&](double acceleration) {
      const double swing = swing_of(*modes, *worst, run.anchors.joints[worst_joint], across,
                                    approach.pose[worst_joint], acceleration);
      return swung_distance(approach, slowest, across, swing, line);
    };
    const double reached = distance_at(*worst->acceleration);
    if (reached > 0.0) continue;
    Finding finding;
    finding.check = "swing";
    finding.severity = Severity::act;
    finding.things = {run.run->name, line.line->name, target.mover->owner};
    finding.pose = approach.pose;
    finding.value = most;
    finding.limit = approach.distance_mm;
    finding.unit = "mm";
    finding.certainty = Certainty::formula;
    finding.what = run.run->name + ", " + run.from.name + " to " + run.to.name + ": " +
                   line.line->name + " swings by up to " + context.length(most, 0) +
                   " after a rapid move of " + worst->name + " (once in " +
                   fixed(slowest.period_s, 2) + " s, no damping) and then touches " +
                   target.mover->owner + ", " + context.length(approach.distance_mm, 0) +
                   " away at standstill";
    finding.advice = swing_advice(context, *worst, approach.distance_mm, distance_at);
    check.findings.push_back(std::move(finding));
  }
  return check;
}

}  // namespace bight::study
