#include "study/check_chain_shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number.h"
#include "base/parallel.h"
#include "base/tolerance.h"
#include "chain/chain_bodies.h"
#include "chain/chain_shape_travel.h"
#include "study/context.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

using chain::ChainShapeStatus;

/// A chain, its frame and its shapes over the travel.
struct Simulated {
  const plan::Chain* chain = nullptr;
  chain::ChainFrame frame;
  double allowance_mm = 0.0;  ///< by which the clearance proof's pieces exceed the ideal loop
  chain::ChainShapeTravel travel;
};

/// Nothing for a chain that has no loop or no weight: other findings say so.
std::optional<Simulated> simulate(const Context& context, const ChainFigures& figures) {
  const plan::Chain& chain = by_name(context.plan.chains, figures.name);
  chain::ChainBodies bodies = chain::chain_bodies(chain, context.machine);
  const chain::ChainStatus status = bodies.frame.status;
  if (status != chain::ChainStatus::ok && status != chain::ChainStatus::bracket_too_high) return {};
  const chain::ChainShapeProblem problem =
      chain::chain_shape_problem(chain, bodies.frame, figures.fill.mass_kg_per_m);
  if (!(problem.mass_kg_per_m > 0.0)) return {};
  Simulated result{&chain, std::move(bodies.frame), bodies.polygon_allowance_mm, {}};
  result.travel = chain::chain_shapes(problem, result.frame.loop.moving_mm);
  return result;
}

double joint_step(const Simulated& s) {
  return s.travel.step_mm / std::abs(s.frame.rate);
}

std::vector<double> pose_of(const Context& context, const Simulated& s, double moving_mm) {
  std::vector<double> pose = neutral_pose(context.machine);
  pose[s.frame.joint] = (moving_mm - s.frame.offset_mm) / s.frame.rate;
  return pose;
}

Finding finding_of(const Context& context, const Simulated& s, Severity severity,
                   const chain::ChainShapePose& pose, std::string check) {
  Finding finding = make_finding(std::move(check), severity, Certainty::sampled, {s.chain->name});
  finding.pose = pose_of(context, s, pose.moving_mm);
  finding.poses = s.travel.poses.size();
  finding.step_mm = joint_step(s);
  return finding;
}

/// Of the outside of the links beyond the farther bracket, as LoopResult::loop_room_mm.
double room_used(const Simulated& s, const chain::ChainShapePose& pose) {
  return pose.shape.front_mm + 0.5 * s.chain->outer_height -
         std::max(s.frame.loop.fixed_mm, s.frame.loop.moving_mm[1]);
}

ChainShapeFigures figures_of(const Simulated& s) {
  ChainShapeFigures f;
  f.step_mm = joint_step(s);
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    const chain::ChainShape& shape = pose.shape;
    if (!shape.problem.empty()) f.remark = shape.problem;
    if (!shape.has_shape()) continue;
    const bool first = f.poses++ == 0;
    f.has_forces = shape.converged();
    const auto most = [first](double& worst, double value) {
      worst = first ? value : std::max(worst, value);
    };
    const auto least = [first](double& worst, double value) {
      worst = first ? value : std::min(worst, value);
    };
    most(f.sag_mm, shape.sag_mm);
    least(f.gap_mm, shape.gap_mm);
    most(f.on_itself_mm, shape.on_itself_mm);
    most(f.loop_room_mm, room_used(s, pose));
    most(f.strays_mm, pose.strays_mm);
    least(f.smallest_radius_mm, shape.smallest_radius_mm);
    most(f.pull_N, shape.pull_N);
    most(f.bracket_moment_Nmm, std::max(shape.fixed_moment_Nmm, shape.moving_moment_Nmm));
    most(f.floor_force_N, shape.floor_force_N);
  }
  return f;
}

/// The pose with a shape where a figure is largest, or nothing.
template <class Figure>
const chain::ChainShapePose* worst_pose(const Simulated& s, const Figure& figure) {
  const chain::ChainShapePose* worst = nullptr;
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    if (pose.shape.has_shape() && (!worst || figure(pose) > figure(*worst))) worst = &pose;
  }
  return worst;
}

/// Free pieces of an upper run that came down: what may stretch freely at most.
double longest_free_run(const chain::ChainShape& shape) {
  double length = 0.0;
  for (const chain::ChainShapePiece& piece : shape.pieces) {
    if (piece.kind == chain::PieceKind::back) length += piece.length_mm;
  }
  return length;
}

/// The upper run sags onto the lower one.
std::vector<Finding> check_sag(const Context& context, const Simulated& s) {
  const auto* worst = worst_pose(s, [](const auto& pose) { return pose.shape.on_itself_mm; });
  if (!worst || !(worst->shape.on_itself_mm > 0.0)) return {};
  const double free_run = longest_free_run(worst->shape);
  const double stretch = free_run + worst->shape.on_itself_mm;
  Finding finding = finding_of(context, s, Severity::act, *worst, "chain sag");
  finding.what = s.chain->name + ": its upper run sags by " + context.length(worst->shape.sag_mm) +
                 " and lies on the lower one over " + context.length(worst->shape.on_itself_mm);
  finding.value = worst->shape.sag_mm;
  finding.limit = s.frame.height_mm - s.chain->outer_height;
  finding.advice = "carry the upper run so that no more than " + context.length(free_run) +
                   " of its " + context.length(stretch) +
                   " stretch freely, or take a chain with a " + "back bend radius above " +
                   context.length(stretch * stretch / (8.0 * finding.limit), 0);
  return {finding};
}

/// The shape leaves the room that the clearance proof gives the chain.
std::vector<Finding> check_strays(const Context& context, const Simulated& s) {
  // Slots and measuring: mounted to about this, so less says nothing.
  constexpr double k_mounted_mm = 1.0;
  if (s.frame.status != chain::ChainStatus::ok) return {};
  const auto* worst = worst_pose(s, [](const auto& pose) { return pose.strays_mm; });
  if (!worst) return {};
  const double beyond = worst->strays_mm - s.allowance_mm;
  if (!(beyond > k_mounted_mm)) return {};
  Finding finding = finding_of(context, s, Severity::act, *worst, "chain shape");
  finding.what = s.chain->name + ": its own weight takes it " + context.length(worst->strays_mm) +
                 " off the ideal loop, " + context.length(beyond) +
                 " beyond what its clearances are proved for";
  finding.value = worst->strays_mm;
  finding.limit = s.allowance_mm + k_mounted_mm;
  finding.advice = "keep " + context.length(beyond) + " more than the wanted clearance to " +
                   s.chain->name + ", or carry its upper run";
  return {finding};
}

/// Poses whose shape is not known.
std::vector<Finding> check_known(const Context& context, const Simulated& s) {
  const auto& poses = s.travel.poses;
  const auto refused = std::find_if(poses.begin(), poses.end(),
                                    [](const auto& pose) { return !pose.shape.has_shape(); });
  if (refused == poses.end()) return {};
  const bool too_short = refused->shape.status == ChainShapeStatus::too_short;
  Finding finding =
      finding_of(context, s, too_short ? Severity::stop : Severity::note, *refused, "chain shape");
  const bool all = std::none_of(poses.begin(), poses.end(),
                                [](const auto& pose) { return pose.shape.has_shape(); });
  finding.what = s.chain->name + ": its shape under its own weight is not known" +
                 (all ? "" : " at " + pose_text(context, finding.pose)) + ": " +
                 refused->shape.problem;
  finding.value = s.frame.height_mm;
  finding.limit = 2.0 * s.chain->bend_radius;
  finding.advice = too_short
                       ? "take more links than " + std::to_string(s.frame.size.links)
                       : "guide the chain, or mount its runs " + context.length(finding.limit) +
                             " apart over a tray, and look at it over the travel";
  return {finding};
}

/// Mounted farther apart than 2 R: the clearance proof has no pieces for it.
std::vector<Finding> check_raised(const Context& context, const Simulated& s) {
  if (s.frame.status != chain::ChainStatus::bracket_too_high) return {};
  const auto* worst = worst_pose(s, [&](const auto& pose) { return room_used(s, pose); });
  if (!worst) return {};
  const double room = room_used(s, *worst);
  const bool too_far = s.chain->room && room > *s.chain->room + k_length_equal_mm;
  Finding finding =
      finding_of(context, s, too_far ? Severity::act : Severity::note, *worst, "chain shape");
  finding.what = s.chain->name + ": mounted " +
                 context.length(s.frame.height_mm - 2.0 * s.chain->bend_radius) +
                 " higher than 2 x bend radius it takes up to " + context.length(room) +
                 " beyond the brackets" +
                 (too_far ? ", " + context.length(*s.chain->room) + " are free" : "") +
                 "; nothing proves its clearances";
  finding.value = room;
  finding.limit = s.chain->room.value_or(0.0);
  finding.advice = "mount the runs " + context.length(2.0 * s.chain->bend_radius) +
                   " apart: then its clearances are proved; or keep what is near " +
                   context.length(worst->strays_mm) + " farther off than the ideal loop";
  if (too_far) {
    finding.advice += ", or make room for " + context.length(room - *s.chain->room) + " more";
  }
  return {finding};
}

}  // namespace

ChainShapeCheck check_chain_shapes(const Context& context,
                                   const std::vector<ChainFigures>& chains) {
  std::vector<std::optional<Simulated>> simulated(chains.size());
  parallel_for(chains.size(), context.options.threads,
               [&](std::size_t i) { simulated[i] = simulate(context, chains[i]); });
  ChainShapeCheck check;
  check.shapes.resize(chains.size());
  for (std::size_t i = 0; i < chains.size(); ++i) {
    if (!simulated[i]) continue;
    const Simulated& s = *simulated[i];
    check.shapes[i] = figures_of(s);
    append(check.findings, check_known(context, s));
    append(check.findings, check_raised(context, s));
    append(check.findings, check_sag(context, s));
    append(check.findings, check_strays(context, s));
  }
  return check;
}

}  // namespace bight::study
