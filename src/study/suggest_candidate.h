#pragma once
// What might mend a finding: candidates, smallest change first, from the numbers that the study
// computes. None is trusted: study/suggest checks each in full.

#include <string>
#include <vector>

#include "study/context.h"
#include "study/suggest.h"

namespace bight::study {

struct Candidate {
  std::string kind;  ///< for the list of what was tried: "another length"
  std::vector<PlanChange> changes;
};

/// By the check that found it; empty when no change of the plan is known to help.
std::vector<Candidate> candidates_for(const Context& context, const StudyResult& result,
                                      const Finding& finding);

// The generators, by what they change.
std::vector<Candidate> free_run_candidates(const Context& context, const StudyResult& result,
                                           const Finding& finding);
std::vector<Candidate> chain_candidates(const Context& context, const StudyResult& result,
                                        const Finding& finding);
std::vector<Candidate> line_candidates(const Context& context, const Finding& finding);
std::vector<Candidate> part_candidates(const Context& context, const Finding& finding);
std::vector<Candidate> travel_candidates(const Context& context, const Finding& finding);
std::vector<Candidate> support_candidates(const Context& context, const StudyResult& result,
                                          const Finding& finding);
std::vector<Candidate> gap_in_run_candidates(const Context& context, const Finding& finding);
std::vector<Candidate> switch_candidates(const Context& context, const Finding& finding);

}  // namespace bight::study
