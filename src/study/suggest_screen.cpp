#include "study/suggest_screen.h"

#include <algorithm>
#include <array>
#include <string>

#include "study/check_bend_between_legs.h"
#include "study/check_bend_over_wheel.h"
#include "study/check_chain.h"
#include "study/check_chain_shape.h"
#include "study/check_clearance.h"
#include "study/check_free_run.h"
#include "study/check_free_run_length.h"
#include "study/check_gap.h"
#include "study/check_line.h"
#include "study/check_mesh.h"
#include "study/check_raised_chain.h"
#include "study/check_reach.h"
#include "study/check_switch.h"
#include "study/leg_turn.h"
#include "study/suggest_touched.h"

namespace bight::study {
namespace {

constexpr std::size_t k_coarse_poses = 30;

enum class Part { cheap, chain_shape, free_run, mesh };

/// Which check a finding comes from.
Part part_of(const Finding& finding) {
  static constexpr std::array k_free_run = {
      "length window", "free line clearance", "support load", "support range",
      "line bend",     "line droop",          "line shape",   "line snap",
      "line sideways", "line stiffness",      "swing"};
  if (std::find(k_free_run.begin(), k_free_run.end(), finding.check) != k_free_run.end()) {
    return Part::free_run;
  }
  if (finding.check == "chain shape" || finding.check == "chain sag" ||
      finding.check == "chain clearance") {
    return Part::chain_shape;
  }
  return finding.check == "mesh" ? Part::mesh : Part::cheap;
}

bool is_of(const RunGroup& group, const Finding& finding) {
  return std::any_of(finding.things.begin(), finding.things.end(),
                     [&](const std::string& thing) { return group.names.count(thing) > 0; });
}

/// True when the last full check says it.
bool is_known(const Touched& touched, const Finding& finding) {
  switch (part_of(finding)) {
    case Part::free_run:
      return std::none_of(touched.groups.begin(), touched.groups.end(), [&](const RunGroup& group) {
        return group.touched && is_of(group, finding);
      });
    case Part::chain_shape:
      return std::none_of(
          finding.things.begin(), finding.things.end(),
          [&](const std::string& thing) { return touched.chains.count(thing) > 0; });
    case Part::mesh:
      return !touched.meshes;
    case Part::cheap:
      break;
  }
  return false;
}

/// Counts findings and knows when to give up.
class Tally {
 public:
  explicit Tally(const Score& limit) : limit_(limit) {}
  void add(const std::vector<Finding>& findings) {
    const Score more = score_of(findings);
    score_.stops += more.stops;
    score_.acts += more.acts;
  }
  bool hopeless() const { return !(score_ < limit_); }
  /// With findings that will be counted later, too.
  bool hopeless_with(const std::vector<Finding>& findings) const {
    Tally other = *this;
    other.add(findings);
    return other.hopeless();
  }
  const Score& score() const { return score_; }

 private:
  Score limit_;
  Score score_;
};

/// The window of each free leg that was touched: seconds before its shapes.
struct Lengths {
  std::vector<Finding> findings;
  std::vector<FreeRunFigures> figures;  ///< of all free legs, good for their lengths
};

Lengths lengths_of(const Context& context, const Touched& touched, const StudyResult& before) {
  Lengths lengths;
  for (const FreeRun& run : make_free_runs(context)) {
    const bool again =
        std::any_of(touched.groups.begin(), touched.groups.end(), [&](const RunGroup& group) {
          return group.touched && group.names.count(run.run->name) > 0;
        });
    const auto known = std::find_if(
        before.free_runs.begin(), before.free_runs.end(),
        [&](const FreeRunFigures& f) { return f.run == run.run->name && f.leg == run.leg + 1; });
    // On a support that moves the window takes as long as all the rest.
    const bool hung = run.festoon != nullptr || run.support != nullptr;
    if (known != before.free_runs.end() && (!again || hung)) {
      lengths.figures.push_back(*known);
      continue;
    }
    const RunWindow window = window_of(context, run);
    lengths.figures.push_back(window_figures(run, window));
    if (!hung) append(lengths.findings, check_free_run_length(context, run, window));
  }
  return lengths;
}

std::vector<ChainFigures> chosen(const std::vector<ChainFigures>& chains,
                                 const std::set<std::string>& names) {
  std::vector<ChainFigures> some;
  for (const ChainFigures& chain : chains) {
    if (names.count(chain.name) > 0) some.push_back(chain);
  }
  return some;
}

}  // namespace

Score score_of(const std::vector<Finding>& findings) {
  Score score;
  for (const Finding& finding : findings) {
    score.stops += finding.severity == Severity::stop ? 1 : 0;
    score.acts += finding.severity == Severity::act ? 1 : 0;
  }
  return score;
}

std::optional<Score> screen(const Variant& now, const Draft& changed,
                            const std::vector<PlanChange>& changes, const Score& limit,
                            const StudyOptions& options) {
  StudyOptions brief = options;
  brief.findings_only = true;
  const Context context{changed.plan, changed.machine, brief,
                        changed.plan.inches ? LengthUnit::inch : LengthUnit::mm};
  const Touched touched = touched_by(now, changed, changes, brief);
  Tally tally(limit);
  for (const Finding& finding : now.result.findings) {
    if (is_known(touched, finding)) tally.add({finding});
  }
  const ChainCheck chains = check_chains(context);
  tally.add(chains.findings);
  tally.add(check_switches(context).findings);
  if (tally.hopeless()) return {};
  const std::vector<Mover> movers = make_movers(context);
  const ClearanceCheck clearance = check_clearance(context, movers);
  tally.add(clearance.findings);
  tally.add(check_reach(context, clearance).findings);
  tally.add(check_gaps(context, movers));
  if (touched.meshes) tally.add(check_meshes(context));
  if (tally.hopeless()) return {};
  const Lengths lengths = lengths_of(context, touched, now.result);
  tally.add(check_lines(context, chains.chains, lengths.figures).findings);
  tally.add(check_bends_between_legs(context, leg_turns(context, lengths.figures)));
  tally.add(check_bends_over_wheels(context));
  if (tally.hopeless_with(lengths.findings)) return {};
  const auto simulated = simulate_chains(context, chosen(chains.chains, touched.chains));
  tally.add(check_chain_shapes(context, simulated).findings);
  const std::vector<RaisedChain> raised = raised_chains(context, simulated);
  tally.add(check_raised_chains(context, simulated, raised, movers).findings);
  // A support that moves is solved for at each pose, which takes long.
  StudyOptions coarse = brief;
  coarse.free_run_poses = k_coarse_poses;
  const Context at_few_poses{changed.plan, changed.machine, coarse, context.unit};
  for (const RunGroup& group : touched.groups) {
    if (tally.hopeless() || is_cancelled(options.progress)) return {};
    if (!group.touched) continue;
    const Context& poses = group.on_moving_support ? at_few_poses : context;
    if (options.progress != nullptr) {
      options.progress->add_total(free_run_steps(poses, group.runs));
    }
    tally.add(check_free_runs(poses, movers, raised, group.runs).findings);
  }
  if (tally.hopeless() || is_cancelled(options.progress)) return {};
  return tally.score();
}

}  // namespace bight::study
