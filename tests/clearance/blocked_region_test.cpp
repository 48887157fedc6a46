#include "clearance/blocked_region.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "base/parallel.h"
#include "clearance/scene_check.h"

namespace bight::clearance {
namespace {

using scenes::box_mesh;
using shape::make_solid;
using shape::Solid;

const std::vector<Vec3> k_axes = {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)};

Solid box(const Vec3& lower, const Vec3& size) {
  return make_solid(box_mesh({lower, lower + size}));
}

// Volumes are true, and the open rim is no thicker than a few resolutions.
void expect_volume(const BlockedRegion& region, double exact, double rim) {
  EXPECT_EQ(region.completion, Completion::complete);
  EXPECT_LE(region.lower_volume, exact);
  EXPECT_GE(region.upper_volume, exact);
  EXPECT_LE(region.upper_volume - region.lower_volume, rim);
}

// Box against box: the blocked set is the Minkowski difference, the box [b - a - size_a, b - a +
// size_b]. Here 30 x 25 x 18 mm of a travel of 100 x 80 x 60 mm.
TEST(BlockedRegion, OfTwoBoxesIsTheirMinkowskiDifference) {
  const Solid a = box(Vec3(0), Vec3(10, 5, 8));
  const Solid b = box(Vec3(40, 30, 20), Vec3(20, 20, 10));
  const MovingPair pair{&a, &b, k_axes};
  const std::vector<JointRange> joints = {{0, 100}, {0, 80}, {0, 60}};
  for (const double resolution : {4.0, 1.0, 0.25}) {
    const BlockedRegion r = find_blocked_region({&pair, 1}, joints, {.resolution_mm = resolution});
    EXPECT_DOUBLE_EQ(r.travel_volume, 100.0 * 80.0 * 60.0);
    const double surface = 2.0 * (30 * 25 + 25 * 18 + 18 * 30);
    expect_volume(r, 30.0 * 25.0 * 18.0, 1.5 * surface * resolution);
    ASSERT_EQ(r.hull.size(), 3U);
    EXPECT_NEAR(r.hull[0].lower, 30.0, resolution);
    EXPECT_NEAR(r.hull[0].upper, 60.0, resolution);
    EXPECT_NEAR(r.hull[2].lower, 12.0, resolution);
    EXPECT_NEAR(r.hull[2].upper, 30.0, resolution);
  }
}

// The same through leaning joints: in joint values the volume is that in mm^3 over the determinant.
TEST(BlockedRegion, VolumeIsInJointSpace) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid b = box(Vec3(-15), Vec3(20));
  const MovingPair pair{&a, &b, {Vec3(1, 0.2, 0), Vec3(-0.3, 2, 0.1), Vec3(0, 0.4, -0.5)}};
  const Mat3 g(pair.directions[0], pair.directions[1], pair.directions[2]);
  const std::vector<JointRange> joints = {{-80, 80}, {-60, 60}, {-200, 200}};
  const BlockedRegion r = find_blocked_region({&pair, 1}, joints, {.resolution_mm = 1.0});
  const double exact = 30.0 * 30.0 * 30.0 / std::abs(glm::determinant(g));
  expect_volume(r, exact, 0.6 * exact);
}

TEST(BlockedRegion, OneJointGivesAnIntervalWithExactEnds) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid b = box(Vec3(50, 2, 3), Vec3(7));
  const MovingPair pair{&a, &b, {Vec3(0.5, 0, 0)}};
  const BlockedRegion r =
      find_blocked_region({&pair, 1}, std::vector<JointRange>{{0, 300}}, {.resolution_mm = 1.0});
  // 0.5 q in [40, 57]
  expect_volume(r, 34.0, 1.0);
  EXPECT_NEAR(r.hull[0].lower, 80.0, 0.02);  // the ends of contact are exact, not cut at a cell
  EXPECT_NEAR(r.hull[0].upper, 114.0, 0.02);
}

// Two joints along one line: contact at q + w / 2 in [40, 57], an oblique band across the square.
TEST(BlockedRegion, ParallelJointsBlockABand) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid b = box(Vec3(50, 2, 3), Vec3(7));
  const MovingPair pair{&a, &b, {Vec3(1, 0, 0), Vec3(0.5, 0, 0)}};
  const std::vector<JointRange> joints = {{0, 100}, {0, 60}};
  const BlockedRegion r = find_blocked_region({&pair, 1}, joints, {.resolution_mm = 0.5});
  expect_volume(r, 17.0 * 60.0, 60.0 * 1.5);
}

TEST(BlockedRegion, JointWithoutEffectOrWithoutTravelCountsAsAFactor) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid b = box(Vec3(50, 2, 3), Vec3(7));
  const MovingPair pair{&a, &b, {Vec3(0), Vec3(1, 0, 0), Vec3(0, 0, 1)}};
  const std::vector<JointRange> joints = {{0, 1000}, {0, 100}, {4, 4}};
  const BlockedRegion r = find_blocked_region({&pair, 1}, joints, {.resolution_mm = 1.0});
  EXPECT_DOUBLE_EQ(r.travel_volume, 1000.0 * 100.0);
  expect_volume(r, 17.0 * 1000.0, 500.0);
}

TEST(BlockedRegion, WithoutJointsASinglePoseIsFreeOrBlocked) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid far = box(Vec3(50), Vec3(7));
  const Solid deep = box(Vec3(2), Vec3(20));
  const Solid inner = box(Vec3(2), Vec3(2));
  const std::vector<JointRange> none;
  for (const auto& [other, blocked] :
       {std::pair{&far, false}, std::pair{&deep, true}, std::pair{&inner, true}}) {
    const MovingPair pair{&a, other, {}};
    const BlockedRegion r = find_blocked_region({&pair, 1}, none, {});
    EXPECT_EQ(r.all_free(), !blocked);
    EXPECT_DOUBLE_EQ(r.lower_volume, blocked ? 1.0 - 1e-12 * 2 : 0.0);
  }
}

TEST(BlockedRegion, WithoutPairsAllIsFree) {
  const BlockedRegion r = find_blocked_region({}, std::vector<JointRange>{{0, 10}}, {});
  EXPECT_TRUE(r.all_free());
  EXPECT_DOUBLE_EQ(r.travel_volume, 10.0);
}

// A body that never touches the surface of what holds it: blocked by containment. In a cavity:
// free.
TEST(BlockedRegion, ContainedIsBlockedAndACavityIsFree) {
  const Solid core = box(Vec3(-1), Vec3(2));
  const Solid full = box(Vec3(-20), Vec3(40));
  const Solid hollow = make_solid(shape::merged(box_mesh({Vec3(-20), Vec3(20)}),
                                                scenes::reversed(box_mesh({Vec3(-15), Vec3(15)}))));
  const std::vector<JointRange> joints = {{-10, 10}, {-10, 10}, {-10, 10}};
  const MovingPair in_full{&core, &full, k_axes};
  const MovingPair in_hollow{&core, &hollow, k_axes};
  const BlockedRegion blocked = find_blocked_region({&in_full, 1}, joints, {});
  EXPECT_NEAR(blocked.lower_volume, 8000.0, 1e-6);
  ASSERT_EQ(blocked.cells.size(), 1U);
  EXPECT_EQ(blocked.cells[0].state, CellState::blocked);
  EXPECT_TRUE(find_blocked_region({&in_hollow, 1}, joints, {}).all_free());
}

// A flat bottom on a flat top: contact at the last height only, so nothing is proved blocked, no
// more than one resolution is left undecided, and the pose is not called free.
TEST(BlockedRegion, TouchingAtTheEndOfTravelIsNotFree) {
  const Solid tool = box(Vec3(0, 0, 30), Vec3(10));
  const Solid bed = box(Vec3(-100, -100, -20), Vec3(200, 200, 20));
  const MovingPair pair{&tool, &bed, k_axes};
  const BlockedRegion r = find_blocked_region(
      {&pair, 1}, std::vector<JointRange>{{-50, 50}, {-50, 50}, {-30, 0}}, {.resolution_mm = 1.0});
  EXPECT_FALSE(r.all_free());
  EXPECT_EQ(r.lower_volume, 0.0);
  EXPECT_LE(r.upper_volume, 1.0 * 100.0 * 100.0);
  EXPECT_NEAR(r.hull[2].lower, -30.0, 1e-9);
}

TEST(BlockedRegion, OfSeveralPairsIsTheUnion) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid post = box(Vec3(40, 0, 0), Vec3(10, 60, 60));
  const Solid rail = box(Vec3(0, 40, 0), Vec3(100, 10, 60));
  const std::vector<MovingPair> pairs = {{&head, &post, k_axes}, {&head, &rail, k_axes}};
  const std::vector<JointRange> joints = {{0, 90}, {0, 50}, {0, 20}};
  const BlockedRegion both = find_blocked_region(pairs, joints, {.resolution_mm = 0.5});
  // Post: x in [30, 50]; rail: y in [30, 50]; everywhere along Z.
  expect_volume(both, (20.0 * 50 + 90 * 20 - 20 * 20) * 20.0, 1.5 * (50 + 90) * 20.0);
  for (const BlockedCell& c : both.cells) {
    EXPECT_TRUE(c.state == CellState::undecided || c.pairs.size() == 1);
    for (const std::uint32_t p : c.pairs) {
      const JointRange& r = c.box[p];  // pair 0 blocks a range of X, pair 1 of Y
      EXPECT_GE(r.upper, 30.0 - 0.01);
      EXPECT_LE(r.lower, 50.0 + 0.01);
    }
  }
}

TEST(BlockedRegion, IsTheSameForAnyNumberOfThreads) {
  scenes::Random random(7);
  const Solid a = make_solid(scenes::blob_mesh(random, 12, 0.3, 20, 12));
  const Solid b = make_solid(scenes::ring_mesh(20, 6, 24, 8));
  const MovingPair pair{&a, &b, k_axes};
  const std::vector<JointRange> joints = {{-50, 50}, {-50, 50}, {-50, 50}};
  const auto with = [&](unsigned threads) {
    return find_blocked_region({&pair, 1}, joints, {.resolution_mm = 3.0, .threads = threads});
  };
  const BlockedRegion one = with(1);
  EXPECT_GT(one.lower_volume, 0.0);
  for (const unsigned threads : {2U, 5U}) {
    const BlockedRegion many = with(threads);
    EXPECT_EQ(one.lower_volume, many.lower_volume);
    EXPECT_EQ(one.upper_volume, many.upper_volume);
    ASSERT_EQ(one.cells.size(), many.cells.size());
    for (std::size_t i = 0; i < one.cells.size(); ++i) {
      EXPECT_EQ(one.cells[i].state, many.cells[i].state);
      for (std::size_t k = 0; k < 3; ++k) {
        EXPECT_EQ(one.cells[i].box[k].lower, many.cells[i].box[k].lower);
        EXPECT_EQ(one.cells[i].box[k].upper, many.cells[i].box[k].upper);
      }
    }
  }
}

TEST(BlockedRegion, ALimitWidensTheBoundsAndSaysSo) {
  const Solid a = box(Vec3(0), Vec3(10, 5, 8));
  const Solid b = make_solid(
      shape::placed(box_mesh({Vec3(-10), Vec3(10)}), scenes::Random(3).turn(), Vec3(50, 40, 30)));
  const MovingPair pair{&a, &b, k_axes};
  const std::vector<JointRange> joints = {{0, 100}, {0, 80}, {0, 60}};
  const BlockedRegion fine = find_blocked_region({&pair, 1}, joints, {.resolution_mm = 0.5});
  const BlockedRegion few =
      find_blocked_region({&pair, 1}, joints, {.resolution_mm = 0.5, .cell_limit = 100});
  EXPECT_EQ(fine.completion, Completion::complete);
  EXPECT_EQ(few.completion, Completion::cell_limit);
  EXPECT_LE(few.cells.size(), 400U);
  EXPECT_LE(few.lower_volume, fine.upper_volume);
  EXPECT_GE(few.upper_volume, fine.lower_volume);
  EXPECT_GT(few.upper_volume, fine.upper_volume);

  const BlockedRegion hurried =
      find_blocked_region({&pair, 1}, joints, {.resolution_mm = 0.5, .time_limit_s = 0.0});
  EXPECT_EQ(hurried.completion, Completion::time_limit);
  EXPECT_NEAR(hurried.upper_volume, hurried.travel_volume, 1e-6);

  Progress progress;
  progress.cancel();
  const BlockedRegion stopped =
      find_blocked_region({&pair, 1}, joints, {.resolution_mm = 0.5, .progress = &progress});
  EXPECT_EQ(stopped.completion, Completion::cancelled);
  EXPECT_EQ(stopped.lower_volume, 0.0);
  EXPECT_NEAR(stopped.upper_volume, stopped.travel_volume, 1e-6);
}

TEST(BlockedRegion, ProgressEndsAtItsTotal) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid b = box(Vec3(40), Vec3(20));
  const MovingPair pair{&a, &b, k_axes};
  Progress progress;
  const BlockedRegion r = find_blocked_region(
      {&pair, 1}, std::vector<JointRange>{{0, 100}, {0, 80}, {0, 60}}, {.progress = &progress});
  EXPECT_EQ(progress.done(), progress.total());
  EXPECT_EQ(progress.done(), r.columns);
}

TEST(BlockedRegion, AgreesWithFclOnRandomScenes) {
  constexpr std::size_t k_scenes = 1500;
  std::vector<Tally> tallies(k_scenes);
  parallel_for(k_scenes, 0, [&](std::size_t i) {
    tallies[i] = check_blocked_region(scenes::random_scene(i), i);
  });
  Tally sum;
  int failures = 0;
  for (const Tally& t : tallies) {
    if (!t.problem.empty() && ++failures <= 20) ADD_FAILURE() << t.problem;
    sum.free += t.free;
    sum.blocked += t.blocked;
    sum.undecided += t.undecided;
  }
  EXPECT_EQ(failures, 0);
  const double all = static_cast<double>(sum.free + sum.blocked + sum.undecided);
  RecordProperty("blocked_share", std::to_string(static_cast<double>(sum.blocked) / all));
  EXPECT_GT(static_cast<double>(sum.free), 0.3 * all);
  EXPECT_GT(static_cast<double>(sum.blocked), 0.1 * all);
  EXPECT_LT(static_cast<double>(sum.undecided), 0.5 * all);
}

}  // namespace
}  // namespace bight::clearance
