#include "free/hanging.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "base/tolerance.h"

namespace bight::free {
namespace {

/// Anchors that move up, down and sideways together and apart, so that no bound is exact at once.
AnchorPair slanting_pair() {
  AnchorPair pair{{0, 0, 500}, {700, 100, 300}, {}, {}, {}};
  pair.joints = {{{0, 0, 0}, {0.7, 0.2, 0.5}, -300, 300},
                 {{0.1, 0.5, -0.4}, {0, 0.6, 0.3}, -200, 250},
                 {{0, 0.1, 0.5}, {-0.3, 0, 0.2}, 0, 300}};
  return pair;
}

template <class F>
void over_poses(const AnchorPair& pair, int count, const F& f) {
  std::mt19937 random(7);
  for (int i = 0; i < count; ++i) {
    Pose pose;
    for (const JointMotion& j : pair.joints) {
      const double t = std::uniform_real_distribution<double>(-0.2, 1.2)(random);
      pose.push_back(j.lower + (j.upper - j.lower) * std::clamp(t, 0.0, 1.0));  // limits too
    }
    f(pose);
  }
}

TEST(Hanging, LiesInTheVerticalPlaneThroughItsEndsAndBelowTheChord) {
  const AnchorPair pair{{100, 200, 900}, {400, 600, 1000}, {}, {}, {}};
  const HangingShape shape = hang_at(pair, {}, 800.0, 0.1, 40);
  ASSERT_EQ(shape.points.size(), 41U);
  EXPECT_NEAR(glm::distance(shape.points.front(), pair.start), 0.0, 1e-9);
  EXPECT_NEAR(glm::distance(shape.points.back(), pair.end), 0.0, 1e-9);
  for (const Vec3& p : shape.points) {
    const double along = (p.x - 100) * 0.6 + (p.y - 200) * 0.8;
    EXPECT_NEAR((p.x - 100) * 0.8 - (p.y - 200) * 0.6, 0.0, 1e-9);
    EXPECT_LE(p.z, 900 + along * 100.0 / 500.0 + 1e-9);
    EXPECT_GE(p.z, shape.lowest.z - 1e-9);
  }
}

TEST(Hanging, HasNoShapeWhenTooShort) {
  const AnchorPair pair{{0, 0, 0}, {300, 400, 0}, {}, {}, {}};
  const HangingShape shape = hang_at(pair, {}, 499.0, 0.1);
  EXPECT_EQ(shape.catenary.status, rod::CatenaryStatus::too_short);
  EXPECT_TRUE(shape.points.empty());
}

TEST(LowestOverTravel, IsNeverUndercutAndAttained) {
  const AnchorPair pair = slanting_pair();
  for (double length : {1250.0, 1600.0, 2500.0}) {
    const LowestOverTravel lowest = lowest_over_travel(pair, length);
    EXPECT_TRUE(lowest.reaches);
    EXPECT_LE(lowest.upper_mm - lowest.lower_mm, 0.01);
    EXPECT_NEAR(hang_at(pair, lowest.pose, length, 0.1).lowest.z, lowest.upper_mm, 1e-9);
    double sampled = 1e300;
    over_poses(pair, 20000, [&](const Pose& pose) {
      sampled = std::min(sampled, hang_at(pair, pose, length, 0.1, 1).lowest.z);
    });
    EXPECT_GE(sampled, lowest.lower_mm);
    EXPECT_NEAR(sampled, lowest.lower_mm, 5.0);  // the samples come near it
  }
}

TEST(LowestOverTravel, SaysWhenTheLineDoesNotReachEverywhere) {
  EXPECT_FALSE(lowest_over_travel(slanting_pair(), 900.0).reaches);
}

TEST(PullOverTravel, IsNeverExceededAndAttained) {
  const AnchorPair pair = slanting_pair();
  for (double length : {1250.0, 1600.0, 2500.0}) {
    const PullOverTravel pull = pull_over_travel(pair, length, 0.3);
    EXPECT_LE(pull.upper_N - pull.lower_N, 0.001);
    const rod::Catenary c = hang_at(pair, pull.pose, length, 0.3, 1).catenary;
    EXPECT_NEAR(std::max(c.tension_start_N, c.tension_end_N), pull.lower_N, 1e-9);
    double sampled = 0.0;
    over_poses(pair, 20000, [&](const Pose& pose) {
      const rod::Catenary s = hang_at(pair, pose, length, 0.3, 1).catenary;
      sampled = std::max({sampled, s.tension_start_N, s.tension_end_N});
    });
    EXPECT_LE(sampled, pull.upper_N);
    EXPECT_NEAR(sampled, pull.upper_N, 0.03 * pull.upper_N);
  }
}

TEST(PullOverTravel, IsInfiniteForALineThatIsTautSomewhere) {
  EXPECT_TRUE(std::isinf(pull_over_travel(slanting_pair(), 900.0, 0.1).upper_N));
}

// The proof of both bounds rests on these: at a fixed length the lowest point rises with each end
// and with the run, the tension grows with the run and the rise.
TEST(LowestOverTravel, RestsOnMonotonicityThatHoldsForRandomLines) {
  std::mt19937 random(8);
  const auto any = [&](double lower, double upper) {
    return std::uniform_real_distribution<double>(lower, upper)(random);
  };
  for (int i = 0; i < 20000; ++i) {
    const double length = 1000.0;
    const double run = any(0.0, 900.0);
    const double most = std::sqrt(length * length - run * run);
    const double rise = any(-most, most);
    const double more_run = any(run, 1.001 * run + 1.0);
    const double more_rise = rise + any(0.0, 1.0);
    const rod::Catenary a = rod::solve_catenary({run, rise, length, 0.1});
    const rod::Catenary b = rod::solve_catenary({more_run, rise, length, 0.1});
    const rod::Catenary c = rod::solve_catenary({run, more_rise, length, 0.1});
    if (!a.has_shape() || !b.has_shape() || !c.has_shape()) continue;
    EXPECT_GE(b.lowest.y, a.lowest.y - 1e-9);
    EXPECT_GE(c.lowest.y, a.lowest.y - 1e-9);                     // the end goes up
    EXPECT_LE(c.lowest.y - more_rise, a.lowest.y - rise + 1e-9);  // the start goes down
    const auto pull = [](const rod::Catenary& k) {
      return std::max(k.tension_start_N, k.tension_end_N);
    };
    EXPECT_GE(pull(b), pull(a) * (1.0 - 1e-12));
    if (rise >= 0.0) {
      EXPECT_GE(pull(c), pull(a) * (1.0 - 1e-12));
    }
  }
}

}  // namespace
}  // namespace bight::free
