#pragma once
// What `bight new` has to know of a machine: asked for one by one, or assumed and said.

#include <iosfwd>
#include <string>
#include <vector>

#include "plan/write.h"

namespace bight::cli {

/// Dimensions of a starter machine in the order in which they are asked for. The later ones have
/// defaults that suit those before them.
enum class StarterDimension {
  travel_x,
  travel_y,
  travel_z,
  bed_x,
  bed_y,
  bed_height,
  router_diameter,
  router_length,
  tool_diameter,
  tool_length,
  clear_height,
  ceiling_height,
};

/// The answers with everything that is not `known` set to what suits the known ones.
plan::StarterAnswers with_assumptions(plan::StarterAnswers answers,
                                      const std::vector<StarterDimension>& known);

/// Reads one length a line from `in` and writes the questions to standard error; an empty line
/// keeps what is proposed. An answer with which no plan can be made is refused at once, with the
/// reason, and asked for again. What is `known` is not asked for. False when the input ends before
/// the last answer.
bool ask_dimensions(std::istream& in, plan::StarterAnswers& answers,
                    std::vector<StarterDimension> known);

/// "bed 1400 x 1100 mm (--bed), ...": all that is not `known`, with the option that sets it. Empty
/// when everything is.
std::string assumed_text(const plan::StarterAnswers& answers,
                         const std::vector<StarterDimension>& known);

}  // namespace bight::cli
