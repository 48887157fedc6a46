#include "clearance/bed_map.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "clearance/travel.h"
#include "oracle/fcl_oracle.h"
#include "scenes/random_scene.h"
#include "shape/primitive.h"

namespace bight::clearance {
namespace {

using scenes::box_mesh;
using scenes::Random;
using shape::make_solid;
using shape::Solid;

constexpr double k_infinity = std::numeric_limits<double>::infinity();

const std::vector<Vec3> k_axes = {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)};

const BedHeight& at(const BedMap& map, const Vec2& p) {
  const auto column = static_cast<std::size_t>((p.x - map.grid.from.x) / map.grid.cell_mm);
  const auto row = static_cast<std::size_t>((p.y - map.grid.from.y) / map.grid.cell_mm);
  return map.cells.at(row * map.columns + column);
}

// A square tool of 4 mm with a wide holder from 20 mm up, over a bed with a block 15 mm high and a
// wall 60 mm high. Heights by hand: travel end -2, block 15, wall: holder reaches over tool, so the
// tip stays 60 - 20 = 40 beside it and 60 over it.
TEST(BedMap, OfBlockAndWallIsKnownByHand) {
  const Solid tool = make_solid(shape::merged(box_mesh({Vec3(-2, -2, 50), Vec3(2, 2, 70)}),
                                              box_mesh({Vec3(-15, -15, 70), Vec3(15, 15, 90)})));
  const Solid block = make_solid(box_mesh({Vec3(40, 40, 0), Vec3(60, 60, 15)}));
  const Solid wall = make_solid(box_mesh({Vec3(150, -50, 0), Vec3(160, 250, 60)}));
  const std::vector<MovingPair> pairs = {{&tool, &block, k_axes}, {&tool, &wall, k_axes}};
  const std::vector<JointRange> joints = {{0, 190}, {0, 190}, {-52, 30}};
  const BedMap map = map_bed(Vec3(0, 0, 50), k_axes, joints, pairs, {Vec2(0), Vec2(200), 1.0});
  ASSERT_TRUE(map.defined);
  EXPECT_EQ(map.completion, Completion::complete);
  ASSERT_EQ(map.cells.size(), 200U * 200U);

  const BedHeight& open = at(map, {20.5, 20.5});
  EXPECT_TRUE(open.by_travel);
  EXPECT_NEAR(open.lower_mm, -2.0, 1e-9);
  EXPECT_NEAR(open.upper_mm, -2.0, 1e-9);

  const BedHeight& on_block = at(map, {50.5, 50.5});
  EXPECT_FALSE(on_block.by_travel);
  EXPECT_EQ(on_block.pair, 0U);
  EXPECT_LE(on_block.lower_mm, 15.0);
  EXPECT_GE(on_block.upper_mm, 15.0);
  EXPECT_NEAR(on_block.upper_mm, 15.0, 0.01);
  EXPECT_NEAR(on_block.lower_mm, 15.0, 0.2);

  EXPECT_NEAR(at(map, {36.5, 50.5}).upper_mm, -2.0, 0.01);  // the holder clears the block
  EXPECT_NEAR(at(map, {140.5, 100.5}).upper_mm, 40.0, 0.01);
  EXPECT_NEAR(at(map, {140.5, 100.5}).lower_mm, 40.0, 0.2);
  EXPECT_NEAR(at(map, {155.5, 100.5}).upper_mm, 60.0, 0.01);
  EXPECT_NEAR(at(map, {155.5, 100.5}).lower_mm, 60.0, 0.2);
  EXPECT_EQ(at(map, {155.5, 100.5}).pair, 1U);

  EXPECT_FALSE(at(map, {195.5, 20.5}).covered);  // beyond the travel
  EXPECT_EQ(at(map, {195.5, 20.5}).upper_mm, k_infinity);
}

// In a large map most pairs are ruled out for blocks of cells at a time; in a map of one cell none
// is. The upper bound is found to within a slack of 0.001 mm, and what is proved in one map holds
// in the other.
TEST(BedMap, ACellIsTheSameAloneAsInALargeMap) {
  const Solid tool = make_solid(shape::merged(box_mesh({Vec3(-2, -2, 50), Vec3(2, 2, 70)}),
                                              box_mesh({Vec3(-15, -15, 70), Vec3(15, 15, 90)})));
  const Solid hut = make_solid(shape::make_cylinder({60, 50, 0}, shape::Axis::y, 40, 30));
  const Solid wall = make_solid(box_mesh({Vec3(150, -50, 0), Vec3(160, 250, 60)}));
  const std::vector<MovingPair> pairs = {{&tool, &hut, k_axes}, {&tool, &wall, k_axes}};
  const std::vector<JointRange> joints = {{0, 190}, {0, 190}, {-52, 30}};
  const Vec3 tip(0, 0, 50);
  const BedMap map = map_bed(tip, k_axes, joints, pairs, {Vec2(0), Vec2(200), 1.0});
  Random random(11);
  int stopped = 0;
  for (int trial = 0; trial < 400; ++trial) {
    const Vec2 corner(std::floor(random.uniform(0, 200)), std::floor(random.uniform(0, 200)));
    const BedMap alone = map_bed(tip, k_axes, joints, pairs, {corner, corner + Vec2(1.0), 1.0});
    const BedHeight& one = alone.cells.at(0);
    const BedHeight& same = at(map, corner + Vec2(0.5));
    EXPECT_EQ(one.covered, same.covered);
    EXPECT_EQ(one.by_travel, same.by_travel);
    if (!one.covered) continue;
    EXPECT_NEAR(one.upper_mm, same.upper_mm, 0.002);
    EXPECT_LE(std::max(one.lower_mm, same.lower_mm), std::min(one.upper_mm, same.upper_mm) + 1e-9);
    if (one.by_travel) continue;
    EXPECT_EQ(one.pair, same.pair);
    ++stopped;
  }
  EXPECT_GT(stopped, 50);
  EXPECT_LT(stopped, 350);
}

// The table moves the work against Y: the same map as when the gantry moves the tool.
TEST(BedMap, IsInTheFrameOfTheWorkWhicheverMoves) {
  const Solid tool = make_solid(box_mesh({Vec3(-2, -2, 50), Vec3(2, 2, 70)}));
  const Solid block = make_solid(box_mesh({Vec3(40, 30, 0), Vec3(60, 45, 15)}));
  const std::vector<JointRange> joints = {{0, 100}, {0, 100}, {-52, 30}};
  const std::vector<Vec3> turned = {Vec3(0, 0, 0.5), Vec3(1, 0, 0), Vec3(0, -1, 0)};
  const std::vector<JointRange> turned_joints = {{-104, 60}, {0, 100}, {-100, 0}};
  const MovingPair direct{&tool, &block, k_axes};
  const MovingPair other{&tool, &block, turned};
  const BedGrid grid{Vec2(0), Vec2(100), 5.0};
  const BedMap first = map_bed(Vec3(0, 0, 50), k_axes, joints, {&direct, 1}, grid);
  const BedMap second = map_bed(Vec3(0, 0, 50), turned, turned_joints, {&other, 1}, grid);
  ASSERT_EQ(first.cells.size(), second.cells.size());
  for (std::size_t i = 0; i < first.cells.size(); ++i) {
    EXPECT_NEAR(first.cells[i].upper_mm, second.cells[i].upper_mm, 1e-6);
    EXPECT_NEAR(first.cells[i].lower_mm, second.cells[i].lower_mm, 1e-6);
  }
}

TEST(BedMap, ContactAtTheTopOfTheTravelIsInfinitelyHigh) {
  const Solid tool = make_solid(box_mesh({Vec3(-2, -2, 0), Vec3(2, 2, 20)}));
  const Solid tower = make_solid(box_mesh({Vec3(-50), Vec3(50, 50, 300)}));
  const MovingPair pair{&tool, &tower, k_axes};
  const std::vector<JointRange> joints = {{-20, 80}, {-20, 20}, {0, 100}};
  const BedMap map = map_bed(Vec3(0), k_axes, joints, {&pair, 1}, {Vec2(-20), Vec2(80, 20), 2.0});
  const BedHeight& inside = at(map, {1, 1});  // wholly inside: surfaces nowhere touch
  EXPECT_EQ(inside.lower_mm, k_infinity);
  EXPECT_EQ(inside.upper_mm, k_infinity);
  EXPECT_TRUE(inside.covered);
  const BedHeight& wall = at(map, {51, 1});  // crosses the wall
  EXPECT_EQ(wall.upper_mm, k_infinity);
  EXPECT_TRUE(at(map, {61, 1}).by_travel);
}

TEST(BedMap, NeedsThreeIndependentJoints) {
  const std::vector<Vec3> flat = {Vec3(1, 0, 0), Vec3(0, 1, 0)};
  EXPECT_FALSE(
      map_bed(Vec3(0), flat, std::vector<JointRange>{{0, 1}, {0, 1}}, {}, {Vec2(0), Vec2(10), 1.0})
          .defined);
  const std::vector<Vec3> twice = {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1), Vec3(0, 0, 1)};
  EXPECT_FALSE(map_bed(Vec3(0), twice, std::vector<JointRange>{{0, 1}, {0, 1}, {0, 1}, {0, 1}}, {},
                       {Vec2(0), Vec2(10), 1.0})
                   .defined);
  // A joint that moves neither the tip nor any part has no say.
  const std::vector<Vec3> idle = {Vec3(1, 0, 0), Vec3(0), Vec3(0, 1, 0), Vec3(0, 0, 1)};
  EXPECT_TRUE(map_bed(Vec3(0), idle, std::vector<JointRange>{{0, 1}, {0, 1}, {0, 1}, {0, 1}}, {},
                      {Vec2(0), Vec2(10), 1.0})
                  .defined);
}

TEST(BedMap, IsTheSameForAnyNumberOfThreadsAndCanBeCancelled) {
  Random random(5);
  const Solid tool = make_solid(scenes::blob_mesh(random, 10, 0.3, 12, 8));
  const Solid rock = make_solid(scenes::blob_mesh(random, 30, 0.3, 16, 10));
  const MovingPair pair{&tool, &rock, k_axes};
  const std::vector<JointRange> joints = {{-60, 60}, {-60, 60}, {-60, 60}};
  const BedGrid grid{Vec2(-60), Vec2(60), 3.0};
  const BedMap one = map_bed(Vec3(0), k_axes, joints, {&pair, 1}, grid, {.threads = 1});
  const BedMap many = map_bed(Vec3(0), k_axes, joints, {&pair, 1}, grid, {.threads = 4});
  for (std::size_t i = 0; i < one.cells.size(); ++i) {
    EXPECT_EQ(one.cells[i].lower_mm, many.cells[i].lower_mm);
    EXPECT_EQ(one.cells[i].upper_mm, many.cells[i].upper_mm);
  }
  Progress progress;
  map_bed(Vec3(0), k_axes, joints, {&pair, 1}, grid, {.progress = &progress});
  EXPECT_EQ(progress.total(), one.cells.size());
  EXPECT_EQ(progress.done(), one.cells.size());
  progress.cancel();
  const BedMap stopped =
      map_bed(Vec3(0), k_axes, joints, {&pair, 1}, grid, {.progress = &progress});
  EXPECT_EQ(stopped.completion, Completion::cancelled);
  EXPECT_TRUE(std::none_of(stopped.cells.begin(), stopped.cells.end(),
                           [](const BedHeight& h) { return h.covered; }));
}

// FCL at random points of random cells: no contact above `upper`, contact at `lower`.
TEST(BedMap, AgreesWithFclOnRandomBodies) {
  std::size_t by_contact = 0;
  std::size_t tight = 0;
  std::size_t all = 0;
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    Random random(seed);
    const shape::Mesh tool_mesh = shape::placed(
        seed % 3 == 0 ? scenes::ring_mesh(8, 2, 8, 4) : scenes::blob_mesh(random, 6, 0.4, 6, 4),
        random.turn(), Vec3(0, 0, 40));
    const shape::Mesh rock_mesh =
        shape::placed(seed % 4 == 0 ? box_mesh({Vec3(-12, -9, -10), Vec3(12, 9, 10)})
                                    : scenes::blob_mesh(random, 15, 0.4, 8, 6),
                      random.turn(), 6.0 * random.direction());
    const Solid tool = make_solid(tool_mesh);
    const Solid rock = make_solid(rock_mesh);
    std::vector<Vec3> directions = k_axes;
    if (seed % 2 == 1)  // a machine out of square
      for (Vec3& d : directions) d += 0.1 * random.direction();
    const std::vector<JointRange> joints = {{-40, 40}, {-40, 40}, {-60, 5}};
    const Vec3 tip(0, 0, 34);
    const MovingPair pair{&tool, &rock, directions};
    const BedMap map = map_bed(tip, directions, joints, {&pair, 1}, {Vec2(-45), Vec2(45), 3.0});
    const oracle::FclPair fcl(tool_mesh, rock_mesh);
    const Mat3 to_joints = glm::inverse(Mat3(directions[0], directions[1], directions[2]));

    for (int i = 0; i < 60; ++i) {
      const Vec2 p(random.uniform(-45, 45), random.uniform(-45, 45));
      const BedHeight& h = at(map, p);
      const auto within = [&](double height) {
        const Vec3 q = to_joints * (Vec3(p, height) - tip);
        for (int k = 0; k < 3; ++k) {
          const JointRange& r = joints[static_cast<std::size_t>(k)];
          if (!(r.lower <= q[k] && q[k] <= r.upper)) return false;
        }
        return true;
      };
      ++all;
      double top = -k_infinity;  // highest contact seen
      bool reachable = false;
      for (double height = 45; height > -40; height -= 0.25) {
        if (!within(height)) continue;
        reachable = true;
        if (fcl.contact(Vec3(p, height) - tip)) {
          top = height;
          break;
        }
      }
      if (!reachable) continue;
      ASSERT_TRUE(h.covered) << "seed " << seed;
      EXPECT_LE(top, h.upper_mm) << "seed " << seed;
      if (top > -k_infinity) {
        ++by_contact;
        EXPECT_FALSE(h.by_travel) << "seed " << seed;
      }
      const double below = h.lower_mm - 1e-7;
      if (h.lower_mm < k_infinity && !h.by_travel && within(below) && within(below - 0.01) &&
          h.upper_mm < k_infinity && h.lower_mm > -30.0) {
        EXPECT_TRUE(fcl.contact(Vec3(p, below) - tip)) << "seed " << seed;
        if (h.upper_mm - h.lower_mm < 6.0) ++tight;
      }
    }
  }
  EXPECT_GT(by_contact, all / 10);
  EXPECT_LT(by_contact, all * 7 / 10);
  EXPECT_GT(tight, by_contact / 3);
}

}  // namespace
}  // namespace bight::clearance
