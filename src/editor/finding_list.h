#pragma once
// Findings as a list to look through: sorted, filtered, each with where to look.

#include <string>
#include <vector>

#include "study/study.h"

namespace bight::editor {

struct FindingFilter {
  bool stops = true;
  bool acts = true;
  bool notes = true;
  std::string text;   ///< every word must occur in it (letters of either case); empty: all
  std::string thing;  ///< name of something concerned; empty: all
};

enum class FindingOrder { severity, check, thing, margin };

/// Indices into `findings` that pass the filter, in the order asked for; equal ones as they come.
std::vector<std::size_t> listed_findings(const std::vector<study::Finding>& findings,
                                         const FindingFilter& filter,
                                         FindingOrder order = FindingOrder::severity);

/// How many of each there are, before any filter.
struct FindingCounts {
  std::size_t stops = 0;
  std::size_t acts = 0;
  std::size_t notes = 0;
};
FindingCounts count_findings(const std::vector<study::Finding>& findings);

/// Stable over checks: the check and its things, so that a selection survives a new result.
std::string finding_id(const study::Finding& finding);

}  // namespace bight::editor
