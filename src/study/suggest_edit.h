#pragma once
// Changes of a plan as paths and values, with what has to follow: a clipped leg ends where the
// hook or bracket is that takes the line over, and goes with the part that it is clipped to.

#include <functional>
#include <set>
#include <string>
#include <utility>
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

enum class Bracket { fixed, moving };

/// What is moved together, by name. Parts have to be parts of the plan file.
struct Moving {
  std::set<std::string> parts;
  std::set<std::string> holds;  ///< anchors and supports
  std::set<std::pair<std::string, Bracket>> brackets;
  std::set<std::string> switches;   ///< the sensing points
  std::set<std::string> actuators;  ///< of the switches of these names
  /// Is a point of a leg clipped to a body on something that is moved? May be empty: none is.
  std::function<bool(const std::string& body, const Vec3& point)> has_clip;
};

/// Moves all of it; `what` goes to the first change. A clipped leg that ends there follows; the
/// rest of such a leg is shifted so that what ran along an axis still does. So does an anchor that
/// is where a bracket is.
std::vector<PlanChange> move_together(const Context& context, const Moving& moving,
                                      const Vec3& shift, const std::string& what);

/// The points of a clipped leg with one end elsewhere; what ran along an axis still does.
std::vector<Vec3> with_end_at(const std::vector<Vec3>& points, bool last, const Vec3& to);

/// TOML text of points.
std::string toml_points(const Context& context, const std::vector<Vec3>& points);

/// Moves an anchor or a support alone.
std::vector<PlanChange> move_hold(const Context& context, const std::string& hold, const Vec3& to,
                                  const std::string& why);

/// Moves a bracket of a chain alone.
std::vector<PlanChange> move_bracket(const Context& context, const plan::Chain& chain,
                                     Bracket bracket, const Vec3& shift, const std::string& why);

/// Place of an anchor or support with all joints at zero, and its body.
struct HoldPlace {
  Vec3 at{0.0};
  std::string body;
  bool is_support = false;
};
HoldPlace place_of_hold(const plan::Plan& plan, const std::string& hold);

/// "move hook from ... to ..., why".
std::string move_text(const Context& context, const std::string& thing, const Vec3& from,
                      const Vec3& to, const std::string& why);
/// "let run hang 1170 mm long between hook and mast": the free piece, not what is cut in all.
std::string free_length_text(const Context& context, const std::string& run,
                             const std::string& from, const std::string& to, double mm);
std::string bracket_name(const std::string& chain, Bracket bracket);

}  // namespace bight::study
