#include "study/suggest_candidate.h"

#include <algorithm>
#include <array>
#include <iterator>

namespace bight::study {

void add_ways(Ways ways, const std::string& kind, Candidates& candidates) {
  for (std::vector<PlanChange>& way : ways) candidates.push_back({kind, std::move(way)});
}

Candidates candidates_for(const Context& context, const StudyResult& result,
                          const Finding& finding) {
  const Carriers carriers(context);
  Candidates all;
  for (const CandidateStage& stage : candidate_stages(context, result, finding, carriers)) {
    Candidates some = stage();
    std::move(some.begin(), some.end(), std::back_inserter(all));
  }
  return all;
}

std::vector<CandidateStage> candidate_stages(const Context& context, const StudyResult& result,
                                             const Finding& finding, const Carriers& carriers) {
  const std::string& check = finding.check;
  const CandidateStage of_line = [&] { return line_candidates(context, finding); };
  const CandidateStage of_chain = [&] {
    return chain_candidates(context, result, finding, carriers);
  };
  static constexpr std::array k_free_run_checks{
      "length window", "free line clearance", "support load",  "line bend",      "line droop",
      "line shape",    "line snap",           "line sideways", "line stiffness", "swing"};
  if (std::find(k_free_run_checks.begin(), k_free_run_checks.end(), check) !=
      k_free_run_checks.end()) {
    std::vector<CandidateStage> stages = free_run_stages(context, result, finding, carriers);
    if (check == "line bend") stages.push_back(of_line);
    return stages;
  }
  if (check == "clearance" || check == "clearance beyond travel" || check == "crush gap") {
    return {[&] { return part_candidates(context, result, finding, carriers); }};
  }
  if (check == "support range") {
    return {[&] { return support_candidates(context, result, finding); }};
  }
  if (check == "gap in a run") {
    return {[&] { return gap_in_run_candidates(context, finding, carriers); }};
  }
  if (check == "reach") return {[&] { return travel_candidates(context, finding); }};
  if (check == "switch") return {[&] { return switch_candidates(context, finding); }};
  if (check == "voltage drop" || check == "clipped bend") return {of_line};
  if (check == "bend between legs" || check == "bend at a hold" || check == "bend over a wheel") {
    return {};  // how to lead a line there is a person's to choose
  }
  // Another cable leaves the machine as it is.
  if (check == "chain bend") return {of_line, of_chain};
  if (check == "power beside signal") return {of_chain, of_line};
  return {of_chain};
}

}  // namespace bight::study
