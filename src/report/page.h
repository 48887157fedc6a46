#pragma once
// How every page of the report writes lengths, poses and counts.

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "base/counted.h"
#include "base/units.h"
#include "plan/option.h"
#include "plan/plan.h"

namespace bight::report {

inline constexpr std::size_t k_page_width = 100;  ///< columns of text, cautions to tables

/// Unit in which the plan was written.
inline LengthUnit unit_of(const plan::Plan& plan) {
  return plan.inches ? LengthUnit::inch : LengthUnit::mm;
}

/// A length in the unit of the plan; without a bound "no limit".
inline std::string length(const plan::Plan& plan, double mm, int decimals_mm = 1) {
  return std::isfinite(mm) ? length_text(mm, unit_of(plan), decimals_mm) : "no limit";
}

/// The same for the lower end of a window of length, rounded up, and for its upper end or a proved
/// distance, rounded down: what a person sets to the number that is printed is good.
inline std::string length_at_least(const plan::Plan& plan, double mm, int decimals_mm = 1) {
  return std::isfinite(mm) ? length_text_at_least(mm, unit_of(plan), decimals_mm) : "no limit";
}
inline std::string length_at_most(const plan::Plan& plan, double mm, int decimals_mm = 1) {
  return std::isfinite(mm) ? length_text_at_most(mm, unit_of(plan), decimals_mm) : "no limit";
}

using plan::option_label;

/// "sampled at 125 poses, steps up to 100 mm"; a single pose has no step.
inline std::string sampled_text(const plan::Plan& plan, std::size_t poses, double step_mm) {
  const std::string text = "sampled at " + counted(poses, "pose", "poses");
  return poses > 1 ? text + ", steps up to " + length(plan, step_mm, 0) : text;
}

/// Joint value at which the joint is homed.
inline double home_of(const plan::Joint& joint) {
  return joint.travel[joint.home == plan::End::low ? 0 : 1];
}

}  // namespace bight::report
