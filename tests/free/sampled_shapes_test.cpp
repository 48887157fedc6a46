#include "free/sampled_shapes.h"

#include <gtest/gtest.h>

#include <cmath>

#include "free/hanging.h"
#include "rod/rod.h"

namespace bight::free {
namespace {

/// A hook over the middle of a table, an anchor on the head below it.
AnchorPair hook_and_head() {
  AnchorPair pair{{600, 400, 1500}, {0, 0, 250}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, 0, 1200}, {{}, {0, 1, 0}, 0, 800}, {{}, {0, 0, 1}, 0, 120}};
  return pair;
}

const StiffLine k_hose{1600.0, 0.25, 0.03};

TEST(SampledShapes, AgreeWithTheClosedFormForALimpLine) {
  const AnchorPair pair = hook_and_head();
  const StiffLine limp{1600.0, 0.25, 1e-6};
  const SampledShapes s = sample_shapes(pair, limp, {.steps_per_joint = 6, .segments = 128});
  EXPECT_EQ(s.poses, 343U);
  EXPECT_EQ(s.failed, 0U);
  EXPECT_TRUE(s.planar);
  EXPECT_DOUBLE_EQ(s.largest_step_mm, 200.0);
  ASSERT_TRUE(s.lowest && s.greatest_pull);
  const LowestOverTravel lowest = lowest_over_travel(pair, 1600.0);
  EXPECT_NEAR(s.lowest->value, lowest.lower_mm, 3.0);
  const PullOverTravel pull = pull_over_travel(pair, 1600.0, 0.25);
  EXPECT_NEAR(s.greatest_pull->value, pull.upper_N, 0.01 * pull.upper_N);
}

TEST(SampledShapes, FindTheBendWhereTheHeadIsBelowTheHook) {
  AnchorPair pair = hook_and_head();
  pair.start_direction = Vec3(0, 0, -1);
  pair.end_direction = Vec3(0, 0, 1);
  const SampledShapes s = sample_shapes(pair, k_hose, {.steps_per_joint = 6});
  EXPECT_EQ(s.failed, 0U);
  ASSERT_TRUE(s.smallest_radius);
  // Another route: the refined rod at that pose.
  const rod::RodResult r = rod::solve_rod(planar_problem(pair, s.smallest_radius->pose, k_hose));
  ASSERT_TRUE(r.converged());
  EXPECT_NEAR(s.smallest_radius->value, r.figures.smallest_radius_mm,
              0.05 * r.figures.smallest_radius_mm);
}

TEST(SampledShapes, AreSolvedInSpaceWhenAClampLeans) {
  AnchorPair pair = hook_and_head();
  pair.start_direction = Vec3(0, 0, -1);
  pair.end_direction = glm::normalize(Vec3(0.3, 0.1, 1.0));
  EXPECT_FALSE(hangs_in_plane(pair));
  const SampledShapes s = sample_shapes(pair, k_hose, {.steps_per_joint = 4, .segments = 48});
  EXPECT_FALSE(s.planar);
  EXPECT_EQ(s.poses, 125U);
  EXPECT_EQ(s.failed, 0U);
  EXPECT_TRUE(s.smallest_radius);
}

TEST(SampledShapes, AreTheSameForAnyNumberOfThreads) {
  AnchorPair pair = hook_and_head();
  pair.start_direction = Vec3(0, 0, -1);
  const SampledShapes one = sample_shapes(pair, k_hose, {.steps_per_joint = 5, .threads = 1});
  const SampledShapes four = sample_shapes(pair, k_hose, {.steps_per_joint = 5, .threads = 4});
  ASSERT_TRUE(one.smallest_radius && four.smallest_radius);
  EXPECT_EQ(one.smallest_radius->value, four.smallest_radius->value);
  EXPECT_EQ(one.smallest_radius->pose, four.smallest_radius->pose);
  EXPECT_EQ(one.lowest->value, four.lowest->value);
  EXPECT_EQ(one.greatest_pull->value, four.greatest_pull->value);
}

TEST(SampledShapes, CountThePosesThatTheLineDoesNotReach) {
  const SampledShapes s =
      sample_shapes(hook_and_head(), {1300.0, 0.25, 0.03}, {.steps_per_joint = 6});
  EXPECT_GT(s.too_short, 0U);
  EXPECT_EQ(s.failed, s.too_short);
  EXPECT_LT(s.too_short, s.poses);
  ASSERT_TRUE(s.first_failed);
}

TEST(SampledShapes, StopWhenCancelled) {
  Progress progress;
  progress.cancel();
  const SampledShapes s = sample_shapes(hook_and_head(), k_hose, {}, &progress);
  EXPECT_TRUE(s.cancelled);
  EXPECT_EQ(s.poses, 0U);
  EXPECT_FALSE(s.smallest_radius);
}

TEST(SampledShapes, CountTheirStepsInTheProgress) {
  Progress progress;
  const SampledShapes s = sample_shapes(hook_and_head(), k_hose, {.steps_per_joint = 2}, &progress);
  EXPECT_EQ(progress.total(), s.poses);
  EXPECT_EQ(progress.done(), s.poses);
}

}  // namespace
}  // namespace bight::free
