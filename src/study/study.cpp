#include "study/study.h"

#include <algorithm>

#include "study/check_bend_between_legs.h"
#include "study/check_bend_over_wheel.h"
#include "study/check_chain.h"
#include "study/check_chain_shape.h"
#include "study/check_clearance.h"
#include "study/check_free_run.h"
#include "study/check_gap.h"
#include "study/check_line.h"
#include "study/check_mesh.h"
#include "study/check_raised_chain.h"
#include "study/check_reach.h"
#include "study/check_sampling.h"
#include "study/check_speed.h"
#include "study/check_switch.h"
#include "study/context.h"
#include "study/leg_turn.h"
#include "study/mover.h"
#include "study/simulated_chain.h"
#include "study/study_in_unit.h"

namespace bight::study {
namespace {

Verdict verdict_of(const std::vector<Finding>& findings) {
  Verdict verdict = Verdict::clear;
  for (const Finding& finding : findings) {
    if (finding.severity == Severity::stop) return Verdict::stop;
    if (finding.severity == Severity::act) verdict = Verdict::act;
  }
  return verdict;
}

}  // namespace

const char* to_text(Verdict verdict) {
  switch (verdict) {
    case Verdict::stop:
      return "stop";
    case Verdict::act:
      return "act";
    case Verdict::clear:
      break;
  }
  return "clear";
}

StudyResult run_study(const plan::Plan& plan, const machine::Machine& machine,
                      const StudyOptions& options) {
  return run_study(plan, machine, options, plan.inches ? LengthUnit::inch : LengthUnit::mm);
}

StudyResult run_study(const plan::Plan& plan, const machine::Machine& machine,
                      const StudyOptions& options, LengthUnit unit) {
  const Context context{plan, machine, options, unit};
  StudyResult result;
  result.option = plan.chosen_option.empty() ? "base" : plan.chosen_option;
  result.about = plan.about;
  for (const plan::Option& option : plan.options) {
    if (option.name == plan.chosen_option) result.about = option.about;
  }
  for (const plan::Joint& joint : machine.joints) result.joints.push_back(joint.name);

  if (options.progress != nullptr) options.progress->add_total(free_run_steps(context));
  const std::vector<Mover> movers = make_movers(context);
  ClearanceCheck clearance = check_clearance(context, movers);
  ReachCheck reach = check_reach(context, clearance);
  ChainCheck chains = check_chains(context);
  const auto simulated = simulate_chains(context, chains.chains);
  ChainShapeCheck shapes = check_chain_shapes(context, simulated);
  const std::vector<RaisedChain> raised_ones = raised_chains(context, simulated);
  RaisedChainCheck raised = check_raised_chains(context, simulated, raised_ones, movers);
  for (std::size_t i = 0; i < simulated.size(); ++i) {
    chains.chains[i].shape = std::move(shapes.shapes[i]);
    chains.chains[i].near = std::move(raised.near[i]);
  }
  FreeRunCheck free_runs = check_free_runs(context, movers, raised_ones);
  LineCheck lines = check_lines(context, chains.chains, free_runs.runs);
  SwitchCheck switches = check_switches(context);

  append(result.findings, std::move(clearance.findings));
  append(result.findings, std::move(reach.findings));
  append(result.findings, std::move(chains.findings));
  append(result.findings, std::move(shapes.findings));
  append(result.findings, std::move(raised.findings));
  append(result.findings, std::move(free_runs.findings));
  append(result.findings, std::move(lines.findings));
  append(result.findings, check_bends_between_legs(context, leg_turns(context, free_runs.runs)));
  append(result.findings, check_bends_over_wheels(context));
  append(result.findings, std::move(switches.findings));
  append(result.findings, check_gaps(context, movers));
  append(result.findings, check_meshes(context));
  append(result.findings, check_speeds(context));
  if (clearance.pairs.empty() && clearance.touching.empty() && lines.lines.empty() &&
      chains.chains.empty() && plan.switches.empty() && plan.work_areas.empty()) {
    Finding finding = make_finding("empty plan", Severity::act, Certainty::formula, {});
    finding.what =
        "there is nothing to check: no two parts move against each other, and no line is described";
    finding.limit = 1.0;
    finding.unit = "pairs";
    finding.advice = "describe at least 1 joint, 1 body that it moves and 2 parts";
    result.findings.push_back(std::move(finding));
  }
  result.clearance = std::move(clearance.pairs);
  result.touching = std::move(clearance.touching);
  result.reach = reach.reach;
  result.lines = std::move(lines.lines);
  result.drums = std::move(lines.drums);
  result.chains = std::move(chains.chains);
  result.free_runs = std::move(free_runs.runs);
  result.supports = std::move(free_runs.supports);
  result.switches = std::move(switches.switches);
  append(result.findings, check_sampling(context, result));
  sort_by_severity(result.findings);
  result.verdict = verdict_of(result.findings);
  result.cancelled = is_cancelled(options.progress);
  return result;
}

}  // namespace bight::study
