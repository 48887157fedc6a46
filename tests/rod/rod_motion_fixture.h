#pragma once
// For the tests of lines in motion.

#include <gtest/gtest.h>

#include <functional>
#include <optional>
#include <vector>

#include "base/tolerance.h"
#include "rod/rod_motion.h"

namespace bight::rod {

inline constexpr double k_g_mm = 1000.0 * k_gravity;

/// A single line, its start on the carrier when its end is free, else its end.
inline RodMotion motion_of(const SpatialRodProblem& problem, const std::vector<Vec3>& joints,
                           double tolerance = 1e-11, const std::optional<Carrier>& carrier = {}) {
  MovingLine line{problem, joints, {}, {}, {}};
  if (!carrier) return RodMotion({line}, {}, tolerance);
  (problem.end_is_free ? line.start_carrier : line.end_carrier) = 0;
  return RodMotion({line}, {*carrier}, tolerance);
}

/// One step of a single line whose ends stay.
inline bool step(RodMotion& motion, double seconds, const SpatialRodProblem& p) {
  const LineEnds ends{p.start, p.end};
  return motion.step(seconds, {&ends, 1});
}

/// The same of any lines, in halves of the step where a jerk asks for them.
inline bool step_or_halves(RodMotion& motion, double seconds, const std::vector<LineEnds>& ends,
                           int halvings = 6) {
  if (motion.step(seconds, ends)) return true;
  return halvings > 0 && step_or_halves(motion, 0.5 * seconds, ends, halvings - 1) &&
         step_or_halves(motion, 0.5 * seconds, ends, halvings - 1);
}

/// Mean period between passages of `value` through 0 while it rises, in steps made by `advance`.
inline double period_of(const std::function<bool()>& advance, double step, double time,
                        const std::function<double()>& value) {
  double before = value();
  double first = 0.0;
  double last = 0.0;
  int passages = 0;
  for (int i = 0; i * step < time; ++i) {
    EXPECT_TRUE(advance());
    const double now = value();
    if (before < 0.0 && now >= 0.0) {
      last = step * (i + before / (before - now));
      if (passages++ == 0) first = last;
    }
    before = now;
  }
  EXPECT_GT(passages, 2);
  return (last - first) / (passages - 1);
}

inline double period_of(RodMotion& motion, const SpatialRodProblem& p, double seconds, double time,
                        const std::function<double(const RodMotion&)>& value) {
  return period_of([&] { return step(motion, seconds, p); }, seconds, time,
                   [&] { return value(motion); });
}

}  // namespace bight::rod
