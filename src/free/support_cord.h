#pragma once
// Elastic cord between a hook and the line: where the line's hold comes to rest, and how far the
// cord stretches. The cord is weightless, follows Hooke's law and bears no push.
//
// The energy k/2 max(0, r - l0)^2 + that of the spans is convex in the place of the hold (a convex
// rising function of a norm), strictly with limp lines: one minimum, found by Newton's method with
// a line search, led by barriers where a line comes to rest almost taut. With a stiff line it is a
// local minimum, and `unique` is false.

#include <vector>

#include "free/support_rest.h"

namespace bight::free {

struct CordProblem {
  Vec3 hook{0.0};
  double free_length_mm = 0.0;       ///< >= 0
  double stiffness_N_mm = 0.0;       ///< > 0
  double greatest_stretch_mm = 0.0;  ///< range; 0: no limit
  std::vector<SupportSpan> spans;    ///< at least one
};

/// The three coordinates are `hold`. `out_of_reach`: no place is in reach of all spans.
struct CordResult {
  SupportStatus status = SupportStatus::invalid;  ///< also out_of_reach, not_converged
  Vec3 hold{0.0};
  double stretch_mm = 0.0;  ///< 0: slack
  double cord_pull_N = 0.0;
  double outside_by_mm = 0.0;  ///< stretch beyond its range
  /// Out of reach: by how much two of the lines are too short to meet.
  double short_by_mm = 0.0;
  Vec3 load_N{0.0};  ///< on the hook
  std::vector<SpanState> spans;
  bool unique = false;
  double residual_N = 0.0;  ///< unbalanced force at the hold
  int iterations = 0;
};

CordResult rest_of_cord(const CordProblem& problem, LineModel& model);

}  // namespace bight::free
