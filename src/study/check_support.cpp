#include "study/check_support.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>
#include <utility>

#include "base/parallel.h"
#include "study/free_run_refine.h"

namespace bight::study {
namespace {

using free::SupportStatus;
using plan::SupportKind;

constexpr std::size_t k_poses = 250;

struct Posed {
  std::vector<double> pose;
  SupportState state;
};

/// Farthest beyond each end of the range, and what has no rest.
struct Outside {
  std::optional<Posed> low;
  std::optional<Posed> high;
  std::optional<Posed> runs_out;
  std::optional<Posed> out_of_reach;
  std::optional<Posed> not_found;
  std::size_t missing = 0;  ///< poses of not_found
};

void keep(std::optional<Posed>& worst, const Posed& found, double measure, double before) {
  if (!worst || measure > before) worst = found;
}

void add(const MovingSupport& support, const Posed& p, Outside& outside) {
  const SupportState& s = p.state;
  if (s.status == SupportStatus::out_of_reach) {
    const double before = outside.out_of_reach ? outside.out_of_reach->state.short_by_mm : 0.0;
    keep(outside.out_of_reach, p, s.short_by_mm, before);
  } else if (s.status == SupportStatus::runs_out) {
    if (!outside.runs_out) outside.runs_out = p;
  } else if (s.status == SupportStatus::at_stop) {
    const auto range = support.range();
    if (!range) return;
    auto& side = s.coordinate > 0.5 * ((*range)[0] + (*range)[1]) ? outside.high : outside.low;
    keep(side, p, s.outside_by, side ? side->state.outside_by : 0.0);
  } else if (s.status != SupportStatus::rests) {
    if (outside.missing++ == 0) outside.not_found = p;
  }
}

/// One thing that breaks out of its range.
class RangeFindings {
 public:
  RangeFindings(const Context& context, const MovingSupport& support, const PoseGrid& grid)
      : context_(context), support_(support), poses_(grid.size()), step_mm_(grid.step_mm) {}

  Finding at_end(const Posed& p, bool high) const {
    const plan::Support& s = support_.support();
    Finding f = finding(p, Severity::act);
    f.limit = (*support_.range())[high ? 1 : 0];
    f.value = high ? f.limit + p.state.outside_by : f.limit - p.state.outside_by;
    const double beyond = p.state.outside_by;
    const std::string by = mm(beyond);
    switch (s.kind) {
      case SupportKind::trolley:
        f.what = s.name + " stands at the end of its track and would roll " + by + " farther";
        f.advice = "lengthen the track there by at least " + mm(std::ceil(beyond)) + ", to " +
                   end_text(high, beyond);
        break;
      case SupportKind::boom:
        f.unit = "deg";
        f.what =
            s.name + " stands at its stop and would swing " + fixed(beyond, 0) + " degrees farther";
        f.advice = "let it swing to " + fixed(high ? std::ceil(f.value) : std::floor(f.value), 0) +
                   " degrees";
        break;
      case SupportKind::pulley:
        f.what =
            s.name + (high ? ": the weight meets the pulley, the line is " + by + " too short"
                           : ": the weight stands on the floor, the line is " + by + " too long");
        f.advice = (high ? "lengthen the line to " : "shorten the line to ") +
                   mm(line() + (high ? std::ceil(beyond) : -std::ceil(beyond)));
        break;
      case SupportKind::retractor:
        f.what = s.name + (high ? " is fully out, the line needs " + by + " more"
                                : " is fully in, it would take in " + by + " more");
        f.advice = high ? "take one that lets out " + mm(std::ceil(f.value))
                        : "take one that leaves " + mm(std::floor(f.value)) +
                              " of line outside, or the line hangs slack";
        break;
      case SupportKind::cord:
        f.what = s.name + " is stretched by " + mm(f.value) + ", it may be by " + mm(f.limit);
        f.advice = "take a cord of at least " + cord_text(p) + ", or a longer line";
        break;
      case SupportKind::hook:
      case SupportKind::festoon:
        break;
    }
    return f;
  }

  Finding runs_out(const Posed& p) const {
    const plan::Support& s = support_.support();
    Finding f = finding(p, Severity::stop);
    const bool weight = s.kind == SupportKind::pulley;
    f.value = weight ? s.weight.value_or(0.0) : s.pull;
    f.unit = weight ? "kg" : "N";
    const std::optional<double> needed = least_holding(p, f.value);
    f.limit = needed.value_or(0.0);
    f.what = s.name + ": " + fixed(f.value, 1) + " " + f.unit +
             " do not hold the hanging line: its own weight pulls it out";
    f.advice = needed ? "take at least " + fixed(std::ceil(*needed * 10.0) / 10.0, 1) + " " + f.unit
                      : "raise the support or bring it nearer: " + fixed(100.0 * f.value, 0) + " " +
                            f.unit + " would not do";
    return f;
  }

  Finding out_of_reach(const Posed& p) const {
    Finding f = finding(p, Severity::stop);
    f.value = p.state.short_by_mm;
    f.what = support_.support().name + ": the line does not reach, wherever the " +
             to_text(support_.support().kind) + " goes: " + mm(p.state.short_by_mm) +
             " are lacking";
    f.advice = "lengthen the line by more than " + mm(std::ceil(p.state.short_by_mm));
    return f;
  }

  Finding not_found(const Posed& p, std::size_t count) const {
    Finding f = finding(p, Severity::act);
    f.value = static_cast<double>(count);
    f.unit = "poses";
    f.what = support_.support().name + ": no place of rest was found at " + std::to_string(count) +
             " of " + std::to_string(poses_) + " poses, so nothing is said about it there";
    f.advice = "try it by hand at this pose with power off";
    return f;
  }

 private:
  Finding finding(const Posed& p, Severity severity) const {
    std::vector<std::string> things{support_.support().name};
    for (const HungSpan& span : support_.spans()) {
      if (things.back() != span.run) things.push_back(span.run);
    }
    Finding f = make_finding("support range", severity, Certainty::sampled, std::move(things));
    f.pose = p.pose;
    f.poses = poses_;
    f.step_mm = step_mm_;
    return f;
  }
  std::string mm(double value) const { return context_.length(value, 0); }
  double line() const { return support_.spans().front().rod.length_mm; }
  std::string end_text(bool high, double beyond) const {
    const auto& range = support_.support().range;
    return "range = [" + mm(high ? range[0] : std::floor(range[0] - beyond)) + ", " +
           mm(high ? std::ceil(range[1] + beyond) : range[1]) + "]";
  }

  MovingSupport changed(const std::function<void(plan::Support&)>& change) const {
    plan::Support s = support_.support();
    change(s);
    return {std::move(s), support_.motion(), support_.spans()};
  }
  /// Stiffness with which the cord stays within its stretch at the pose.
  std::string cord_text(const Posed& p) const {
    double stiffness = support_.support().cord_stiffness;
    for (int i = 0; i < 100; ++i) {
      stiffness *= 1.1;
      const SupportState s =
          changed([&](plan::Support& c) { c.cord_stiffness = stiffness; }).at(p.pose);
      if (s.status == SupportStatus::rests) break;
    }
    return fixed(std::ceil(stiffness), 0) + " N/m";
  }
  /// Least weight or pull that holds the run at the pose.
  std::optional<double> least_holding(const Posed& p, double now) const {
    const auto holds = [&](double value) {
      const MovingSupport other = changed([&](plan::Support& s) {
        if (s.kind == SupportKind::pulley) {
          s.weight = value;
        } else {
          s.pull = value;
        }
      });
      const SupportStatus status = other.limp_at(p.pose).status;
      return status == SupportStatus::rests || status == SupportStatus::at_stop;
    };
    double upper = 100.0 * now;
    if (!holds(upper)) return {};
    double lower = now;
    while (upper - lower > 0.01 * lower) {
      const double middle = 0.5 * (lower + upper);
      (holds(middle) ? upper : lower) = middle;
    }
    return upper;
  }

  const Context& context_;
  const MovingSupport& support_;
  std::size_t poses_;
  double step_mm_;
};

void add_figures(const Posed& p, SupportFigures& f) {
  const SupportState& s = p.state;
  if (!s.has_shape()) return;
  const bool first = f.low_pose.empty();
  if (first || s.coordinate < f.low) {
    f.low = s.coordinate;
    f.low_pose = p.pose;
  }
  if (first || s.coordinate > f.high) {
    f.high = s.coordinate;
    f.high_pose = p.pose;
  }
  const double load = glm::length(s.load_N);
  if (first || load > f.load_N) {
    f.load_N = load;
    f.load_pose = p.pose;
  }
  f.residual_N = std::max(f.residual_N, s.residual_N);
}

/// One pose after the other, each with all of the slips.
std::vector<Posed> all_posed(const Context& context, const MovingSupport& support,
                             const PoseGrid& grid, const std::vector<Slip>& slips) {
  std::vector<Posed> posed(grid.size() * slips.size());
  parallel_for(grid.size(), context.options.threads, [&](std::size_t i) {
    if (is_cancelled(context.options.progress)) return;
    for (std::size_t k = 0; k < slips.size(); ++k) {
      Posed& p = posed[i * slips.size() + k];
      p.pose = grid.pose(i);
      p.state = support.at(p.pose, slips[k]);
    }
  });
  return posed;
}

/// What is left of the range at both ends (at rest) and of the load (at any slip), at each pose.
std::vector<std::vector<double>> margins_of(const MovingSupport& support,
                                            const std::vector<Posed>& posed, std::size_t slips) {
  constexpr double k_none = std::numeric_limits<double>::infinity();
  const auto range = support.range();
  const std::optional<double> most_N = support.support().max_load;
  std::vector<std::vector<double>> margins(3);
  for (std::size_t i = 0; i < posed.size(); i += slips) {
    const SupportState& s = posed[i].state;
    const bool inside = range && s.has_shape() && !(s.outside_by > 0.0);
    margins[0].push_back(inside ? s.coordinate - (*range)[0] : k_none);
    margins[1].push_back(inside ? (*range)[1] - s.coordinate : k_none);
    double load = 0.0;
    for (std::size_t k = 0; k < slips; ++k) {
      if (posed[i + k].state.has_shape()) {
        load = std::max(load, glm::length(posed[i + k].state.load_N));
      }
    }
    margins[2].push_back(most_N ? *most_N - load : k_none);
  }
  return margins;
}

}  // namespace

SupportCheck check_moving_support(const Context& context, const HungSupport& hung) {
  const MovingSupport& support = *hung.support;
  const plan::Support& s = support.support();
  const std::vector<Slip> slips = support.has_friction()
                                      ? std::vector{Slip::rest, Slip::low, Slip::high}
                                      : std::vector{Slip::rest};
  PoseGrid grid = coarser(hung.grid, k_poses);
  std::vector<Posed> posed = all_posed(context, support, grid, slips);
  bool settled = false;
  while (!is_cancelled(context.options.progress)) {
    CloserGrid closer = closer_grid(grid, margins_of(support, posed, slips.size()), 2 * k_poses);
    settled = closer.settled;
    if (closer.grid.size() == grid.size()) break;
    grid = std::move(closer.grid);
    posed = all_posed(context, support, grid, slips);  // what is known costs nothing
  }
  SupportCheck check;
  SupportFigures& f = check.figures;
  f.name = s.name;
  f.kind = to_text(s.kind);
  f.unit = s.kind == SupportKind::boom ? "deg" : "mm";
  f.moves = true;
  f.max_load_N = s.max_load;
  f.poses = grid.size();
  f.step_mm = grid.step_mm;
  f.settled = settled && std::all_of(posed.begin(), posed.end(),
                                     [](const Posed& p) { return p.state.has_shape(); });
  if (const auto range = support.range()) {
    f.range_low = (*range)[0];
    f.range_high = (*range)[1];
  }
  Outside outside;
  for (std::size_t i = 0; i < posed.size(); ++i) {
    if (posed[i].pose.empty()) continue;
    add_figures(posed[i], f);
    if (i % slips.size() == 0) add(support, posed[i], outside);
  }
  const RangeFindings findings(context, support, grid);
  if (outside.out_of_reach) {
    check.findings.push_back(findings.out_of_reach(*outside.out_of_reach));
  }
  if (outside.runs_out) check.findings.push_back(findings.runs_out(*outside.runs_out));
  if (outside.low) check.findings.push_back(findings.at_end(*outside.low, false));
  if (outside.high) check.findings.push_back(findings.at_end(*outside.high, true));
  if (outside.not_found) {
    check.findings.push_back(findings.not_found(*outside.not_found, outside.missing));
  }
  std::vector<std::string> things{s.name};
  for (const HungSpan& span : support.spans()) {
    if (things.back() != span.run) things.push_back(span.run);
  }
  append(check.findings, check_load(f, std::move(things)));
  return check;
}

std::vector<Finding> check_load(const SupportFigures& f, std::vector<std::string> things) {
  if (!f.max_load_N || f.load_N <= *f.max_load_N) return {};
  Finding finding =
      make_finding("support load", Severity::act, Certainty::sampled, std::move(things), "N");
  finding.pose = f.load_pose;
  finding.value = f.load_N;
  finding.limit = *f.max_load_N;
  finding.poses = f.poses;
  finding.step_mm = f.step_mm;
  finding.what = f.name + " is pulled with up to " + fixed(f.load_N, 1) +
                 " N at standstill by all that hangs there, it carries " + fixed(*f.max_load_N, 1) +
                 " N";
  finding.advice = "take a support for at least " + fixed(std::ceil(2.0 * f.load_N), 0) +
                   " N (twice the pull), or a longer line";
  return {finding};
}

}  // namespace bight::study
