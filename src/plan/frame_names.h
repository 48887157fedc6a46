#pragma once
// Names of the bodies and parts that a parametric frame ([frame]) adds to a plan, so that other
// tables may refer to them. machine/parametric.h makes the things themselves.

#include <array>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace bight::plan {

inline constexpr const char* k_frame_table = "table";  ///< only with a moving table
inline constexpr const char* k_frame_gantry = "gantry";
inline constexpr const char* k_frame_carriage = "carriage";
inline constexpr const char* k_frame_head = "head";

/// Parts, in the order in which they are made. A part with a dimension of zero is left out.
inline constexpr std::array k_frame_part_names = {"floor",      "bed",    "side left",
                                                  "side right", "beam",   "carriage plate",
                                                  "head plate", "router", "tool"};

/// Bodies, carriers first.
inline std::vector<std::string> frame_body_names(const Frame& frame) {
  std::vector<std::string> names = {k_frame_gantry, k_frame_carriage, k_frame_head};
  if (frame.moving_table) names.insert(names.begin(), k_frame_table);
  return names;
}

}  // namespace bight::plan
