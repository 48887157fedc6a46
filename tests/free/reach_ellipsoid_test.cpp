#include "free/reach_ellipsoid.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "free/hanging.h"

namespace bight::free {
namespace {

class Numbers {
 public:
  explicit Numbers(unsigned seed) : random_(seed) {}
  double any(double lower, double upper) {
    return std::uniform_real_distribution<double>(lower, upper)(random_);
  }
  Vec3 anywhere(double size) { return {any(-size, size), any(-size, size), any(-size, size)}; }

 private:
  std::mt19937 random_;
};

double value(const AnchorPair& pair, const Vec3& x, const Pose& pose) {
  return glm::distance(x, start_at(pair, pose)) + glm::distance(x, end_at(pair, pose));
}

AnchorPair random_pair(Numbers& n, int joints) {
  AnchorPair pair{n.anywhere(500), n.anywhere(500), {}, {}, {}};
  for (int k = 0; k < joints; ++k) {
    const double lower = n.any(-300, 100);
    pair.joints.push_back({n.anywhere(0.5), n.anywhere(1.0), lower, lower + n.any(0, 500)});
  }
  return pair;
}

/// Pattern search from many random starts: an upper bound of the minimum by another route.
double minimum_by_search(const AnchorPair& pair, const Box& box, Numbers& n) {
  double best = 1e300;
  for (int start = 0; start < 6; ++start) {
    Vec3 x(n.any(box.lower.x, box.upper.x), n.any(box.lower.y, box.upper.y),
           n.any(box.lower.z, box.upper.z));
    Pose pose;
    for (const JointMotion& j : pair.joints) pose.push_back(n.any(j.lower, j.upper));
    double here = value(pair, x, pose);
    for (double step = 300.0; step > 1e-3;) {
      bool better = false;
      for (int trial = 0; trial < 60; ++trial) {
        Vec3 y = x + step * n.anywhere(1.0);
        y = glm::clamp(y, box.lower, box.upper);
        Pose p = pose;
        for (std::size_t i = 0; i < p.size(); ++i) {
          p[i] = std::clamp(p[i] + step * n.any(-1, 1), pair.joints[i].lower, pair.joints[i].upper);
        }
        const double there = value(pair, y, p);
        if (there < here) {
          here = there;
          x = y;
          pose = p;
          better = true;
        }
      }
      if (!better) step *= 0.5;
    }
    best = std::min(best, here);
  }
  return best;
}

TEST(ReachBound, HoldsTheMinimumFoundBySearch) {
  Numbers n(5);
  int away = 0;
  for (int i = 0; i < 60; ++i) {
    const AnchorPair pair = random_pair(n, i % 4);
    Box box;
    box.extend(n.anywhere(i % 2 == 0 ? 1500 : 300));
    box.extend(box.lower + glm::abs(n.anywhere(300)));
    const ReachBound b = reach_bound(pair, box);
    EXPECT_LE(b.upper_mm - b.lower_mm, 0.01);
    EXPECT_NEAR(value(pair, b.point, b.pose), b.upper_mm, 1e-9);
    EXPECT_TRUE(overlap(box, Box{b.point, b.point}));
    const double found = minimum_by_search(pair, box, n);
    EXPECT_GE(found, b.lower_mm - 1e-9);
    EXPECT_LE(b.upper_mm, found + 0.01);
    const double least_chord = nearest(pair).distance_mm;
    if (b.lower_mm > least_chord + 1.0) ++away;
  }
  EXPECT_GT(away, 10);
  EXPECT_LT(away, 60);
}

TEST(ReachBound, OfABoxAcrossTheStraightWayIsTheDistanceOfTheAnchors) {
  const AnchorPair pair{{0, 0, 0}, {300, 400, 0}, {}, {}, {}};
  Box box;
  box.extend(Vec3(100, 100, -50));
  box.extend(Vec3(200, 300, 50));
  const ReachBound b = reach_bound(pair, box);
  EXPECT_NEAR(b.upper_mm, 500.0, 0.01);
  EXPECT_LE(b.lower_mm, 500.0);
}

TEST(ReachBound, OfAPointIsItsTwoDistances) {
  const AnchorPair pair{{0, 0, 0}, {1000, 0, 0}, {}, {}, {}};
  Box point;
  point.extend(Vec3(0, 300, 400));
  const ReachBound b = reach_bound(pair, point, {.tolerance_mm = 1e-6});
  const double truth = 500.0 + std::sqrt(1000.0 * 1000.0 + 500.0 * 500.0);
  EXPECT_LE(b.lower_mm, truth);
  EXPECT_NEAR(b.lower_mm, truth, 1e-6);
  EXPECT_NEAR(b.upper_mm, truth, 1e-9);
}

TEST(ReachBound, OfAnAnchorInsideTheBoxIsTheDistanceToo) {
  AnchorPair pair{{0, 0, 0}, {1000, 0, 0}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, -100, 100}};
  Box box;
  box.extend(Vec3(-10, -10, -10));
  box.extend(Vec3(10, 10, 10));
  const ReachBound b = reach_bound(pair, box);
  EXPECT_NEAR(b.lower_mm, 900.0, 0.01);
  EXPECT_EQ(b.pose, Pose{-100});
}

TEST(ReachBound, OfNothingIsInfinite) {
  const AnchorPair pair{{0, 0, 0}, {1000, 0, 0}, {}, {}, {}};
  EXPECT_TRUE(std::isinf(reach_bound(pair, Box{}).lower_mm));
  EXPECT_TRUE(proved_out_of_reach(pair, 1200.0, 5.0, 5.0, Box{}));
}

TEST(ReachBound, CountsTheRadiusAndTheClearanceOnce) {
  // A slack line of 1000 between anchors 600 apart swings out to sqrt(500^2 - 300^2) = 400 mm.
  const AnchorPair pair{{0, 0, 0}, {600, 0, 0}, {}, {}, {}};
  Box wall;
  wall.extend(Vec3(-1000, 421, -1000));
  wall.extend(Vec3(1000, 500, 1000));
  EXPECT_TRUE(proved_out_of_reach(pair, 1000.0, 0.0, 0.0, wall));
  EXPECT_TRUE(proved_out_of_reach(pair, 1000.0, 5.0, 10.0, wall));
  EXPECT_FALSE(proved_out_of_reach(pair, 1000.0, 15.0, 10.0, wall));
}

TEST(ReachBound, HoldsEveryPointOfRandomLinesOfThatLength) {
  Numbers n(6);
  for (int i = 0; i < 40; ++i) {
    const AnchorPair pair = random_pair(n, 2);
    Pose pose;
    for (const JointMotion& j : pair.joints) pose.push_back(n.any(j.lower, j.upper));
    // A kinked line: start, two random points, end.
    const Vec3 a = start_at(pair, pose);
    const Vec3 b = a + n.anywhere(300);
    const Vec3 c = b + n.anywhere(300);
    const Vec3 d = end_at(pair, pose);
    const double length = glm::distance(a, b) + glm::distance(b, c) + glm::distance(c, d);
    Box box;
    box.extend(b);
    EXPECT_FALSE(proved_out_of_reach(pair, length, 0.0, 0.0, box));
    Box other;
    other.extend(0.3 * c + 0.7 * d);
    EXPECT_FALSE(proved_out_of_reach(pair, length, 0.0, 0.0, other));
  }
}

TEST(LimpLineBox, HoldsTheLineAtEveryPose) {
  AnchorPair pair{{600, 400, 900}, {0, 0, 300}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, 0, 1200}, {{}, {0, 1, 0}, 0, 800}, {{}, {0, 0, 1}, 0, 120}};
  const double length = 1500.0;
  const Box box = grown(limp_line_box(pair, length), 1e-9);
  double lowest = 1e300;
  for (double x = 0; x <= 1200; x += 100) {
    for (double y = 0; y <= 800; y += 100) {
      for (double z : {0.0, 60.0, 120.0}) {
        const HangingShape shape = hang_at(pair, {x, y, z}, length, 0.2);
        for (const Vec3& p : shape.points) EXPECT_TRUE(overlap(box, Box{p, p}));
        lowest = std::min(lowest, shape.lowest.z);
      }
    }
  }
  EXPECT_NEAR(lowest, box.lower.z, 0.02);  // the bound is not a wild one
}

}  // namespace
}  // namespace bight::free
