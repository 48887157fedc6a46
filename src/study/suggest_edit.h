#pragma once
// Changes of a plan as paths and values, with what has to follow: a clipped leg ends where the
// hook or bracket is that takes the line over.

#include <string>
#include <vector>

#include "study/context.h"
#include "study/suggest.h"

namespace bight::study {

/// A value that a person can measure: to `step_mm`, in a plan in inches to 0.01 in.
double measurable(const Context& context, double mm, double step_mm = 0.1);

/// TOML text of a length or a place in the file's unit, to four decimals.
std::string toml_measure(const Context& context, double mm);
std::string toml_place(const Context& context, const Vec3& mm);

PlanChange set_length(const Context& context, std::string path, double mm, std::string what);
PlanChange set_whole(std::string path, int number, std::string what);

/// "run.<run>.leg.<number>.", `leg` counting from 0.
std::string leg_path(const std::string& run, std::size_t leg);

/// Moves an anchor or a support, and the ends of the clipped legs there; the rest of such a leg is
/// shifted so that what ran along an axis still does.
std::vector<PlanChange> move_hold(const Context& context, const std::string& hold, const Vec3& to,
                                  const std::string& why);

enum class Bracket { fixed, moving };

/// Moves a bracket of a chain in the same way.
std::vector<PlanChange> move_bracket(const Context& context, const plan::Chain& chain,
                                     Bracket bracket, const Vec3& shift, const std::string& why);

}  // namespace bight::study
