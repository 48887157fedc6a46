#pragma once
// What might mend a finding: candidates, smallest change first, from the numbers that the study
// computes. None is trusted: study/suggest checks each in full.

#include <functional>
#include <string>
#include <vector>

#include "study/context.h"
#include "study/free_run.h"
#include "study/suggest.h"
#include "study/suggest_carry.h"

namespace bight::study {

struct Candidate {
  std::string kind;  ///< for the list of what was tried: "another length"
  std::vector<PlanChange> changes;
};

using Candidates = std::vector<Candidate>;

/// Candidates that are worked out only when those before them did not do.
using CandidateStage = std::function<Candidates()>;

/// By the check that found it, all stages at once; empty when no change of the plan is known to
/// help.
Candidates candidates_for(const Context& context, const StudyResult& result,
                          const Finding& finding);

/// The same in stages. They refer to the arguments, which have to stay.
std::vector<CandidateStage> candidate_stages(const Context& context, const StudyResult& result,
                                             const Finding& finding, const Carriers& carriers);

/// One candidate for each way.
void add_ways(Ways ways, const std::string& kind, Candidates& candidates);

// The generators, by what they change.
std::vector<CandidateStage> free_run_stages(const Context& context, const StudyResult& result,
                                            const Finding& finding, const Carriers& carriers);
Candidates chain_candidates(const Context& context, const StudyResult& result,
                            const Finding& finding, const Carriers& carriers);
Candidates line_candidates(const Context& context, const Finding& finding);
/// Moves by which two things come apart, and cuts of their travel.
Candidates part_candidates(const Context& context, const StudyResult& result,
                           const Finding& finding, const Carriers& carriers);
Candidates travel_candidates(const Context& context, const Finding& finding);
Candidates support_candidates(const Context& context, const StudyResult& result,
                              const Finding& finding);
/// Another arm, another place, more or fewer loops of the support that a free leg hangs on.
Candidates hung_candidates(const Context& context, const FreeRun& run, const Finding& finding,
                           const Carriers& carriers);
Candidates gap_in_run_candidates(const Context& context, const Finding& finding,
                                 const Carriers& carriers);
Candidates switch_candidates(const Context& context, const Finding& finding);

}  // namespace bight::study
