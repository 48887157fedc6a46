#include "study/check_chain_shape.h"

#include <algorithm>
#include <cmath>

namespace bight::study {
namespace {

using chain::ChainShapeStatus;

ChainShapeFigures figures_of(const SimulatedChain& s) {
  ChainShapeFigures f;
  f.step_mm = joint_step(s);
  f.sag_is_assumed = !s.chain->back_bend_radius;
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
    most(f.error_mm, shape.error_mm);
    most(f.error_N, shape.error_N);
  }
  f.settled = s.travel.settled && f.poses == s.travel.poses.size();
  return f;
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
std::vector<Finding> check_sag(const Context& context, const SimulatedChain& s) {
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
std::vector<Finding> check_strays(const Context& context, const SimulatedChain& s) {
  if (is_raised(s)) return {};
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
std::vector<Finding> check_known(const Context& context, const SimulatedChain& s) {
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

}  // namespace

ChainShapeCheck check_chain_shapes(const Context& context,
                                   const std::vector<std::optional<SimulatedChain>>& simulated) {
  ChainShapeCheck check;
  check.shapes.resize(simulated.size());
  for (std::size_t i = 0; i < simulated.size(); ++i) {
    if (!simulated[i] || simulated[i]->travel.poses.empty()) continue;
    const SimulatedChain& s = *simulated[i];
    check.shapes[i] = figures_of(s);
    append(check.findings, check_known(context, s));
    append(check.findings, check_sag(context, s));
    append(check.findings, check_strays(context, s));
  }
  return check;
}

}  // namespace bight::study
