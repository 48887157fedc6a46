#include "study/suggest_touched.h"

#include <algorithm>
#include <map>
#include <set>

#include "study/free_run_clearance.h"
#include "study/lookup.h"
#include "study/mover.h"

namespace bight::study {
namespace {

/// A path of plan/option.h in pieces; names have no dots.
std::vector<std::string> pieces_of(const std::string& path) {
  std::vector<std::string> pieces(1);
  for (const char c : path) {
    if (c == '.') {
      pieces.emplace_back();
    } else {
      pieces.back() += c;
    }
  }
  return pieces;
}

/// The elements that changes name, by table.
struct ChangedElements {
  std::map<std::string, std::set<std::string>> names;
  std::set<std::string> free_runs;  ///< a free leg of these
  bool everything = false;

  bool has(const char* table, const std::string& name) const {
    const auto found = names.find(table);
    return found != names.end() && found->second.count(name) > 0;
  }
};

bool is_free(const plan::Plan& plan, const std::string& run, const std::string& number) {
  for (const plan::Run& r : plan.runs) {
    if (r.name != run) continue;
    for (std::size_t i = 0; i < r.legs.size(); ++i) {
      if (std::to_string(i + 1) == number) return r.legs[i].way == plan::LegWay::free;
    }
  }
  return true;
}

ChangedElements elements_of(const plan::Plan& plan, const std::vector<PlanChange>& changes) {
  static const std::set<std::string> k_tables = {"part",    "chain", "anchor", "support",
                                                 "article", "line",  "switch", "run"};
  static const std::set<std::string> k_of_leg = {"points", "bend_radius", "length", "slack_percent",
                                                 "keep_above"};
  ChangedElements elements;
  for (const PlanChange& change : changes) {
    const std::vector<std::string> pieces = pieces_of(change.path);
    if (pieces.size() < 3 || k_tables.count(pieces[0]) == 0) {
      elements.everything = true;
    } else if (pieces[0] == "run") {
      const bool known = pieces.size() == 5 && pieces[2] == "leg" && k_of_leg.count(pieces[4]) > 0;
      if (!known) elements.everything = true;
      if (known && is_free(plan, pieces[1], pieces[3])) elements.free_runs.insert(pieces[1]);
    } else {
      elements.names[pieces[0]].insert(pieces[1]);
    }
  }
  return elements;
}

bool line_changed(const ChangedElements& elements, const plan::Line& line) {
  return elements.has("line", line.name) || elements.has("article", line.article);
}

/// The group of runs that hang on one support is one.
std::vector<RunGroup> groups_of(const std::vector<FreeRun>& runs) {
  std::vector<RunGroup> groups;
  for (const FreeRun& run : runs) {
    RunGroup mine{{run.run->name}, {run.run->name}, true, run.support != nullptr};
    for (const FreeEnd* end : {&run.from, &run.to}) {
      const bool support = end->is_hook ||
                           (run.support && run.support->support().name == end->name) ||
                           (run.festoon != nullptr && run.festoon->name == end->name);
      if (support) mine.names.insert(end->name);
    }
    for (auto it = groups.begin(); it != groups.end();) {
      const bool shares = std::any_of(mine.names.begin(), mine.names.end(),
                                      [&](const auto& name) { return it->names.count(name) > 0; });
      if (!shares) {
        ++it;
        continue;
      }
      for (std::string& name : it->runs) {
        if (std::find(mine.runs.begin(), mine.runs.end(), name) == mine.runs.end()) {
          mine.runs.push_back(std::move(name));
        }
      }
      mine.on_moving_support = mine.on_moving_support || it->on_moving_support;
      mine.names.merge(it->names);
      it = groups.erase(it);
    }
    groups.push_back(std::move(mine));
  }
  return groups;
}

bool chain_touched(const ChangedElements& elements, const plan::Plan& plan,
                   const std::string& chain) {
  if (elements.has("chain", chain)) return true;
  const auto lines = lines_of_chain(plan, chain);
  return std::any_of(lines.begin(), lines.end(),
                     [&](const plan::Line* line) { return line_changed(elements, *line); });
}

/// A draft as the checks see it, with the movers that changes move.
struct Seen {
  Seen(const Draft& draft, const ChangedElements& elements, const StudyOptions& options)
      : context{draft.plan, draft.machine, options,
                draft.plan.inches ? LengthUnit::inch : LengthUnit::mm},
        runs(make_free_runs(context)) {
    std::set<std::string> level;
    for (Mover& mover : make_movers(context)) {
      if (mover.is_chain) level.insert(mover.owner);
      if (elements.has(mover.is_chain ? "chain" : "part", mover.owner)) {
        moved.push_back(std::move(mover));
      }
    }
    for (const plan::Chain& chain : draft.plan.chains) {
      const bool shown = level.count(chain.name) > 0;
      moves_raised = moves_raised || (!shown && chain_touched(elements, draft.plan, chain.name));
    }
  }
  Context context;
  std::vector<FreeRun> runs;
  std::vector<Mover> moved;
  bool moves_raised = false;  ///< a chain that no mover stands for
};

/// Can the free leg reach something that was moved? (study/free_run_clearance: proved.)
bool reaches(const Seen& seen, const std::string& run, const StudyResult& result) {
  for (const FreeRun& leg : seen.runs) {
    if (leg.run->name != run || (seen.moved.empty() && !seen.moves_raised)) continue;
    if (leg.festoon != nullptr || seen.moves_raised) return true;
    double diameter = 0.0;
    for (const plan::Line* line : leg.lines) {
      diameter =
          std::max(diameter, by_name(seen.context.plan.articles, line->article).outside_diameter);
    }
    for (const FreeRunFigures& f : result.free_runs) {
      if (f.run != run || f.leg != leg.leg + 1 || f.poses == 0) continue;
      const LineTargets targets =
          line_targets(seen.context, leg, f.length_mm, diameter, seen.moved, {});
      if (!targets.targets.empty()) return true;
    }
  }
  return false;
}

bool leg_touched(const ChangedElements& elements, const Seen& seen, const std::string& run) {
  if (elements.free_runs.count(run) > 0) return true;
  for (const FreeRun& leg : seen.runs) {
    if (leg.run->name != run) continue;
    for (const FreeEnd* end : {&leg.from, &leg.to}) {
      if (elements.has("anchor", end->name) || elements.has("support", end->name)) return true;
    }
    for (const plan::Line* line : leg.lines) {
      if (line_changed(elements, *line)) return true;
    }
  }
  return false;
}

}  // namespace

Touched touched_by(const Variant& now, const Draft& changed, const std::vector<PlanChange>& changes,
                   const StudyOptions& options) {
  Touched touched;
  const ChangedElements elements = elements_of(changed.plan, changes);
  touched.everything = elements.everything;
  touched.meshes = elements.everything || elements.names.count("part") > 0;
  const Seen before(now.draft, elements, options);
  const Seen after(changed, elements, options);
  touched.groups = groups_of(after.runs);
  for (RunGroup& group : touched.groups) {
    group.touched = touched.everything ||
                    std::any_of(group.runs.begin(), group.runs.end(), [&](const std::string& run) {
                      return leg_touched(elements, before, run) ||
                             leg_touched(elements, after, run) ||
                             reaches(before, run, now.result) || reaches(after, run, now.result);
                    });
  }
  const bool moves_parts = elements.names.count("part") > 0 || elements.names.count("chain") > 0;
  const auto is_raised = [&](const plan::Chain& chain) {
    return std::any_of(now.result.chains.begin(), now.result.chains.end(),
                       [&](const ChainFigures& f) { return f.name == chain.name && f.near; });
  };
  for (const plan::Chain& chain : changed.plan.chains) {
    if (touched.everything || (moves_parts && is_raised(chain)) ||
        chain_touched(elements, now.draft.plan, chain.name) ||
        chain_touched(elements, changed.plan, chain.name)) {
      touched.chains.insert(chain.name);
    }
  }
  return touched;
}

}  // namespace bight::study
