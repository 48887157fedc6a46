#pragma once
// Where everything of a starter machine goes: the frame's remaining dimensions, chains, brackets
// and the hook, from the few dimensions that a person gave. Inside the plan module only.

#include <string>

#include "base/vec.h"
#include "plan/write.h"

namespace bight::plan {

/// A drag chain of a common small size; the maker's data replace it.
struct StarterChain {
  double bend_radius = 75.0;
  double pitch = 33.0;
  double inner_width = 50.0;
  double inner_height = 25.0;
  double outer_width = 64.0;
  double outer_height = 35.0;
};

/// mm, plan frame, all joints at zero: X and Y at the front left, Z at the top of its travel.
struct StarterLayout {
  StarterChain chain;
  double bed_thickness = 40.0;
  double side_thickness = 20.0;
  double side_depth = 100.0;
  double side_gap = 20.0;
  double beam_height = 120.0;
  double beam_depth = 100.0;
  double running_gap = 2.0;
  double clip_radius = 40.0;  ///< of the bends of clipped cables, at their centre line
  Vec3 carriage_size{0.0};
  Vec3 head_size{0.0};
  Vec3 tip{0.0};

  double head_front = 0.0;  ///< Y of the plate that holds the router
  double carriage_front = 0.0;
  double beam_back = 0.0;
  double beam_top = 0.0;
  double head_top = 0.0;  ///< Z of the head plate's upper edge
  double router_top = 0.0;

  Vec3 y_fixed{0.0};  ///< pins of the chain that follows the gantry
  Vec3 y_moving{0.0};
  Vec3 x_fixed{0.0};  ///< of the one that follows the carriage, behind the beam
  Vec3 x_moving{0.0};
  Vec3 z_fixed{0.0};  ///< of the one that follows the head, over the carriage
  Vec3 z_moving{0.0};
  double arm_bottom = 0.0;  ///< Z of the arm that reaches from the carriage over the beam
  double arm_top = 0.0;
  Vec3 cabinet{0.0};
  Vec3 hook{0.0};
  Vec3 clamp{0.0};  ///< top of the mast on the head, where a hanging cord ends
  Vec3 outlet{0.0};

  std::string problem;  ///< what does not fit together, a sentence; empty when all does
};

StarterLayout starter_layout(const StarterAnswers& answers);

}  // namespace bight::plan
