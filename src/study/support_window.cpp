#include "study/support_window.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "base/tolerance.h"
#include "free/support_span.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();
constexpr double k_resolution_mm = 0.1;
constexpr double k_longest = 4.0;  ///< of the farthest distance: nobody hangs a line that slack

using plan::SupportKind;

/// Whether a length does, and if not at which pose and why.
struct Trial {
  bool works = true;
  std::string reason;
  free::Pose pose;
};
using TryLength = std::function<Trial(double)>;

Trial fails(std::string reason, free::Pose pose = {}) {
  return {false, std::move(reason), std::move(pose)};
}

/// The least length from which on `long_enough` holds, and the greatest up to which `short_enough`
/// does, each with what fails beyond it.
void find_window(const TryLength& long_enough, const TryLength& short_enough, double shortest,
                 double longest, RunWindow& window) {
  double lower = shortest;
  double upper = longest;
  Trial reason = long_enough(upper);
  if (!reason.works) {
    window.min_mm = k_infinity;
    window.min_reason = reason.reason;
    window.min_pose = reason.pose;
  } else {
    while (upper - lower > k_resolution_mm) {
      const double middle = 0.5 * (lower + upper);
      Trial trial = long_enough(middle);
      (trial.works ? upper : lower) = middle;
      if (!trial.works) reason = std::move(trial);
    }
    window.min_mm = upper;
    window.min_reason = reason.works ? "nothing" : reason.reason;
    window.min_pose = reason.pose;
  }
  lower = shortest;
  upper = longest;
  Trial above = short_enough(upper);
  if (above.works) {
    window.max_mm = k_infinity;
    window.max_reason = "nothing";
    return;
  }
  Trial least = short_enough(lower);
  if (!least.works) {
    window.max_mm = -k_infinity;
    window.max_reason = least.reason;
    window.max_pose = least.pose;
    return;
  }
  while (upper - lower > k_resolution_mm) {
    const double middle = 0.5 * (lower + upper);
    Trial trial = short_enough(middle);
    (trial.works ? lower : upper) = middle;
    if (!trial.works) above = std::move(trial);
  }
  window.max_mm = lower;
  window.max_reason = above.reason;
  window.max_pose = above.pose;
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
  SupportTrials(const Context& context, const FreeRun& run)
      : context_(context), run_(run), poses_(few_poses(context, run)) {}

  Trial long_enough(double length) const {
    const auto support = support_with(run_, length);
    const plan::Leg& leg = run_.run->legs[run_.leg];
    for (const free::Pose& pose : poses_) {
      const SupportState state = support->limp_at(pose);
      if (!state.has_shape()) return fails("it has to reach", pose);
      const bool weight_up =
          support->support().weight && state.outside_by > 0.0 &&
          state.coordinate > 0.5 * (support->range()->at(0) + support->range()->at(1));
      if (weight_up) return fails("the weight meets the pulley", pose);
      const auto spans = spans_at(*support, run_, state, pose);
      for (std::size_t i = 0; i < spans.size(); ++i) {
        const free::SpanState& span = spans[i];
        if (span.status != free::SpanStatus::hangs) return fails("it has to reach", pose);
        const double given = state.length_mm > 0.0 ? 0.0 : length;
        const Vec3 place = (run_.support_at_start ? free::start_at(run_.anchors, pose)
                                                  : free::end_at(run_.anchors, pose)) +
                           state.shift;
        const Vec3 anchor = run_.support_at_start ? free::end_at(run_.anchors, pose)
                                                  : free::start_at(run_.anchors, pose);
        const double straight = glm::distance(place, anchor);
        if (given > 0.0 && given < (1.0 + leg.slack_percent / 100.0) * straight) {
          return fails("wanted slack where its ends rest farthest apart", pose);
        }
        const auto& most = by_name(context_.plan.articles, run_.lines[i]->article).max_pull;
        const double pull = std::max(span.pull_N, glm::length(span.anchor_force_N));
        if (most && pull > *most) return fails("pull on " + run_.lines[i]->name, pose);
      }
    }
    return {};
  }

  Trial short_enough(double length) const {
    const auto support = support_with(run_, length);
    const plan::Leg& leg = run_.run->legs[run_.leg];
    for (const free::Pose& pose : poses_) {
      const SupportState state = support->limp_at(pose);
      if (!state.has_shape()) continue;  // too short, not too long
      const bool weight_down =
          support->support().weight && state.outside_by > 0.0 &&
          state.coordinate < 0.5 * (support->range()->at(0) + support->range()->at(1));
      if (weight_down) return fails("the weight meets the floor", pose);
      if (!leg.keep_above) continue;
      for (const free::SpanState& span : spans_at(*support, run_, state, pose)) {
        if (span.status == free::SpanStatus::hangs && span.lowest.z < *leg.keep_above) {
          return fails("droop: the lowest point has to stay above its limit", pose);
        }
      }
    }
    return {};
  }

  void distances(double length, RunWindow& window) const {
    const auto support = support_with(run_, length);
    window.nearest.distance_mm = k_infinity;
    for (const free::Pose& pose : poses_) {
      const SupportState state = support->limp_at(pose);
      Vec3 d = free::end_at(run_.anchors, pose) - free::start_at(run_.anchors, pose);
      d += run_.support_at_start ? -state.shift : state.shift;
      const double distance = glm::length(d);
      if (distance > window.farthest.distance_mm || window.farthest.pose.empty()) {
        window.farthest = {distance, pose};
      }
      if (distance < window.nearest.distance_mm) window.nearest = {distance, pose};
    }
  }

  /// Most that a retractor has to let out.
  void paid_out(RunWindow& window) const {
    for (const free::Pose& pose : poses_) {
      const SupportState state = run_.support->limp_at(pose);
      const double out =
          state.has_shape()
              ? state.coordinate +
                    (state.coordinate >= run_.support->range()->at(1) ? state.outside_by : 0.0)
              : run_.support->range()->at(1) + state.short_by_mm;
      if (out <= window.min_mm) continue;
      window.min_mm = out;
      window.min_pose = pose;
    }
    window.min_reason = "line that it has to let out";
    window.max_reason = "nothing";
    window.max_mm = k_infinity;
    window.length_mm = run_.support->support().paid_out[1];
    window.given = true;
  }

 private:
  const Context& context_;
  const FreeRun& run_;
  std::vector<free::Pose> poses_;
};

void festoon_window(const Context& context, const FreeRun& run, RunWindow& window) {
  const plan::Leg& leg = run.run->legs[run.leg];
  const double top = run.festoon->at.z;
  const double straight = window.farthest.distance_mm;
  const TryLength long_enough = [&](double length) {
    if (length < (1.0 + leg.slack_percent / 100.0) * straight) {
      return fails("wanted slack where its tow is farthest", window.farthest.pose);
    }
    const free::FestoonResult r = free::check_festoon(festoon_problem(context, run, length));
    if (r.status != free::FestoonStatus::fits &&
        r.status != free::FestoonStatus::no_room_to_stack) {
      return fails("the loops have to reach its tow", window.farthest.pose);
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
        return fails("pull on " + line->name, window.farthest.pose);
      }
    }
    return Trial{};
  };
  const TryLength short_enough = [&](double length) {
    if (!leg.keep_above) return Trial{};
    const free::FestoonResult r = free::check_festoon(festoon_problem(context, run, length));
    const double depth = r.status == free::FestoonStatus::fits ? r.nearest.most_depth_mm
                         : r.status == free::FestoonStatus::no_room_to_stack
                             ? 0.5 * length / run.festoon->loops
                             : 0.0;
    if (top - depth < *leg.keep_above) {
      return fails("droop: its loops have to stay above their limit", window.nearest.pose);
    }
    return Trial{};
  };
  find_window(long_enough, short_enough, straight, k_longest * std::max(straight, 1.0), window);
}

}  // namespace

std::vector<free::Pose> few_poses(const Context& context, const FreeRun& run) {
  std::vector<free::Pose> poses{neutral_pose(context.machine)};
  for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
    if (!run.shaped_by(j)) continue;
    const auto& travel = context.machine.joints[j].travel;
    std::vector<free::Pose> next;
    for (const double value : {travel[0], 0.5 * (travel[0] + travel[1]), travel[1]}) {
      for (free::Pose pose : poses) {
        pose[j] = value;
        next.push_back(std::move(pose));
      }
    }
    poses = std::move(next);
  }
  return poses;
}

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
  if (run.support->support().kind == SupportKind::retractor) {
    trials.paid_out(window);
    trials.distances(window.length_mm, window);
    return window;
  }
  double reach = free::farthest(reach_of(run)).distance_mm;
  if (run.support->support().kind == SupportKind::cord) {
    reach = free::farthest(run.anchors).distance_mm + run.support->support().cord_length;
  }
  if (run.support->support().weight) reach += run.support->support().drop[1];
  find_window([&](double length) { return trials.long_enough(length); },
              [&](double length) { return trials.short_enough(length); }, 1.0,
              k_longest * std::max(reach, 1.0), window);
  choose_length(run.run->legs[run.leg], window);
  if (window.open()) trials.distances(window.length_mm, window);
  return window;
}

}  // namespace bight::study
