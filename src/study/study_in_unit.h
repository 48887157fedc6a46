#pragma once
// The study with the lengths of its sentences in a unit of the caller's choice, for a window that
// shows inches of a plan in mm or the reverse.

#include "base/units.h"
#include "study/study.h"

namespace bight::study {

/// As run_study() of study/study.h, which speaks in the unit of the plan.
StudyResult run_study(const plan::Plan& plan, const machine::Machine& machine,
                      const StudyOptions& options, LengthUnit unit);

}  // namespace bight::study
