#pragma once
// What a change of the plan may have an effect on: which free runs and which chains' shapes have to
// be looked at again. Errs to the safe side. For study/suggest_screen.

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "study/suggest.h"
#include "study/suggest_variant.h"

namespace bight::study {

/// Free runs that share supports, and the names by which their findings go.
struct RunGroup {
  std::vector<std::string> runs;
  std::set<std::string> names;  ///< of the runs and of their supports
  bool touched = true;
  bool on_moving_support = false;
};

struct Touched {
  bool everything = false;
  std::vector<RunGroup> groups;  ///< all free runs of `changed`
  std::set<std::string> chains;  ///< whose shape is to be looked at again
  bool meshes = true;
};

Touched touched_by(const Variant& now, const Draft& changed, const std::vector<PlanChange>& changes,
                   const StudyOptions& options);

}  // namespace bight::study
