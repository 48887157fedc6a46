#include "study/free_run.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "line/bend_limit.h"
#include "study/check_free_run_length.h"
#include "study/line_stiffness.h"
#include "study/lookup.h"
#include "study/support_window.h"

namespace bight::study {
namespace {

FreeEnd end_of(const plan::Plan& plan, const std::string& name) {
  for (const plan::Support& support : plan.supports) {
    if (support.name != name) continue;
    return {name, support.body,     support.at,
            {},   support.max_load, support.kind == plan::SupportKind::hook};
  }
  const plan::Anchor& anchor = by_name(plan.anchors, name);
  return {name, anchor.body, anchor.at, anchor.direction, {}, false};
}

/// What a leg is taken to be long before its window is known.
double length_of(const FreeRun& run, const plan::Support& support) {
  const plan::Leg& leg = run.run->legs[run.leg];
  if (support.kind == plan::SupportKind::retractor) return support.paid_out[1];
  constexpr double k_slack = 1.1;
  return leg.length.value_or(std::max(1.0, k_slack * free::farthest(run.anchors).distance_mm));
}

std::vector<HungSpan> spans_of(const Context& context, const FreeRun& run, double length_mm) {
  std::vector<HungSpan> spans;
  for (const plan::Line* line : run.lines) {
    const plan::Article& article = by_name(context.plan.articles, line->article);
    spans.push_back({run.run->name,
                     run.leg,
                     line->name,
                     run.support_at_start,
                     run.anchors,
                     {length_mm, article.mass, line_stiffness(article).value}});
  }
  return spans;
}

/// Gives each support that moves by itself its lines, and each run its support.
void hang_on_supports(const Context& context, std::vector<FreeRun>& runs) {
  for (const plan::Support& support : context.plan.supports) {
    if (support.kind == plan::SupportKind::hook) continue;
    std::vector<HungSpan> spans;
    std::vector<FreeRun*> on_it;
    for (FreeRun& run : runs) {
      if (run.from.name != support.name && run.to.name != support.name) continue;
      run.support_at_start = run.from.name == support.name;
      if (support.kind == plan::SupportKind::festoon) {
        run.festoon = &support;
        continue;
      }
      for (HungSpan& span : spans_of(context, run, length_of(run, support))) {
        spans.push_back(std::move(span));
      }
      on_it.push_back(&run);
    }
    if (spans.empty()) continue;
    const machine::Machine& machine = context.machine;
    const auto shared = std::make_shared<const MovingSupport>(
        support, machine.bodies[machine.body_index(support.body)].motion, std::move(spans));
    for (FreeRun* run : on_it) run->support = shared;
  }
}

}  // namespace

bool FreeRun::shaped_by(std::size_t joint) const {
  const free::JointMotion& j = anchors.joints[joint];
  if (!(j.upper > j.lower)) return false;
  return support ? support->shaped_by(joint) : j.start != j.end;
}

std::shared_ptr<const MovingSupport> support_with(const FreeRun& run, double length_mm) {
  BIGHT_CHECK(run.support != nullptr);
  const Vec3 at = run.support_at_start ? run.anchors.start : run.anchors.end;
  plan::Support support = run.support->support();
  const Vec3 shift = at - support.at;
  std::vector<HungSpan> spans = run.support->spans();
  bool same = shift == Vec3(0.0);
  for (HungSpan& span : spans) {
    const bool of_leg = span.run == run.run->name && span.leg == run.leg;
    const free::AnchorPair before = span.anchors;
    if (of_leg) {
      same = same && span.rod.length_mm == length_mm && before.start == run.anchors.start &&
             before.end == run.anchors.end &&
             before.start_direction == run.anchors.start_direction &&
             before.end_direction == run.anchors.end_direction;
      span.rod.length_mm = length_mm;
      span.anchors = run.anchors;
    } else {
      (span.support_at_start ? span.anchors.start : span.anchors.end) += shift;
    }
  }
  if (same) return run.support;
  support.at = at;
  return std::make_shared<const MovingSupport>(std::move(support), run.support->motion(),
                                               std::move(spans));
}

FreeRunRod make_rod(const FreeRun& run, const HangingRod& rod, const free::Pose& home, Slip slip) {
  if (!run.support) return {run.anchors, rod, home};
  RodHold hold;
  hold.at_start = run.support_at_start;
  for (std::size_t j = 0; j < run.anchors.joints.size(); ++j) {
    hold.shaped_by.push_back(run.support->shaped_by(j));
  }
  hold.at = [support = support_with(run, rod.length_mm),
             slip](const free::Pose& pose) -> std::optional<RodHold::At> {
    const SupportState state = support->at(pose, slip);
    if (!state.has_shape()) return {};
    return RodHold::At{state.shift, state.length_mm};
  };
  return {run.anchors, std::move(hold), rod, home};
}

free::AnchorPair reach_of(const FreeRun& run) {
  free::AnchorPair anchors = run.anchors;
  if (!run.support) return anchors;
  for (const free::JointMotion& j : run.support->reach(run.support_at_start)) {
    anchors.joints.push_back(j);
  }
  return anchors;
}

std::vector<FreeRun> make_free_runs(const Context& context) {
  const machine::Machine& machine = context.machine;
  std::vector<FreeRun> runs;
  for (const plan::Run& run : context.plan.runs) {
    const auto lines = lines_of_run(context.plan, run.name);
    if (lines.empty()) continue;
    for (std::size_t i = 0; i < run.legs.size(); ++i) {
      const plan::Leg& leg = run.legs[i];
      if (leg.way != plan::LegWay::free) continue;
      FreeRun free_run;
      free_run.run = &run;
      free_run.leg = i;
      free_run.from = end_of(context.plan, leg.from);
      free_run.to = end_of(context.plan, leg.to);
      free_run.lines = lines;
      free_run.anchors.start = free_run.from.at;
      free_run.anchors.end = free_run.to.at;
      free_run.anchors.start_direction = free_run.from.direction;
      free_run.anchors.end_direction = free_run.to.direction;
      const machine::Body& start = machine.bodies[machine.body_index(free_run.from.body)];
      const machine::Body& end = machine.bodies[machine.body_index(free_run.to.body)];
      for (std::size_t j = 0; j < machine.joints.size(); ++j) {
        free_run.anchors.joints.push_back({start.motion[j], end.motion[j],
                                           machine.joints[j].travel[0],
                                           machine.joints[j].travel[1]});
      }
      runs.push_back(std::move(free_run));
    }
  }
  hang_on_supports(context, runs);
  return runs;
}

free::HangingLine hanging_line(const Context& context, const plan::Line& line) {
  const plan::Article& article = by_name(context.plan.articles, line.article);
  // The window speaks of the centre line.
  return {article.mass,
          line::bend_limit(article, line::BendUse::moving, context.plan.rules).centre_line_mm,
          article.max_pull};
}

free::WindowOptions window_options(const Context& context, const plan::Leg& leg) {
  free::WindowOptions options{.slack_percent = leg.slack_percent, .keep_above_mm = leg.keep_above};
  const std::optional<plan::Frame>& frame = context.plan.frame;
  const bool floor_is_known = frame && frame->bed_height > 0.0;
  const bool may_lie_there =
      std::find(leg.may_touch.begin(), leg.may_touch.end(), "floor") != leg.may_touch.end();
  if (!options.keep_above_mm && floor_is_known && !may_lie_there) {
    options.keep_above_mm = -frame->bed_height;  // the top of the bed is Z = 0
  }
  return options;
}

RunWindow window_of(const Context& context, const FreeRun& run) {
  if (run.support || run.festoon != nullptr) return support_window(context, run);
  const plan::Leg& leg = run.run->legs[run.leg];
  RunWindow window;
  window.max_mm = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < run.lines.size(); ++i) {
    window.of_line.push_back(free::length_window(run.anchors, hanging_line(context, *run.lines[i]),
                                                 window_options(context, leg)));
    const free::Window& one = window.of_line.back();
    if (one.min_mm > window.min_mm) {
      window.min_mm = one.min_mm;
      window.min_line = i;
    }
    if (one.max_mm < window.max_mm) {
      window.max_mm = one.max_mm;
      window.max_line = i;
    }
  }
  const free::Window& least = window.of_line[window.min_line];
  const free::Window& most = window.of_line[window.max_line];
  window.min_reason = limit_reason(least.at_least);
  window.max_reason = limit_reason(most.at_most);
  window.min_certainty = certainty_of(least.at_least);
  window.max_certainty = certainty_of(most.at_most);
  window.farthest = least.farthest;
  window.nearest = least.nearest;
  window.min_pose = least.farthest.pose;
  if (!most.at_most.empty()) {
    const free::LimitKind kind = most.at_most.front().kind;
    window.max_pose = most.at_most.front().pose;
    if (kind == free::LimitKind::droop && !leg.keep_above) {
      window.max_reason = "it would come down to the floor";
    }
    if (kind == free::LimitKind::weight && std::isfinite(window.max_mm) &&
        window.max_mm > std::max(window.min_mm, k_longest_share * window.farthest.distance_mm)) {
      window.max_mm = std::numeric_limits<double>::infinity();
      window.max_reason = "nothing";
      window.max_pose.clear();
    }
  }
  choose_length(leg, window);
  return window;
}

bool is_hardly_meant(const free::AnchorPair& anchors, double length_mm) {
  constexpr double k_share = 10.0;
  constexpr double k_least_mm = 10000.0;
  return length_mm > std::max(k_least_mm, k_share * free::farthest(anchors).distance_mm);
}

bool hangs_on_hardly_meant(const FreeRun& run, double length_mm) {
  if (run.festoon != nullptr) return false;  // many loops, each of them short
  if (!run.support) return is_hardly_meant(run.anchors, length_mm);
  const std::vector<HungSpan>& spans = run.support->spans();
  return std::any_of(spans.begin(), spans.end(), [&](const HungSpan& s) {
    const bool is_this = s.run == run.run->name && s.leg == run.leg;
    return is_hardly_meant(s.anchors, is_this ? length_mm : s.rod.length_mm);
  });
}

void choose_length(const plan::Leg& leg, RunWindow& window) {
  if (!std::isfinite(window.min_mm)) {
    // No length works at all: what depends on a length gets the one that reaches with its slack.
    window.given = leg.length.has_value();
    window.length_mm =
        leg.length.value_or((1.0 + leg.slack_percent / 100.0) * window.farthest.distance_mm);
    return;
  }
  window.given = leg.length.has_value();
  if (window.given) {
    window.length_mm = *leg.length;
  } else {
    window.length_mm =
        window.open() ? free::length_to_cut(window.min_mm, window.max_mm) : window.min_mm;
  }
}

}  // namespace bight::study
