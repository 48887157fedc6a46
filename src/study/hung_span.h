#pragma once
// What hangs on an overhead support that rests where its lines put it, and where it rests. For
// study/moving_support.h and the rest of stiff lines (study/stiff_rest.h).

#include <cstddef>
#include <string>

#include "free/support_rest.h"
#include "study/free_run_rod.h"

namespace bight::study {

/// Where within its band of friction the support is.
enum class Slip { rest, low, high };

/// A line between the support and an anchor.
struct HungSpan {
  std::string run;
  std::size_t leg = 0;  ///< index in the run
  std::string line;
  bool support_at_start = true;
  free::AnchorPair anchors;  ///< of the leg, the support at plan::Support::at
  HangingRod rod;            ///< length: of the leg; over a pulley: of the whole line
};

/// Place of the anchor.
inline Vec3 other_end(const HungSpan& span, const free::Pose& pose) {
  return span.support_at_start ? free::end_at(span.anchors, pose)
                               : free::start_at(span.anchors, pose);
}

/// Of a support at a pose. The coordinate: mm along the track, degrees of the boom, mm of the run
/// beyond the pulley or retractor, mm that the cord is stretched.
struct SupportState {
  free::SupportStatus status = free::SupportStatus::invalid;
  double coordinate = 0.0;
  Vec3 shift{0.0};          ///< of the place that carries the line, from plan::Support::at
  double length_mm = 0.0;   ///< of the run beyond a pulley or retractor; 0: as the leg's
  Vec3 load_N{0.0};         ///< on what holds the support
  double outside_by = 0.0;  ///< beyond its range, in the unit of the coordinate
  double short_by_mm = 0.0;
  /// The force changes its sign without being 0: the run is pulled straight, without slack that a
  /// rod could tell, or the only line hangs right below and can bow to either side.
  bool jumps = false;
  double residual_N = 0.0;  ///< unbalanced force (boom: moment over arm) with stiff lines

  bool has_shape() const {
    return status == free::SupportStatus::rests || status == free::SupportStatus::at_stop ||
           status == free::SupportStatus::runs_out;
  }
};

}  // namespace bight::study
