#include "study/check_free_run_bend.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/tolerance.h"

namespace bight::study {
namespace {

constexpr std::size_t k_second_look_poses = 60;
constexpr double k_length_step_mm = 10.0;  // a tape overhead is read to this

const char* k_measure_it = "measure it by a droop test: bight calc droop";

Finding finding_of(const FreeRun& run, const RunRod& line, const FreeRunShapes& shapes,
                   Severity severity, std::string check) {
  Finding finding;
  finding.check = std::move(check);
  finding.severity = severity;
  finding.things = {run.run->name, run.from.name, run.to.name, line.line->name};
  finding.unit = "mm";
  finding.certainty = Certainty::sampled;
  finding.poses = shapes.shapes.size();
  finding.step_mm = shapes.grid.step_mm;
  return finding;
}

std::string name_of(const FreeRun& run, const RunRod& line) {
  return run.run->name + ", " + run.from.name + " to " + run.to.name + ": " + line.line->name;
}

/// Smallest radius on a coarse grid; 0 where a pose has no shape.
RefinedShape tightest_of(const FreeRunShapes& shapes) {
  RefinedShape tightest{std::numeric_limits<double>::infinity(), {}, {}};
  for (std::size_t i = 0; i < shapes.shapes.size(); ++i) {
    const RodShape& s = shapes.shapes[i];
    const double radius = s.converged() ? s.radius_mm : 0.0;
    if (radius < tightest.measure) tightest = {radius, shapes.grid.pose(i), s};
  }
  return tightest;
}

HangingRod with_length(HangingRod rod, double length_mm) {
  rod.length_mm = length_mm;
  return rod;
}

/// Does the line bend wide enough at the given poses and on a coarse grid? A pose where it does not
/// is added.
bool bends_wide(const Context& context, const FreeRun& run, const HangingRod& rod,
                const PoseGrid& coarse, double allowed_mm, std::vector<RefinedShape>& worst) {
  FreeRunRod solver = make_rod(run, rod, home_pose(context));
  for (const RefinedShape& w : worst) {
    const RodShape shape = solver.solve_near(w.shape, w.pose);
    if (!shape.converged() || shape.radius_mm < allowed_mm) return false;
  }
  RefinedShape next = tightest_of(free_run_shapes(context, solver, coarse));
  if (next.measure >= allowed_mm) return true;
  if (next.shape.converged()) worst.push_back(std::move(next));
  return false;
}

/// A length, a swivel or a wider distance with which the line bends as it may.
std::string bend_advice(const Context& context, const FreeRun& run, const RunWindow& window,
                        const RunRod& line, const FreeRunShapes& shapes,
                        const RefinedShape& tightest, const KeepsClear& keeps_clear) {
  const PoseGrid coarse = coarser(shapes.grid, k_second_look_poses);
  std::vector<RefinedShape> worst{tightest};
  constexpr int k_clear_looks =
      4;  // each costs as much as the check of what the line comes near to
  int looks = 0;
  const auto keeps = [&](const FreeRun& changed, double length_mm) {
    return !keeps_clear || (looks++ < k_clear_looks && keeps_clear(changed, length_mm));
  };
  const auto wide = [&](const FreeRun& changed, double length_mm) {
    return bends_wide(context, changed, with_length(line.rod, length_mm), coarse,
                      line.allowed_radius_mm, worst) &&
           keeps(changed, length_mm);
  };
  const double most = std::min(window.max_mm, 3.0 * window.length_mm);
  const double first = std::floor(window.length_mm / k_length_step_mm) * k_length_step_mm;
  for (double change = k_length_step_mm; first + change <= most || first - change >= window.min_mm;
       change += k_length_step_mm) {
    if (first + change <= most && wide(run, first + change)) {
      return (window.given ? "lengthen it to " : "give it a length of ") +
             context.length(first + change, 0);
    }
    if (first - change >= window.min_mm && wide(run, first - change)) {
      return (window.given ? "shorten it to " : "give it a length of ") +
             context.length(first - change, 0);
    }
  }
  looks = 0;
  if (run.from.direction || run.to.direction) {
    FreeRun swivel = run;
    swivel.anchors.start_direction.reset();
    swivel.anchors.end_direction.reset();
    if (wide(swivel, window.length_mm)) {
      return "let it swivel at " + run.from.name + " and " + run.to.name +
             " instead of clamping it";
    }
  }
  looks = 0;
  const Vec3 along = tightest.shape.along.value_or(Vec3(1.0, 0.0, 0.0));
  constexpr double k_farthest_mm = 300.0;
  constexpr int k_steps = static_cast<int>(k_farthest_mm / k_length_step_mm);
  for (int i = 1; i <= k_steps; ++i) {
    const double apart = i * k_length_step_mm;
    FreeRun moved = run;
    moved.anchors.end += apart * along;
    if (!run.support && free::farthest(moved.anchors).distance_mm >= window.length_mm) break;
    if (wide(moved, window.length_mm)) {
      return "hold it by an arm at " + run.to.name + ", " + context.length(apart, 0) +
             " farther towards " + direction_text(along);
    }
  }
  return "take a line that may be bent to " + context.length(tightest.measure, 0) +
         " at its centre line";
}

std::string where_text(const Context& context, const FreeRun& run, const RunRod& line,
                       const RodShape& shape) {
  const double at = shape.radius_at_mm;
  const double near = 0.02 * line.rod.length_mm;
  if (at <= near) return "at " + run.from.name;
  if (at >= line.rod.length_mm - near) return "at " + run.to.name;
  return context.length(at, 0) + " from " + run.from.name;
}

void check_bend(const Context& context, const FreeRun& run, const RunWindow& window,
                const RunRod& line, const FreeRunShapes& shapes, const RefinedShape& tightest,
                const KeepsClear& keeps_clear, std::vector<Finding>& findings) {
  const double allowed = line.allowed_radius_mm;
  const bool fails = !(tightest.measure >= allowed - k_length_equal_mm);
  const auto at_stiffness = [&](double stiffness) {
    HangingRod rod = line.rod;
    rod.stiffness_Nm2 = stiffness;
    FreeRunRod solver = shapes.solver.changed(rod);
    RefinedShape found =
        tightest_of(free_run_shapes(context, solver, coarser(shapes.grid, k_second_look_poses)));
    const RodShape same = solver.solve_near(tightest.shape, tightest.pose);
    if (same.converged() && same.radius_mm < found.measure) {
      found = {same.radius_mm, tightest.pose, same};
    }
    return found;
  };
  std::string depends;
  if (!line.stiffness.measured) {
    const RefinedShape limp = at_stiffness(line.stiffness.lower);
    const RefinedShape stiff = at_stiffness(line.stiffness.upper);
    const bool limp_fails = !(limp.measure >= allowed);
    const bool stiff_fails = !(stiff.measure >= allowed);
    if (limp_fails != fails || stiff_fails != fails) {
      depends = context.length(limp.measure, 0) + " at " + two_digits(line.stiffness.lower) +
                " N m^2, " + context.length(stiff.measure, 0) + " at " +
                two_digits(line.stiffness.upper) + " N m^2";
    }
    if (!fails && !depends.empty()) {
      Finding finding = finding_of(run, line, shapes, Severity::act, "line stiffness");
      const RefinedShape& worse = limp_fails ? limp : stiff;
      finding.pose = worse.pose;
      finding.value = worse.measure;
      finding.limit = allowed;
      finding.what = name_of(run, line) + " bends to " + context.length(tightest.measure, 0) +
                     ", " + context.length(allowed, 0) + " allowed, if its stiffness is as " +
                     "estimated, but to " + depends;
      finding.advice = k_measure_it;
      findings.push_back(std::move(finding));
    }
  }
  if (!fails) return;
  Finding finding = finding_of(run, line, shapes, Severity::act, "line bend");
  finding.pose = tightest.pose;
  finding.value = tightest.measure;
  finding.limit = allowed;
  finding.what = name_of(run, line) + " bends to " + context.length(tightest.measure, 0) + " " +
                 where_text(context, run, line, tightest.shape) + ", its centre line allows " +
                 context.length(allowed, 0) + " (" + line.allowed_because + "; stiffness " +
                 stiffness_text(line.stiffness) + ")";
  if (!context.options.findings_only) {
    finding.advice = bend_advice(context, run, window, line, shapes, tightest, keeps_clear);
  }
  if (!depends.empty()) {
    finding.advice += "; it depends on the stiffness (" + depends + "): " + k_measure_it;
  }
  findings.push_back(std::move(finding));
}

/// A line that stays above its limit if its stiffness is as estimated, but not over the whole range
/// of the estimate.
void add_droop_doubt(const Context& context, const FreeRun& run, const RunRod& line,
                     const FreeRunShapes& shapes, const RefinedShape& lowest, double keep_above,
                     std::vector<Finding>& findings) {
  if (line.stiffness.measured) return;
  for (const double stiffness : {line.stiffness.lower, line.stiffness.upper}) {
    HangingRod rod = line.rod;
    rod.stiffness_Nm2 = stiffness;
    const RodShape shape = shapes.solver.changed(rod).solve_near(lowest.shape, lowest.pose);
    if (!shape.converged() || shape.lowest.z >= keep_above - k_length_equal_mm) continue;
    Finding finding = finding_of(run, line, shapes, Severity::act, "line stiffness");
    finding.pose = lowest.pose;
    finding.value = shape.lowest.z;
    finding.limit = keep_above;
    finding.what = name_of(run, line) + " stays above Z " + context.length(keep_above, 0) +
                   " if its stiffness is as estimated, but comes down to " +
                   context.length(shape.lowest.z, 0) + " at " + two_digits(stiffness) + " N m^2";
    finding.advice = k_measure_it;
    findings.push_back(std::move(finding));
    return;
  }
}

void check_droop(const Context& context, const FreeRun& run, const RunWindow& window,
                 const RunRod& line, const FreeRunShapes& shapes, const RefinedShape& lowest,
                 const KeepsClear& keeps_clear, std::vector<Finding>& findings) {
  const std::optional<double> keep_above = run.run->legs[run.leg].keep_above;
  // What a limp line says already is not said twice.
  if (!keep_above || window.length_mm > window.max_mm) return;
  if (lowest.measure >= *keep_above - k_length_equal_mm) {
    add_droop_doubt(context, run, line, shapes, lowest, *keep_above, findings);
    return;
  }
  Finding finding = finding_of(run, line, shapes, Severity::act, "line droop");
  finding.pose = lowest.pose;
  finding.value = lowest.measure;
  finding.limit = *keep_above;
  finding.what = name_of(run, line) + " comes down to Z " + context.length(lowest.measure, 0) +
                 ", it has to stay above " + context.length(*keep_above, 0) + " (stiffness " +
                 stiffness_text(line.stiffness) + ")";
  finding.advice =
      "raise its ends by " + context.length(std::ceil(*keep_above - lowest.measure), 0);
  for (double length = window.length_mm - k_length_step_mm;
       length >= window.min_mm && !context.options.findings_only; length -= k_length_step_mm) {
    FreeRunRod solver = shapes.solver.changed(with_length(line.rod, length));
    const RodShape shape = solver.solve_near(lowest.shape, lowest.pose);
    if (!shape.converged() || shape.lowest.z < *keep_above) continue;
    if (keeps_clear && !keeps_clear(run, length)) continue;
    finding.advice =
        (window.given ? "shorten it to " : "give it a length of ") + context.length(length, 0);
    break;
  }
  findings.push_back(std::move(finding));
}

void check_shapes(const Context& context, const FreeRun& run, const RunRod& line,
                  const FreeRunShapes& shapes, std::vector<Finding>& findings) {
  if (shapes.not_converged > 0) {
    Finding finding = finding_of(run, line, shapes, Severity::act, "line shape");
    finding.pose = shapes.first_not_converged;
    finding.value = static_cast<double>(shapes.not_converged);
    finding.unit = "poses";
    finding.what = name_of(run, line) + ": no stable shape was found at " +
                   std::to_string(shapes.not_converged) + " of " +
                   std::to_string(shapes.shapes.size()) +
                   " poses, so nothing is said about its bends there";
    finding.advice = "try the line by hand at this pose with power off";
    findings.push_back(std::move(finding));
  }
  if (shapes.snaps.empty()) return;
  const Snap& snap =
      *std::max_element(shapes.snaps.begin(), shapes.snaps.end(),
                        [](const Snap& a, const Snap& b) { return a.jump_mm < b.jump_mm; });
  Finding finding = finding_of(run, line, shapes, Severity::note, "line snap");
  finding.pose = snap.to;
  finding.value = snap.jump_mm;
  const std::string from = pose_text(context, snap.from);
  const std::string to = pose_text(context, snap.to);
  finding.what = name_of(run, line) + " can snap by " + context.length(snap.jump_mm, 0) +
                 " from one shape to another " +
                 (from == to ? "at " + to : "between " + from + " and " + to);
  finding.advice = "keep clear of it there, or measure its stiffness: " + std::string(k_measure_it);
  findings.push_back(std::move(finding));
}

/// A clamped line solved in its vertical plane, held against all of space: it may bow out to its
/// side. Looked at where it bends tightest and where it reaches lowest; the figures are those in
/// the plane, so what space makes of them is said.
void check_sideways(const Context& context, const FreeRun& run, const RunRod& line,
                    const FreeRunShapes& shapes, const RodExtremes& extremes,
                    std::vector<Finding>& findings) {
  const bool clamped = run.from.direction || run.to.direction;
  if (!clamped || !extremes.tightest.shape.along) return;
  for (const RefinedShape* at : {&extremes.tightest, &extremes.lowest}) {
    rod::SpatialRodProblem p;
    p.length_mm = line.rod.length_mm;
    if (run.support) {  // over a pulley or from a retractor: what is outside
      p.length_mm = glm::distance(at->shape.points[0], at->shape.points[1]) *
                    static_cast<double>(at->shape.points.size() - 1);
    }
    p.mass_kg_m = line.rod.mass_kg_m;
    p.stiffness_Nm2 = solved_stiffness_Nm2(line.rod);
    p.start = at->shape.points.front();
    p.end = at->shape.points.back();
    p.start_tangent = run.anchors.start_direction;
    if (run.anchors.end_direction) p.end_tangent = -*run.anchors.end_direction;
    rod::SpatialRodSolver solver(static_cast<int>(at->shape.points.size()) - 1);
    if (solver.solve_from(at->shape.points, p).converged()) continue;
    const bool found = solver.solve_cold(p).converged();
    const double radius = found ? solver.figures().smallest_radius_mm : 0.0;
    double aside = 0.0;
    double moved = 0.0;
    if (found) {
      const Vec3 across(-at->shape.along->y, at->shape.along->x, 0.0);
      const std::vector<Vec3> points = solver.points();
      for (std::size_t i = 0; i < points.size(); ++i) {
        aside = std::max(aside, std::abs(glm::dot(points[i] - points.front(), across)));
        moved = std::max(moved, glm::distance(points[i], at->shape.points[i]));
      }
    }
    constexpr double k_same_mm = 1.0;
    if (found && moved < k_same_mm) continue;
    const bool bends_as_it_may = found && radius >= line.allowed_radius_mm;
    Finding finding = finding_of(run, line, shapes,
                                 bends_as_it_may ? Severity::note : Severity::act, "line sideways");
    finding.pose = at->pose;
    finding.what = name_of(run, line) + " does not stay in the vertical plane through its ends";
    finding.advice = "guide it from the side, or let it swivel at its clamps";
    if (found && aside < k_same_mm) {
      finding.value = moved;
      finding.what = name_of(run, line) + " can turn over, out of the vertical plane through its " +
                     "ends, to another shape in it " + context.length(moved, 0) +
                     " away, which bends to " + context.length(radius, 0) +
                     ", its centre line allows " + context.length(line.allowed_radius_mm, 0);
    } else if (found) {
      finding.value = aside;
      finding.what += ": it bows out to either side by " + context.length(finding.value, 0) +
                      " and bends there to " + context.length(radius, 0) + ", its centre line " +
                      "allows " + context.length(line.allowed_radius_mm, 0);
      finding.advice = "keep that much more free beside it, or " + finding.advice;
    } else {
      finding.what += ", and no stable shape was found beside it";
    }
    findings.push_back(std::move(finding));
    return;
  }
}

}  // namespace

std::vector<Finding> check_free_run_bend(const Context& context, const FreeRun& run,
                                         const RunWindow& window, const RunRod& line,
                                         const FreeRunShapes& shapes, const RodExtremes& extremes,
                                         const KeepsClear& keeps_clear) {
  std::vector<Finding> findings;
  check_shapes(context, run, line, shapes, findings);
  if (extremes.tightest.pose.empty()) return findings;
  check_bend(context, run, window, line, shapes, extremes.tightest, keeps_clear, findings);
  check_droop(context, run, window, line, shapes, extremes.lowest, keeps_clear, findings);
  check_sideways(context, run, line, shapes, extremes, findings);
  return findings;
}

}  // namespace bight::study
