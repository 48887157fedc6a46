#pragma once
// What every check gets: the plan, its machine and how to run. Checks are functions of a const
// Context to plain results.

#include <string>
#include <vector>

#include "base/units.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "study/study.h"

namespace bight::study {

struct Context {
  const plan::Plan& plan;
  const machine::Machine& machine;
  const StudyOptions& options;
  LengthUnit unit = LengthUnit::mm;

  std::string length(double mm, int decimals = 1) const { return length_text(mm, unit, decimals); }
  /// Rounded up, for what a person is told to do.
  std::string at_least(double mm, int decimals = 1) const {
    return length_text_at_least(mm, unit, decimals);
  }
  /// Rounded down, for what may be at most.
  std::string at_most(double mm, int decimals = 1) const {
    return length_text_at_most(mm, unit, decimals);
  }
};

/// Joint values that stand for "does not matter": zero where the travel allows it, else the end
/// nearest to zero.
std::vector<double> neutral_pose(const machine::Machine& machine);

/// "X 1200.0, Y 0.0, Z -120.0 mm".
std::string pose_text(const Context& context, const std::vector<double>& pose);

/// A part or chain as a person finds it in the plan: its name, and for a part that the frame makes
/// the keys of [frame] that give it its place and size.
std::string place_in_plan(const Context& context, const std::string& owner);

/// Nearest compass word of a direction along a plan axis: "+X" ... "-Z".
std::string direction_text(const Vec3& direction);

}  // namespace bight::study
