#pragma once
// A quick look at a changed free leg before it is checked: does it, at few poses, still do what a
// finding complains about? Then the change mends nothing. For study/suggest_free_run.

#include <string>
#include <vector>

#include "study/free_run.h"
#include "study/mover.h"

namespace bight::study {

class QuickLook {
 public:
  /// For findings about a bend, a droop or what comes near; of others it knows nothing.
  QuickLook(const Context& context, const Finding& finding);

  /// False when the leg with this length cannot be mended.
  bool may_mend(const FreeRun& changed, double length_mm) const;

 private:
  bool keeps_away(const FreeRun& changed, double length_mm) const;
  bool bends_and_hangs(const FreeRun& changed, double length_mm) const;

  const Context& context_;
  const Finding& finding_;
  std::vector<Mover> near_;  ///< what the line came near to
};

}  // namespace bight::study
