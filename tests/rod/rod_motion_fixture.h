#pragma once
// For the tests of lines in motion.

#include <gtest/gtest.h>

#include <functional>

#include "base/tolerance.h"
#include "rod/rod_motion.h"

namespace bight::rod {

inline constexpr double k_g_mm = 1000.0 * k_gravity;

/// Mean period between passages of `value` through 0 while it rises.
inline double period_of(RodMotion& motion, const SpatialRodProblem& p, double step, double time,
                        const std::function<double(const RodMotion&)>& value) {
  double before = value(motion);
  double first = 0.0;
  double last = 0.0;
  int passages = 0;
  for (int i = 0; i * step < time; ++i) {
    EXPECT_TRUE(motion.step(step, p.start, p.end));
    const double now = value(motion);
    if (before < 0.0 && now >= 0.0) {
      last = step * (i + before / (before - now));
      if (passages++ == 0) first = last;
    }
    before = now;
  }
  EXPECT_GT(passages, 2);
  return (last - first) / (passages - 1);
}

}  // namespace bight::rod
