#pragma once
// Starter plan for `bight new`: a few dimensions to a commented plan that reads back without errors
// and is a machine with its cables.

#include <string>

#include "base/vec.h"

namespace bight::plan {

/// How the router's supply reaches the head.
enum class SupplyWay { chains, hook };

/// What a person measured or wants; the defaults are a common hobby router. Lengths in mm.
struct StarterAnswers {
  std::string name = "My machine";
  Vec3 travel{1200.0, 800.0, 120.0};  ///< X, Y, Z
  Vec2 bed_size{1400.0, 1100.0};      ///< X, Y
  bool moving_table = false;          ///< the bed moves along Y instead of the gantry
  double bed_height = 750.0;          ///< top of the bed above the floor
  double clear_height = 150.0;        ///< underside of the beam above the bed
  double router_diameter = 65.0;
  double router_length = 200.0;
  double tool_diameter = 6.0;
  double tool_length = 40.0;       ///< from the router's lower end to the tip
  double ceiling_height = 2400.0;  ///< above the floor
  SupplyWay supply = SupplyWay::chains;
};

/// The text of the plan, or an empty text with `problem` set to a sentence when the answers do not
/// fit together (travel longer than the bed, hook above the ceiling...).
struct StarterPlan {
  std::string text;
  std::string problem;
};

StarterPlan starter_plan(const StarterAnswers& answers);

}  // namespace bight::plan
