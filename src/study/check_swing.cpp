#include "study/check_swing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>
#include <utility>

#include "base/tolerance.h"
#include "rod/rapid_swing.h"
#include "rod/swing.h"

namespace bight::study {
namespace {

constexpr double k_seconds_per_minute = 60.0;

rod::SpatialRodProblem rod_problem(const FreeRun& run, const HangingRod& rod,
                                   const LineApproach& approach) {
  rod::SpatialRodProblem p;
  p.length_mm = rod.length_mm;
  p.mass_kg_m = rod.mass_kg_m;
  p.stiffness_Nm2 = solved_stiffness_Nm2(rod);
  p.start = free::start_at(run.anchors, approach.pose);
  p.end = free::end_at(run.anchors, approach.pose);
  if (run.support) {
    (run.support_at_start ? p.start : p.end) =
        run.support_at_start ? approach.shape.points.front() : approach.shape.points.back();
    const double slid_to = run.support->at(approach.pose).length_mm;
    if (slid_to > 0.0) p.length_mm = slid_to;
  }
  p.start_tangent = run.anchors.start_direction;
  if (run.anchors.end_direction) p.end_tangent = -*run.anchors.end_direction;
  return p;
}

/// Every third joint: fewer links carry the swing as well, at a ninth of the price.
constexpr std::size_t k_stride = 3;
static_assert(k_rod_segments % k_stride == 0);
std::vector<Vec3> thinned(const std::vector<Vec3>& points) {
  std::vector<Vec3> kept;
  for (std::size_t i = 0; i < points.size(); i += k_stride) kept.push_back(points[i]);
  return kept;
}

/// What a line does at one approach after rapid moves of a joint that end there.
class Swinger {
 public:
  Swinger(const FreeRun& run, const RunRod& line, const LineApproach& approach,
          const SwingSystem* system)
      : run_(run),
        line_(line),
        approach_(approach),
        system_(system),
        problem_(rod_problem(run, line.rod, approach)),
        rest_(thinned(approach.shape.points)) {
    if (approach.shape.along) {
      across_ = Vec3(-approach.shape.along->y, approach.shape.along->x, 0.0);
      modes_ = rod::swing_modes(problem_, k_modes, k_rod_segments);
    }
    period_s_ = modes_.modes.empty() ? period_without_modes() : modes_.modes.front().period_s;
    slowest_s_ = period_s_;
    if (system != nullptr) slowest_s_ = std::max(period_s_, system->period_s(approach.pose));
  }

  /// Of the slowest mode, that of what carries the line where it is slower.
  double period_s() const { return slowest_s_; }

  /// The moves of `joint` that are tried, on the longer side of the pose. Over that part of the way
  /// which leaves the most sideways swing by the modes (how the stop meets the phase of the start
  /// decides), over all of it when they say nothing; and where what carries the line is slower,
  /// over the longest part whose stop comes half a period after its start: then both add up. None
  /// when there is no way.
  std::vector<rod::RapidMove> bad_moves(std::size_t j, const plan::Joint& joint,
                                        double acceleration) const {
    const double at = approach_.pose[j];
    const double below = at - joint.travel[0];
    const double above = joint.travel[1] - at;
    const double speed = *joint.speed / k_seconds_per_minute;
    const double longest = std::min(std::max(below, above), longest_way(speed, acceleration));
    if (!(longest > k_least_move_mm)) return {};
    rod::RapidMove move{
        .distance_mm = longest, .speed_mm_s = speed, .acceleration_mm_s2 = acceleration};
    std::vector<rod::RapidMove> moves{move};
    double most = modes_.modes.empty() ? 0.0 : sideways_bound(j, move);
    for (int i = 1; i < k_distances && !modes_.modes.empty(); ++i) {
      move.distance_mm = longest * i / k_distances;
      const double swing = sideways_bound(j, move);
      if (!(swing > most)) continue;
      most = swing;
      moves.front() = move;
    }
    const double whole_period = move.speed_mm_s * slowest_s_;
    const double in_phase = (std::floor(longest / whole_period - 0.5) + 0.5) * whole_period;
    if (slowest_s_ > period_s_ && in_phase > k_least_move_mm) {
      move.distance_mm = in_phase;
      moves.push_back(move);
    }
    return moves;
  }

  rod::SwingResult after(const Context& context, const rod::RapidMove& move, std::size_t j,
                         const plan::Joint& joint) const {
    rod::SwingOptions options{
        .step_s = period_s_ / k_steps_a_period,
        .watched_s = k_periods * period_s_,
        .is_cancelled = [&context] { return is_cancelled(context.options.progress); }};
    const double sense = sense_of(j, joint);
    if (system_ == nullptr) {
      const free::JointMotion& motion = run_.anchors.joints[j];
      return rod::swing_after_move(problem_, rest_, move,
                                   {sense * motion.start, sense * motion.end}, options);
    }
    options.watched_s = std::clamp(slowest_s_, options.watched_s, k_most_periods * period_s_);
    free::Pose before = approach_.pose;
    before[j] -= sense * move.distance_mm;
    const auto start = system_->between(before, approach_.pose, j, sense);
    if (!start) return {.report = {.status = rod::RodStatus::not_converged}};
    return rod::swing_from(*start, move, options);
  }

  /// How far a support would go beyond its range, in the unit of its coordinate.
  double beyond_range(const rod::SwingResult& swing) const {
    return system_ == nullptr ? 0.0 : system_->beyond(approach_.pose, swing);
  }

  /// Least distance of the moving line to the target after the stop.
  double distance(const rod::SwingResult& swing) const {
    double least = approach_.distance_mm;
    for (const rod::SwungLine& swung : swing.lines) {
      // Straight from frame to frame: off by 0.3 % of the swing.
      for (std::size_t i = 0; i + 1 < swung.frames.size() && least > 0.0; ++i) {
        least = std::min(least, swept_distance(approach_.target, approach_.pose, swung.frames[i],
                                               swung.frames[i + 1], problem_.length_mm,
                                               line_.article->outside_diameter, least));
      }
    }
    return least;
  }

 private:
  static constexpr int k_modes = 3;
  static constexpr int k_distances = 16;
  static constexpr double k_steps_a_period = 40.0;  // period right to 0.2 %
  static constexpr double k_periods = 2.0;          // watched after the stop
  static constexpr double k_most_periods = 8.0;     // at most, for a support that is slower
  static constexpr double k_least_move_mm = 1.0;
  /// That a move lasts: the stop has met every phase of the start long before, and one of 1 mm that
  /// lasts longer leaves a swing of less than 0.02 mm (twice the speed over the frequency).
  static constexpr double k_periods_of_move = 40.0;

  /// Of a move from rest to rest that lasts no longer than is followed.
  double longest_way(double speed_mm_s, double acceleration_mm_s2) const {
    const double most_s = k_periods_of_move * period_s_;
    const double ramp_s = std::min(speed_mm_s / acceleration_mm_s2, 0.5 * most_s);
    return acceleration_mm_s2 * ramp_s * (most_s - ramp_s);
  }

  /// Ends and clamps in no common plane, or pulled straight: as a pendulum of half the line, or as
  /// a taut string (Rayleigh, The Theory of Sound, section 128).
  double period_without_modes() const {
    constexpr double k_taut = 1e-3;  // slack over length
    const double length = problem_.length_mm;
    if (glm::distance(problem_.start, problem_.end) < (1.0 - k_taut) * length) {
      return 2.0 * std::numbers::pi * std::sqrt(0.5 * length / (1000.0 * k_gravity));
    }
    const RodShape& shape = approach_.shape;
    const double pull_N = 0.5 * (glm::length(shape.start_force_N) + glm::length(shape.end_force_N));
    return 2.0 * length / 1000.0 * std::sqrt(problem_.mass_kg_m / pull_N);
  }

  /// The move ends on the longer side of the pose.
  double sense_of(std::size_t j, const plan::Joint& joint) const {
    const double at = approach_.pose[j];
    return at - joint.travel[0] >= joint.travel[1] - at ? 1.0 : -1.0;
  }

  /// Sum of the slowest modes' amplitudes; both ends may move: their parts add up at worst.
  double sideways_bound(std::size_t j, const rod::RapidMove& move) const {
    double sum = 0.0;
    const free::JointMotion& motion = run_.anchors.joints[j];
    for (const bool start : {true, false}) {
      const double share = std::abs(glm::dot(start ? motion.start : motion.end, across_));
      if (!(share > 0.0)) continue;
      sum += rod::swing_after(modes_, {.distance_mm = share * move.distance_mm,
                                       .speed_mm_s = share * move.speed_mm_s,
                                       .acceleration_mm_s2 = share * move.acceleration_mm_s2,
                                       .moves_start = start})
                 .after_mm;
    }
    return sum;
  }

  const FreeRun& run_;
  const RunRod& line_;
  const LineApproach& approach_;
  const SwingSystem* system_;
  rod::SpatialRodProblem problem_;
  std::vector<Vec3> rest_;
  Vec3 across_{0.0};
  rod::SwingModes modes_;
  double period_s_ = 0.0;  ///< of the line between ends that are held
  double slowest_s_ = 0.0;
};

/// After the worst move of one joint. `known`: one could be stepped through time; `failed`: one
/// could not.
struct Swing {
  const plan::Joint* joint = nullptr;
  std::size_t index = 0;
  bool known = false;
  bool failed = false;
  double across_mm = 0.0;
  double in_plane_mm = 0.0;
  double distance_mm = 0.0;  ///< to the target
  double beyond_range = 0.0;
  double most_mm() const { return std::max(across_mm, in_plane_mm); }
};

/// After the worst of the moves that are tried.
Swing swing_of(const Context& context, const Swinger& swinger, const LineApproach& approach,
               std::size_t j, const plan::Joint& joint, double acceleration) {
  Swing worst{.joint = &joint, .index = j, .distance_mm = approach.distance_mm};
  for (const rod::RapidMove& move : swinger.bad_moves(j, joint, acceleration)) {
    const rod::SwingResult swing = swinger.after(context, move, j, joint);
    worst.failed = worst.failed || !swing.converged();
    if (!swing.converged()) continue;
    worst.known = true;
    worst.beyond_range = std::max(worst.beyond_range, swinger.beyond_range(swing));
    const double distance = swinger.distance(swing);
    if (distance < worst.distance_mm ||
        std::max(swing.across_mm, swing.in_plane_mm) > worst.most_mm()) {
      worst.across_mm = swing.across_mm;
      worst.in_plane_mm = swing.in_plane_mm;
    }
    worst.distance_mm = std::min(worst.distance_mm, distance);
  }
  return worst;
}

/// A lower acceleration with which it does not get there.
std::string swing_advice(const Context& context, const Swinger& swinger,
                         const LineApproach& approach, const Swing& swing) {
  constexpr double k_factor = 0.7;
  constexpr int k_trials = 12;
  double acceleration = *swing.joint->acceleration;
  for (int i = 0; i < k_trials && !is_cancelled(context.options.progress); ++i) {
    acceleration = std::floor(k_factor * acceleration / 10.0) * 10.0;
    if (!(acceleration > 0.0)) break;
    const Swing trial =
        swing_of(context, swinger, approach, swing.index, *swing.joint, acceleration);
    if (trial.known && !trial.failed && trial.distance_mm > 0.0) {
      return "lower the acceleration of " + swing.joint->name + " to " +
             context.length(acceleration, 0) + "/s^2 (it then stays " +
             context.length(trial.distance_mm, 0) + " away), or guide the line";
    }
  }
  return "guide the line, for example by an arm: it is " + context.length(approach.distance_mm, 0) +
         " away at standstill";
}

Finding finding_of(const Context& context, const FreeRun& run, const RunRod& line,
                   const Swinger& swinger, const LineApproach& approach, const Swing& swing) {
  const std::string& owner = approach.target.mover->owner;
  Finding finding;
  finding.check = "swing";
  finding.severity = Severity::act;
  finding.things = {run.run->name, line.line->name, owner};
  finding.pose = approach.pose;
  finding.value = swing.most_mm();
  finding.limit = approach.distance_mm;
  finding.unit = "mm";
  finding.certainty = Certainty::sampled;
  finding.poses = 1;
  finding.what = run.run->name + ", " + run.from.name + " to " + run.to.name + ": " +
                 line.line->name + " swings by up to " + context.length(swing.across_mm, 0) +
                 " across its plane and " + context.length(swing.in_plane_mm, 0) +
                 " in it after a rapid move of " + swing.joint->name + " (once in " +
                 fixed(swinger.period_s(), 2) + " s, no damping) and then touches " + owner + ", " +
                 context.length(approach.distance_mm, 0) + " away at standstill";
  if (!context.options.findings_only) {
    finding.advice = swing_advice(context, swinger, approach, swing);
  }
  return finding;
}

/// The support meets an end of its range; what is behind that is not computed.
Finding stop_finding(const Context& context, const FreeRun& run, const plan::Support& support,
                     const Swing& swing, const std::vector<double>& pose) {
  Finding finding = make_finding("swing", Severity::note, Certainty::sampled, {support.name});
  finding.things.push_back(run.run->name);
  finding.pose = pose;
  finding.poses = 1;
  finding.value = swing.beyond_range;
  const std::string by_length = context.length(std::ceil(swing.beyond_range), 0);
  const std::string after = " after a rapid move of " + swing.joint->name;
  if (support.kind == plan::SupportKind::boom) {
    finding.unit = "deg";
    const std::string by = fixed(std::ceil(swing.beyond_range), 0) + " degrees";
    finding.what = support.name + " turns against one of its stops" + after +
                   ": without friction it would turn " + by + " beyond it";
    finding.advice = "fit a soft stop there, or open its swing by " + by;
  } else if (support.kind == plan::SupportKind::cord) {
    finding.what =
        support.name + " is stretched " + by_length + " beyond what it may" + after + ", undamped";
    finding.advice = "take a longer or a stiffer cord, or a lower acceleration";
  } else if (support.kind == plan::SupportKind::pulley) {
    finding.what = "the weight of " + support.name + " runs against an end of its drop" + after +
                   ": without friction it would go " + by_length + " beyond it";
    finding.advice = "leave it " + by_length + " more room, or lower the acceleration";
  } else if (support.kind == plan::SupportKind::retractor) {
    finding.what = support.name + " runs against an end of its line" + after +
                   ": without friction it would go " + by_length + " beyond it";
    finding.advice = "take one that pays out " + by_length + " more, or lower the acceleration";
  } else {
    finding.what = support.name + " rolls against an end of its track" + after +
                   ": without friction it would run " + by_length + " beyond it";
    finding.advice = "fit a soft buffer there, or a track that is " + by_length + " longer";
  }
  return finding;
}

}  // namespace

bool is_too_far(const LineApproach& approach, double swing_mm) {
  return approach.distance_mm > 2.0 * swing_mm;
}

SwingCheck check_swing(const Context& context, const FreeRun& run, const RunRod& line,
                       const std::vector<LineApproach>& approaches, const SwingSystem* system) {
  SwingCheck check;
  Swing farthest;  // of a support, beyond its range
  std::vector<double> farthest_pose;
  bool first = true;
  for (const LineApproach& approach : approaches) {
    const LineTarget& target = approach.target;
    if (target.skip_start || target.skip_end || !(approach.distance_mm > 0.0)) continue;
    if (!approach.shape.converged()) continue;
    if (is_cancelled(context.options.progress)) break;
    if (!std::exchange(first, false) && is_too_far(approach, check.amplitude_mm)) continue;
    std::optional<Swinger> swinger;
    Swing worst{.distance_mm = approach.distance_mm};
    for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
      const plan::Joint& joint = context.machine.joints[j];
      const free::JointMotion& motion = run.anchors.joints[j];
      const bool moves = system != nullptr ? system->moved_by(j)
                                           : motion.start != Vec3(0.0) || motion.end != Vec3(0.0);
      if (!moves || !joint.speed || !joint.acceleration) continue;
      if (!swinger) swinger.emplace(run, line, approach, system);
      const Swing swing = swing_of(context, *swinger, approach, j, joint, *joint.acceleration);
      check.not_followed = check.not_followed || swing.failed;
      const bool nearer = swing.distance_mm < worst.distance_mm;
      const bool wider =
          swing.distance_mm == worst.distance_mm && swing.most_mm() > worst.most_mm();
      if (nearer || wider) worst = swing;
      if (swing.beyond_range > farthest.beyond_range) {
        farthest = swing;
        farthest_pose = approach.pose;
      }
      if (swing.most_mm() > check.amplitude_mm) {
        check.amplitude_mm = swing.most_mm();
        check.period_s = swinger->period_s();
        check.pose = approach.pose;
      }
    }
    if (worst.joint == nullptr || worst.distance_mm > 0.0) continue;
    check.findings.push_back(finding_of(context, run, line, *swinger, approach, worst));
  }
  if (run.support && farthest.joint != nullptr) {
    check.findings.push_back(
        stop_finding(context, run, run.support->support(), farthest, farthest_pose));
  }
  return check;
}

}  // namespace bight::study
