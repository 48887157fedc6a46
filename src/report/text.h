#pragma once
// The study as text for a terminal or a printed page: verdict, findings worst first, then the
// figures.

#include <string>
#include <vector>

#include "plan/plan.h"
#include "study/study.h"

namespace bight::report {

/// How much of the figures is shown; findings always are.
enum class Detail { findings, figures };

/// One option.
std::string option_text(const plan::Plan& plan, const study::StudyResult& result, Detail detail);

/// One finding: severity and sentence, pose and certainty, advice.
std::string finding_text(const plan::Plan& plan, const study::StudyResult& result,
                         const study::Finding& finding);

/// How much of the travel is free of contact, without a line end. `raised_left_out`: a chain
/// without an ideal loop is no part of it, its contacts are findings.
std::string share_text(const study::ReachFigures& reach, bool raised_left_out = false);

/// A line an option: name, verdict, number of findings.
std::string summary_text(const std::vector<study::StudyResult>& options);

/// Cut lengths and purchases of one option.
std::string lengths_text(const plan::Plan& plan, const study::StudyResult& result);

/// The same as comma-separated values, one line a row, all options (RFC 4180).
std::string lengths_csv(const std::vector<study::StudyResult>& options);

std::string cautions_text();

}  // namespace bight::report
