#include "editor/advice.h"

#include <algorithm>
#include <utility>

#include "editor/finding_list.h"
#include "study/context.h"
#include "study/suggest_candidate.h"

namespace bight::editor {
namespace {

FindingCounts counts_of(const study::StudyResult& result) {
  return count_findings(result.findings);
}

std::string words_of(const study::Candidate& candidate) {
  std::string words;
  for (const study::PlanChange& change : candidate.changes) {
    if (change.what.empty()) continue;
    words += (words.empty() ? "" : "; ") + change.what;
  }
  return words.empty() ? candidate.kind : words;
}

}  // namespace

Remedies find_remedies(const std::string& text, const std::string& file, const std::string& option,
                       const std::string& finding, std::size_t wanted, std::size_t tries,
                       Progress* progress, std::optional<LengthUnit> unit) {
  Remedies found;
  found.finding = finding;
  machine::MeshCache cache;
  const Reading reading = read_model(text, file, option, cache);
  if (!reading.model) {
    found.problem = "the plan has errors";
    return found;
  }
  const Model& model = *reading.model;
  const study::StudyOptions options{.progress = progress, .findings_only = true};
  const study::StudyResult before = study::run_study(model.plan, model.machine, options);
  const study::Context context{
      model.plan, model.machine, options,
      unit.value_or(model.plan.inches ? LengthUnit::inch : LengthUnit::mm)};
  const auto same = [&](const study::Finding& f) { return finding_id(f) == finding; };
  const auto it = std::find_if(before.findings.begin(), before.findings.end(), same);
  if (it == before.findings.end()) {
    found.problem = "the plan does not have this finding any more";
    return found;
  }
  for (const study::Candidate& candidate : study::candidates_for(context, before, *it)) {
    if (is_cancelled(progress)) break;
    if (found.tried == tries || found.remedies.size() == wanted) break;
    ++found.tried;
    Remedy remedy;
    remedy.what = words_of(candidate);
    for (const study::PlanChange& change : candidate.changes) {
      remedy.changes.push_back({change.path, change.value});
    }
    // What is checked is the text that applying it would give.
    const plan::Patched patched = edited_text(text, option, remedy_edit(remedy));
    if (!patched.problem.empty()) continue;
    const Reading changed = read_model(patched.text, file, option, cache);
    if (!changed.model) continue;
    const study::StudyResult after =
        study::run_study(changed.model->plan, changed.model->machine, options);
    if (after.cancelled) break;
    remedy.solves = std::none_of(after.findings.begin(), after.findings.end(), same);
    remedy.verdict = after.verdict;
    remedy.stops = counts_of(after).stops;
    remedy.acts = counts_of(after).acts;
    if (remedy.solves && remedy.stops <= counts_of(before).stops) {
      found.remedies.push_back(std::move(remedy));
    }
  }
  std::stable_sort(found.remedies.begin(), found.remedies.end(),
                   [](const Remedy& a, const Remedy& b) {
                     return std::pair(a.stops, a.acts) < std::pair(b.stops, b.acts);
                   });
  found.cancelled = is_cancelled(progress);
  return found;
}

SetValues remedy_edit(const Remedy& remedy) {
  return {remedy.changes, remedy.what};
}

}  // namespace bight::editor
