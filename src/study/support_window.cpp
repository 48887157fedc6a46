#include "study/support_window.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>

#include "base/tolerance.h"
#include "free/support_span.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();
constexpr double k_resolution_mm = 0.1;

using plan::SupportKind;

/// Whether a length does at a pose, and if not why.
struct Trial {
  bool works = true;
  std::string reason;
};
using TryLength = std::function<Trial(double length, const free::Pose& pose)>;

Trial fails(std::string reason) {
  return {false, std::move(reason)};
}

/// The least length from which on all poses so far work, or the greatest up to which they do: each
/// pose is asked once, and only one that does not work moves the limit.
class Limit {
 public:
  Limit(TryLength works, double from, double to)
      : works_(std::move(works)), limit_(from), to_(to) {}

  /// True when the pose moved the limit.
  bool take(const free::Pose& pose) {
    if (std::isinf(limit_)) return false;
    Trial trial = works_(limit_, pose);
    if (trial.works) return false;
    reason_ = std::move(trial.reason);
    pose_ = pose;
    trial = works_(to_, pose);
    if (!trial.works) {
      reason_ = std::move(trial.reason);
      limit_ = std::copysign(k_infinity, to_ - limit_);
      return true;
    }
    double good = to_;
    while (std::abs(good - limit_) > k_resolution_mm) {
      const double middle = 0.5 * (good + limit_);
      trial = works_(middle, pose);
      (trial.works ? good : limit_) = middle;
      if (!trial.works) reason_ = std::move(trial.reason);
    }
    limit_ = good;
    return true;
  }

  double length_mm() const { return limit_; }
  const std::string& reason() const { return reason_; }  ///< "nothing"
  const free::Pose& pose() const { return pose_; }       ///< empty: none

 private:
  TryLength works_;
  double limit_;
  double to_;
  std::string reason_ = "nothing";
  free::Pose pose_;
};

/// Where no length is long enough the greatest is below any, so that the window is closed.
void set_window(const Limit& least, const Limit& greatest, double longest, RunWindow& window) {
  window.min_mm = least.length_mm();
  window.min_reason = least.reason();
  window.min_pose = least.pose();
  window.longest_tried_mm = longest;
  const bool unlimited = greatest.length_mm() == longest;
  window.max_mm = std::isinf(window.min_mm) ? -k_infinity
                  : unlimited               ? k_infinity
                                            : greatest.length_mm();
  window.max_reason = greatest.reason();
  window.max_pose = greatest.pose();
}

/// Limp spans of a leg at a pose: one a line.
std::vector<free::SpanState> spans_at(const MovingSupport& support, const FreeRun& run,
                                      const SupportState& state, const free::Pose& pose) {
  std::vector<free::SpanState> states;
  const auto model = free::limp_line();
  Vec3 place =
      run.support_at_start ? free::start_at(run.anchors, pose) : free::end_at(run.anchors, pose);
  place += state.shift;
  const Vec3 anchor =
      run.support_at_start ? free::end_at(run.anchors, pose) : free::start_at(run.anchors, pose);
  for (const HungSpan& s : support.spans()) {
    if (s.run != run.run->name || s.leg != run.leg) continue;
    const double length = state.length_mm > 0.0 ? state.length_mm : s.rod.length_mm;
    states.push_back(model->solve(place, {anchor, length, s.rod.mass_kg_m, {}}));
  }
  return states;
}

/// Pose by pose what a length does on a support.
class SupportTrials {
 public:
  SupportTrials(const Context& context, const FreeRun& run) : context_(context), run_(run) {}

  Trial long_enough(double length, const free::Pose& pose) const {
    const auto support = support_with(run_, length);
    const plan::Leg& leg = run_.run->legs[run_.leg];
    const SupportState state = support->limp_at(pose);
    // That no rest was found says nothing of the length; the check of the support tells it.
    if (state.status == free::SupportStatus::not_converged) return {};
    if (!state.has_shape()) return fails("it has to reach");
    if (at_end(*support, state, true)) return fails("the weight meets the pulley");
    const auto spans = spans_at(*support, run_, state, pose);
    const double straight = distance(state, pose);
    for (std::size_t i = 0; i < spans.size(); ++i) {
      const free::SpanState& span = spans[i];
      if (span.status != free::SpanStatus::hangs) return fails("it has to reach");
      const bool is_given = !(state.length_mm > 0.0);
      if (is_given && length < (1.0 + leg.slack_percent / 100.0) * straight) {
        return fails("wanted slack where its ends rest farthest apart");
      }
      const auto& most = by_name(context_.plan.articles, run_.lines[i]->article).max_pull;
      const double pull = std::max(span.pull_N, glm::length(span.anchor_force_N));
      if (most && pull > *most) return fails("pull on " + run_.lines[i]->name);
    }
    return {};
  }

  Trial short_enough(double length, const free::Pose& pose) const {
    const auto support = support_with(run_, length);
    const plan::Leg& leg = run_.run->legs[run_.leg];
    const SupportState state = support->limp_at(pose);
    if (!state.has_shape()) return {};  // too short, not too long
    if (at_end(*support, state, false)) return fails("the weight meets the floor");
    if (!leg.keep_above) return {};
    for (const free::SpanState& span : spans_at(*support, run_, state, pose)) {
      if (span.status == free::SpanStatus::hangs && span.lowest.z < *leg.keep_above) {
        return fails("droop: the lowest point has to stay above its limit");
      }
    }
    return {};
  }

  /// Of the ends of a leg of a length, where they have a place of rest.
  std::optional<double> distance(double length, const free::Pose& pose) const {
    const SupportState state = support_with(run_, length)->limp_at(pose);
    if (!state.has_shape()) return {};
    return distance(state, pose);
  }

  /// That a retractor has to let out.
  double paid_out(const free::Pose& pose) const {
    const SupportState state = run_.support->limp_at(pose);
    const double most = run_.support->range()->at(1);
    if (!state.has_shape()) return most + state.short_by_mm;
    return state.coordinate + (state.coordinate >= most ? state.outside_by : 0.0);
  }

 private:
  /// A weight that would go beyond an end of its way.
  static bool at_end(const MovingSupport& support, const SupportState& state, bool top) {
    if (!support.support().weight || !(state.outside_by > 0.0)) return false;
    const double middle = 0.5 * (support.range()->at(0) + support.range()->at(1));
    return (state.coordinate > middle) == top;
  }

  double distance(const SupportState& state, const free::Pose& pose) const {
    const Vec3 d = free::end_at(run_.anchors, pose) - free::start_at(run_.anchors, pose);
    return glm::length(d + (run_.support_at_start ? -state.shift : state.shift));
  }

  const Context& context_;
  const FreeRun& run_;
};

/// Poses at equal steps along the joints that shape the run, then closer and closer around what was
/// found worst.
class WindowPoses {
 public:
  WindowPoses(const Context& context, const FreeRun& run) : context_(context), run_(run) {
    poses_ = {neutral_pose(context.machine)};
    for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
      if (!run.shaped_by(j)) continue;
      const auto& travel = context.machine.joints[j].travel;
      std::vector<free::Pose> next;
      for (int i = 0; i <= k_steps; ++i) {
        for (free::Pose pose : poses_) {
          pose[j] = travel[0] + (travel[1] - travel[0]) * i / k_steps;
          next.push_back(std::move(pose));
        }
      }
      poses_ = std::move(next);
      step_mm_ = std::max(step_mm_, (travel[1] - travel[0]) / k_steps);
    }
    looked_at_ = poses_.size();
  }

  const std::vector<free::Pose>& grid() const { return poses_; }
  double step_mm() const { return step_mm_; }
  std::size_t looked_at() const { return looked_at_; }

  /// Offers poses near to one, one joint at a time, the step halved when none is worse.
  void near(free::Pose worst, const std::function<bool(const free::Pose&)>& is_worse) {
    if (worst.empty()) return;
    for (double step = 0.5 * step_mm_; step >= k_last_step_mm;) {
      bool found = false;
      for (std::size_t j = 0; j < context_.machine.joints.size(); ++j) {
        if (!run_.shaped_by(j)) continue;
        const auto& travel = context_.machine.joints[j].travel;
        for (const double sign : {1.0, -1.0}) {
          free::Pose trial = worst;
          trial[j] = std::clamp(trial[j] + sign * step, travel[0], travel[1]);
          if (trial[j] == worst[j]) continue;
          ++looked_at_;
          if (!is_worse(trial)) continue;
          worst = std::move(trial);
          found = true;
        }
      }
      if (!found) step *= 0.5;
    }
    if (worst != poses_.front()) poses_.push_back(std::move(worst));
  }

 private:
  static constexpr int k_steps = 4;
  static constexpr double k_last_step_mm = 2.0;

  const Context& context_;
  const FreeRun& run_;
  std::vector<free::Pose> poses_;
  double step_mm_ = 0.0;
  std::size_t looked_at_ = 0;
};

/// Of all poses that were kept and have a place of rest; farthest below nearest where none has.
void set_distances(const SupportTrials& trials, const WindowPoses& poses, double length,
                   RunWindow& window) {
  window.farthest = {-k_infinity, {}};
  window.nearest = {k_infinity, {}};
  for (const free::Pose& pose : poses.grid()) {
    const std::optional<double> distance = trials.distance(length, pose);
    if (!distance) continue;
    if (*distance > window.farthest.distance_mm) {
      window.farthest = {*distance, pose};
    }
    if (*distance < window.nearest.distance_mm) window.nearest = {*distance, pose};
  }
}

/// Most that a retractor has to let out.
void set_paid_out(const SupportTrials& trials, const FreeRun& run, WindowPoses& poses,
                  RunWindow& window) {
  const auto take = [&](const free::Pose& pose) {
    const double out = trials.paid_out(pose);
    if (out <= window.min_mm) return false;
    window.min_mm = out;
    window.min_pose = pose;
    return true;
  };
  for (const free::Pose& pose : poses.grid()) take(pose);
  poses.near(window.min_pose, take);
  window.min_reason = "line that it has to let out";
  window.max_reason = "nothing";
  window.max_mm = k_infinity;
  window.length_mm = run.support->support().paid_out[1];
  window.given = true;
}

void festoon_window(const Context& context, const FreeRun& run, RunWindow& window) {
  const plan::Leg& leg = run.run->legs[run.leg];
  const double top = run.festoon->at.z;
  const double straight = window.farthest.distance_mm;
  const TryLength long_enough = [&](double length, const free::Pose&) {
    if (length < (1.0 + leg.slack_percent / 100.0) * straight) {
      return fails("wanted slack where its tow is farthest");
    }
    const free::FestoonResult r = free::check_festoon(festoon_problem(context, run, length));
    if (r.status != free::FestoonStatus::fits &&
        r.status != free::FestoonStatus::no_room_to_stack) {
      return fails("the loops have to reach its tow");
    }
    for (const plan::Line* line : run.lines) {
      const plan::Article& article = by_name(context.plan.articles, line->article);
      // The lines share the pull by their weight.
      double mass = 0.0;
      for (const plan::Line* other : run.lines) {
        mass += by_name(context.plan.articles, other->article).mass;
      }
      const double pull = r.farthest.most_pull_N * article.mass / mass;
      if (article.max_pull && pull > *article.max_pull) {
        return fails("pull on " + line->name);
      }
    }
    return Trial{};
  };
  const TryLength short_enough = [&](double length, const free::Pose&) {
    if (!leg.keep_above) return Trial{};
    const free::FestoonResult r = free::check_festoon(festoon_problem(context, run, length));
    const double depth = r.status == free::FestoonStatus::fits ? r.nearest.most_depth_mm
                         : r.status == free::FestoonStatus::no_room_to_stack
                             ? 0.5 * length / run.festoon->loops
                             : 0.0;
    if (top - depth < *leg.keep_above) {
      return fails("droop: its loops have to stay above their limit");
    }
    return Trial{};
  };
  const double longest = k_longest_share * std::max(straight, 1.0);
  Limit least(long_enough, straight, longest);
  Limit greatest(short_enough, longest, straight);
  least.take(window.farthest.pose);
  greatest.take(window.nearest.pose);
  set_window(least, greatest, longest, window);
}

}  // namespace

free::FestoonProblem festoon_problem(const Context& context, const FreeRun& run, double length_mm) {
  const plan::Support& s = *run.festoon;
  free::FestoonProblem p;
  p.loops = s.loops;
  p.loop_mm = length_mm / s.loops - s.saddle;
  for (const plan::Line* line : run.lines) {
    p.mass_kg_m += by_name(context.plan.articles, line->article).mass;
  }
  p.pitch_stacked_mm = s.stacked_pitch;
  p.saddle_mm = s.saddle;
  p.trolley_kg = s.trolley_mass;
  p.rolling_friction = s.friction;
  p.nearest_mm = free::nearest(run.anchors).distance_mm;
  p.farthest_mm = free::farthest(run.anchors).distance_mm;
  return p;
}

RunWindow support_window(const Context& context, const FreeRun& run) {
  RunWindow window;
  window.min_certainty = window.max_certainty = Certainty::sampled;
  if (run.festoon != nullptr) {
    // The tow runs along one line, so its ends are those of the travel.
    window.farthest = free::farthest(run.anchors);
    window.nearest = free::nearest(run.anchors);
    festoon_window(context, run, window);
    choose_length(run.run->legs[run.leg], window);
    return window;
  }
  const SupportTrials trials(context, run);
  WindowPoses poses(context, run);
  if (run.support->support().kind == SupportKind::retractor) {
    set_paid_out(trials, run, poses, window);
    set_distances(trials, poses, window.length_mm, window);
    window.poses = poses.looked_at();
    window.step_mm = poses.step_mm();
    return window;
  }
  double reach = free::farthest(reach_of(run)).distance_mm;
  if (run.support->support().kind == SupportKind::cord) {
    reach = free::farthest(run.anchors).distance_mm + run.support->support().cord_length;
  }
  if (run.support->support().weight) reach += run.support->support().drop[1];
  constexpr double k_shortest_mm = 1.0;
  const double longest = k_longest_share * std::max(reach, 1.0);
  Limit least([&](double length, const free::Pose& p) { return trials.long_enough(length, p); },
              k_shortest_mm, longest);
  Limit greatest([&](double length, const free::Pose& p) { return trials.short_enough(length, p); },
                 longest, k_shortest_mm);
  for (const free::Pose& pose : poses.grid()) {
    least.take(pose);
    greatest.take(pose);
  }
  poses.near(least.pose(), [&](const free::Pose& pose) { return least.take(pose); });
  poses.near(greatest.pose(), [&](const free::Pose& pose) { return greatest.take(pose); });
  set_window(least, greatest, longest, window);
  window.poses = poses.looked_at();
  window.step_mm = poses.step_mm();
  window.farthest.distance_mm = reach;  // where no length was found, it gets one that reaches
  choose_length(run.run->legs[run.leg], window);
  set_distances(trials, poses, window.length_mm, window);
  return window;
}

}  // namespace bight::study
