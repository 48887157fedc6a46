#include "study/suggest_candidate.h"

#include <algorithm>
#include <array>
#include <iterator>

namespace bight::study {
namespace {

std::vector<Candidate> joined(std::vector<Candidate> first, std::vector<Candidate> then) {
  first.insert(first.end(), std::make_move_iterator(then.begin()),
               std::make_move_iterator(then.end()));
  return first;
}

}  // namespace

std::vector<Candidate> candidates_for(const Context& context, const StudyResult& result,
                                      const Finding& finding) {
  const std::string& check = finding.check;
  static constexpr std::array k_free_run_checks{
      "length window", "free line clearance", "support load",  "line bend", "line droop",
      "line shape",    "line snap",           "line sideways", "swing"};
  if (std::find(k_free_run_checks.begin(), k_free_run_checks.end(), check) !=
      k_free_run_checks.end()) {
    std::vector<Candidate> candidates = free_run_candidates(context, result, finding);
    if (check != "line bend") return candidates;
    return joined(std::move(candidates), line_candidates(context, finding));
  }
  if (check == "clearance" || check == "clearance beyond travel" || check == "crush gap")
    return part_candidates(context, finding);
  if (check == "support range") return support_candidates(context, result, finding);
  if (check == "gap in a run") return gap_in_run_candidates(context, finding);
  if (check == "reach") return travel_candidates(context, finding);
  if (check == "switch") return switch_candidates(context, finding);
  if (check == "voltage drop" || check == "clipped bend") return line_candidates(context, finding);
  std::vector<Candidate> candidates = chain_candidates(context, result, finding);
  // Another cable leaves the machine as it is.
  if (check == "chain bend")
    return joined(line_candidates(context, finding), std::move(candidates));
  if (check == "power beside signal") {
    return joined(std::move(candidates), line_candidates(context, finding));
  }
  return candidates;
}

}  // namespace bight::study
