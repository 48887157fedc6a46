#pragma once
// Names of the bodies and parts that [frame] makes, so that a plan may refer to them and the
// machine builds exactly these.

#include <string>
#include <vector>

#include "plan/plan.h"

namespace bight::plan {

inline constexpr const char* k_frame_gantry = "gantry";      ///< body, moving gantry only
inline constexpr const char* k_frame_table = "table";        ///< body, moving table only
inline constexpr const char* k_frame_carriage = "carriage";  ///< body
inline constexpr const char* k_frame_head = "head";          ///< body

inline constexpr const char* k_frame_bed = "bed";                ///< part of ground or table
inline constexpr const char* k_frame_left_side = "left side";    ///< part of gantry or ground
inline constexpr const char* k_frame_right_side = "right side";  ///< part of gantry or ground
inline constexpr const char* k_frame_beam = "beam";              ///< part of gantry or ground
inline constexpr const char* k_frame_carriage_plate = "carriage plate";
inline constexpr const char* k_frame_head_plate = "head plate";
inline constexpr const char* k_frame_router = "router";  ///< part of head
inline constexpr const char* k_frame_cutter = "cutter";  ///< part of head, role tool

/// A body of [frame] with what moves it.
std::vector<Body> frame_bodies(const Frame& frame);

/// Names of the parts of [frame].
std::vector<std::string> frame_part_names(const Frame& frame);

}  // namespace bight::plan
