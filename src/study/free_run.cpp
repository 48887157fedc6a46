#include "study/free_run.h"

#include <cmath>
#include <limits>

#include "line/bend_limit.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

FreeEnd end_of(const plan::Plan& plan, const std::string& name) {
  for (const plan::Support& support : plan.supports) {
    if (support.name == name) return {name, support.body, support.at, {}, support.max_load};
  }
  const plan::Anchor& anchor = by_name(plan.anchors, name);
  return {name, anchor.body, anchor.at, anchor.direction, {}};
}

}  // namespace

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
  return runs;
}

free::HangingLine hanging_line(const Context& context, const plan::Line& line) {
  const plan::Article& article = by_name(context.plan.articles, line.article);
  // The window speaks of the centre line.
  return {article.mass,
          line::bend_limit(article, line::BendUse::moving, context.plan.rules).centre_line_mm,
          article.max_pull};
}

free::WindowOptions window_options(const plan::Leg& leg) {
  return {.slack_percent = leg.slack_percent, .keep_above_mm = leg.keep_above};
}

RunWindow window_of(const Context& context, const FreeRun& run) {
  const plan::Leg& leg = run.run->legs[run.leg];
  RunWindow window;
  window.max_mm = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < run.lines.size(); ++i) {
    window.of_line.push_back(free::length_window(run.anchors, hanging_line(context, *run.lines[i]),
                                                 window_options(leg)));
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
  window.given = leg.length.has_value();
  if (window.given) {
    window.length_mm = *leg.length;
  } else {
    // A tape is read to 10 mm overhead; where the window is narrower, its middle.
    const double rounded = std::ceil(window.min_mm / 10.0) * 10.0;
    window.length_mm = rounded <= window.max_mm ? rounded
                       : window.open()          ? 0.5 * (window.min_mm + window.max_mm)
                                                : window.min_mm;
  }
  return window;
}

}  // namespace bight::study
