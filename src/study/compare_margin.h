#pragma once
// The worst margin of each check of one option, also of those that pass.

#include <vector>

#include "plan/plan.h"
#include "study/compare.h"
#include "study/study.h"

namespace bight::study {

/// One margin for each check that measured something, in the order of docs/compare.md. From the
/// figures of the study; from its findings for checks that give no figures when they pass (reach,
/// chain mounting, connector, crush gap, bends between legs).
std::vector<Margin> worst_margins(const plan::Plan& plan, const StudyResult& result);

}  // namespace bight::study
