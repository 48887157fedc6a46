#include "clearance/query.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <new>
#include <utility>
#include <vector>

#include "scenes/bench_scenes.h"
#include "scenes/random_scene.h"
#include "shape/primitive.h"

namespace {
// Allocations of the whole program, so that a query can be seen to make none.
std::atomic<std::size_t> g_allocations{0};
}  // namespace

#if defined(__GNUC__) && !defined(__clang__)
// GCC sees malloc's pointer freed by free() through inlined operators and takes it for a mix-up.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wmismatched-new-delete"
#endif
// NOLINTBEGIN(misc-new-delete-overloads): both are replaced, the other forms call these two
void* operator new(std::size_t size) {
  ++g_allocations;
  if (void* p = std::malloc(size == 0 ? 1 : size)) return p;
  throw std::bad_alloc();
}
void operator delete(void* p) noexcept {
  std::free(p);
}
void operator delete(void* p, std::size_t) noexcept {
  std::free(p);
}
// NOLINTEND(misc-new-delete-overloads)
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC diagnostic pop
#endif

namespace bight::clearance {
namespace {

using shape::make_solid;
using shape::Mesh;
using shape::Solid;

constexpr double k_infinity = std::numeric_limits<double>::infinity();

Solid box(const Vec3& lower, const Vec3& size) {
  return make_solid(shape::make_box(lower, size));
}

Solid triangle(const Vec3& p, const Vec3& q, const Vec3& r) {
  return make_solid(Mesh{{p, q, r}, {{0, 1, 2}}});
}

Travel three_axes(double x, double y, double z) {
  return {{Vec3(1, 0, 0), 0.0, x}, {Vec3(0, 1, 0), 0.0, y}, {Vec3(0, 0, 1), -z, 0.0}};
}

/// The result holds together: bounds within tolerance, pose in the travel, points that far apart.
void expect_consistent(const QueryResult& r, const Travel& travel, double tolerance = 0.01) {
  EXPECT_LE(r.lower_mm, r.upper_mm);
  EXPECT_LE(r.upper_mm - r.lower_mm, tolerance * (1 + 1e-9));
  EXPECT_NEAR(glm::distance(r.point_a, r.point_b), r.upper_mm, 1e-9 * (1.0 + r.upper_mm));
  ASSERT_EQ(r.pose.size(), travel.size());
  for (std::size_t i = 0; i < travel.size(); ++i) {
    EXPECT_GE(r.pose[i], travel[i].lower);
    EXPECT_LE(r.pose[i], travel[i].upper);
  }
}

double distance(const Solid& a, const Solid& b, const Travel& travel = {}) {
  const QueryResult r = query_clearance(a, b, travel);
  expect_consistent(r, travel);
  return r.upper_mm;
}

// Closed form: the wall is 113 away, the cube 10 long, the travel 100.
TEST(Clearance, CubeStopsThreeMillimetresShortOfAWall) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid wall = box(Vec3(113, -500, -500), Vec3(20, 1000, 1000));
  const Travel travel{{Vec3(1, 0, 0), 0.0, 100.0}};
  const QueryResult r = query_clearance(head, wall, travel);
  expect_consistent(r, travel);
  EXPECT_NEAR(r.upper_mm, 3.0, 1e-9);
  EXPECT_NEAR(r.pose[0], 100.0, 1e-9);
  EXPECT_NEAR(r.point_a.x, 110.0, 1e-9);
  EXPECT_NEAR(r.point_b.x, 113.0, 1e-9);
}

// Corner to corner at the far end of three axes: sqrt(1 + 4 + 4) = 3.
TEST(Clearance, CornersMeetDiagonally) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid post = box(Vec3(1211, 812, -300), Vec3(50, 50, 178));
  EXPECT_NEAR(distance(head, post, three_axes(1200, 800, 120)), 3.0, 1e-9);
}

// A cube passes a post on the diagonal x = y: its lower right edge (1, -1) runs past the post's
// upper left edge (50, 35), a point and a line in the plane.
TEST(Clearance, SlantingMovePassesAPost) {
  const Solid head = box(Vec3(-1, -1, -1), Vec3(2));
  const Solid post = box(Vec3(50, 30, -50), Vec3(5, 5, 100));
  const double gap = ((50.0 - 1.0) - (35.0 + 1.0)) / std::sqrt(2.0);
  EXPECT_NEAR(distance(head, post, {{Vec3(1, 1, 0), 0.0, 100.0}}), gap, 1e-9);
}

// Two axes of half a unit along one direction are one axis: cables' chains move at half speed.
TEST(Clearance, ParallelAxesAddUp) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid wall = box(Vec3(100, -5, -5), Vec3(10, 20, 20));
  const Travel travel{{Vec3(0.5, 0, 0), 0.0, 100.0}, {Vec3(-0.25, 0, 0), -100.0, 0.0}};
  EXPECT_NEAR(distance(head, wall, travel), 15.0, 1e-9);
}

TEST(Clearance, AxesThatDoNotMoveChangeNothing) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid wall = box(Vec3(100, 0, 0), Vec3(10));
  const Travel travel{{Vec3(0.0), -50.0, 50.0}, {Vec3(2, 0, 0), 10.0, 10.0}};
  const QueryResult r = query_clearance(head, wall, travel);
  expect_consistent(r, travel);
  EXPECT_NEAR(r.upper_mm, 70.0, 1e-9);
  EXPECT_EQ(r.pose[1], 10.0);
}

TEST(Clearance, SinglePoseIsATravelWithoutAxes) {
  EXPECT_NEAR(distance(box(Vec3(0), Vec3(1)), box(Vec3(4, 5, 0), Vec3(1))), 5.0, 1e-9);
}

TEST(Clearance, TouchingFacesEdgesAndCornersGiveExactlyZero) {
  const Solid a = box(Vec3(0), Vec3(10));
  for (const Vec3& at : {Vec3(10, 0, 0), Vec3(10, 10, 0), Vec3(10, 10, 10), Vec3(10, 3, 3)}) {
    const QueryResult r = query_clearance(a, box(at, Vec3(10)), {});
    EXPECT_EQ(r.upper_mm, 0.0);
    EXPECT_EQ(r.lower_mm, 0.0);
    EXPECT_FALSE(r.contained);
    EXPECT_FALSE(clearance_exceeds(a, box(at, Vec3(10)), {}, 0.0));
  }
}

TEST(Clearance, TouchingAtTheEndOfATravelIsContact) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid wall = box(Vec3(110, 0, 0), Vec3(10));
  EXPECT_EQ(distance(head, wall, {{Vec3(1, 0, 0), 0.0, 100.0}}), 0.0);
  EXPECT_EQ(distance(head, wall, {{Vec3(1, 0, 0), 0.0, 150.0}}), 0.0);
}

// Contact and clearance are told apart below the tolerance, down to rounding.
TEST(Clearance, GapsFarBelowTheToleranceAreNotContact) {
  const Solid head = box(Vec3(0), Vec3(10));
  for (const double gap : {1e-3, 1e-6, 1e-9}) {
    const Solid wall = box(Vec3(110 + gap, 0, 0), Vec3(10));
    const Travel travel{{Vec3(1, 0, 0), 0.0, 100.0}};
    const QueryResult r = query_clearance(head, wall, travel);
    EXPECT_GT(r.lower_mm, 0.0) << gap;
    EXPECT_NEAR(r.upper_mm, gap, 1e-12);
    EXPECT_TRUE(clearance_exceeds(head, wall, travel, 0.0));
  }
}

TEST(Clearance, CoplanarTrianglesAreMeasuredInTheirPlane) {
  const Solid a = triangle(Vec3(0), Vec3(1, 0, 0), Vec3(0, 1, 0));
  const Solid apart = triangle(Vec3(3, 0, 0), Vec3(4, 0, 0), Vec3(3, 1, 0));
  const Solid inside = triangle(Vec3(0.1, 0.1, 0), Vec3(0.2, 0.1, 0), Vec3(0.1, 0.2, 0));
  EXPECT_NEAR(distance(a, apart), 2.0, 1e-12);
  EXPECT_EQ(distance(a, inside), 0.0);
}

TEST(Clearance, DegenerateTrianglesAreSegmentsAndPoints) {
  const Solid point = triangle(Vec3(3, 4, 12), Vec3(3, 4, 12), Vec3(3, 4, 12));
  const Solid origin = triangle(Vec3(0), Vec3(0), Vec3(0));
  const Solid segment = triangle(Vec3(-5, 3, 0), Vec3(5, 3, 0), Vec3(1, 3, 0));
  EXPECT_NEAR(distance(point, origin), 13.0, 1e-12);
  EXPECT_NEAR(distance(segment, origin), 3.0, 1e-12);
  EXPECT_NEAR(distance(segment, origin, {{Vec3(0, 1, 0), -2.0, 2.0}}), 1.0, 1e-12);
}

TEST(Clearance, SolidInsideAnotherIsContained) {
  const Solid core = box(Vec3(40), Vec3(5));
  const Solid shell = box(Vec3(0), Vec3(100));
  const Travel travel{{Vec3(1, 0.5, 0), -3.0, 3.0}};
  for (const auto& [a, b] : {std::pair{&core, &shell}, std::pair{&shell, &core}}) {
    const QueryResult r = query_clearance(*a, *b, travel);
    expect_consistent(r, travel);
    EXPECT_TRUE(r.contained);
    EXPECT_EQ(r.upper_mm, 0.0);
    EXPECT_FALSE(clearance_exceeds(*a, *b, travel, 0.0));
  }
}

// Inside at some poses only: then the surfaces cross on the way.
TEST(Clearance, SolidThatEntersAnotherIsInContact) {
  const Solid core = box(Vec3(0), Vec3(5));
  const Solid shell = box(Vec3(100, -50, -50), Vec3(100));
  EXPECT_EQ(distance(core, shell, {{Vec3(1, 0, 0), 0.0, 140.0}}), 0.0);
  EXPECT_FALSE(clearance_exceeds(core, shell, {{Vec3(1, 0, 0), 0.0, 140.0}}, 0.0));
}

// One piece of A far outside, the other wholly inside B.
TEST(Clearance, EachPieceOfAPartIsLookedAt) {
  const Solid two = make_solid(
      shape::merged(shape::make_box(Vec3(500, 0, 0), Vec3(5)), shape::make_box(Vec3(40), Vec3(5))));
  const Solid shell = box(Vec3(0), Vec3(100));
  EXPECT_TRUE(query_clearance(two, shell, {}).contained);
  EXPECT_TRUE(query_clearance(shell, two, {}).contained);
}

TEST(Clearance, OpenSurfaceInsideASolidIsContainedButAnOpenShellHoldsNothing) {
  const Solid sheet = triangle(Vec3(40, 40, 40), Vec3(45, 40, 40), Vec3(40, 45, 40));
  EXPECT_TRUE(query_clearance(sheet, box(Vec3(0), Vec3(100)), {}).contained);
  Mesh open = shape::make_box(Vec3(0), Vec3(100));
  open.triangles.pop_back();
  EXPECT_GT(distance(sheet, make_solid(open)), 30.0);
}

TEST(Clearance, CavityIsFreeSpace) {
  Mesh cavity = shape::make_box(Vec3(10), Vec3(80));
  for (auto& t : cavity.triangles) std::swap(t[0], t[1]);
  const Solid housing = make_solid(shape::merged(shape::make_box(Vec3(0), Vec3(100)), cavity));
  ASSERT_TRUE(housing.closed);
  EXPECT_NEAR(distance(box(Vec3(40), Vec3(5)), housing, {{Vec3(1, 0, 0), 0.0, 40.0}}), 5.0, 1e-9);
}

TEST(Clearance, EmptyPartIsInfinitelyFar) {
  const Solid none = make_solid({});
  const Solid cube = box(Vec3(0), Vec3(1));
  for (const auto& [a, b] : {std::pair{&none, &cube}, {&cube, &none}, {&none, &none}}) {
    const QueryResult r = query_clearance(*a, *b, {{Vec3(1, 0, 0), 0.0, 1.0}});
    EXPECT_EQ(r.lower_mm, k_infinity);
    EXPECT_EQ(r.upper_mm, k_infinity);
    EXPECT_TRUE(clearance_exceeds(*a, *b, {}, 1e9));
  }
}

TEST(Clearance, EnoughIsAnsweredBothWays) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid wall = box(Vec3(113, -500, -500), Vec3(20, 1000, 1000));
  const Travel travel{{Vec3(1, 0, 0), 0.0, 100.0}};  // 3 mm
  for (const double d : {0.0, 1.0, 2.99, 2.999999}) {
    const QueryResult r = query_clearance(head, wall, travel, {.enough_mm = d});
    EXPECT_GT(r.lower_mm, d);
    EXPECT_LE(r.lower_mm, 3.0);
    EXPECT_TRUE(clearance_exceeds(head, wall, travel, d));
  }
  for (const double d : {3.0, 3.000001, 50.0, k_infinity}) {
    const QueryResult r = query_clearance(head, wall, travel, {.enough_mm = d});
    EXPECT_LE(r.lower_mm, 3.0);
    EXPECT_FALSE(clearance_exceeds(head, wall, travel, d));
  }
  EXPECT_TRUE(clearance_exceeds(head, wall, travel, -1.0));
  EXPECT_FALSE(clearance_exceeds(head, wall, travel, std::numeric_limits<double>::quiet_NaN()));
}

TEST(Clearance, ToleranceOfTheCallerIsKept) {
  const scenes::BenchPair pair = scenes::make_bench_pair(scenes::BenchScene::posts, 2000);
  const Solid a = make_solid(pair.a);
  const Solid b = make_solid(pair.b);
  const double exact = query_clearance(a, b, pair.travel, {.tolerance_mm = 1e-9}).upper_mm;
  for (const double tolerance : {1.0, 0.1, 0.01, 1e-4, 1e-9, 0.0}) {
    const QueryResult r = query_clearance(a, b, pair.travel, {.tolerance_mm = tolerance});
    expect_consistent(r, pair.travel, std::max(tolerance, 1e-9));
    EXPECT_LE(r.lower_mm, exact + 1e-9);
    EXPECT_GE(r.upper_mm, exact - 1e-9);
  }
}

// The same scene enlarged, shrunk and moved a kilometre away.
TEST(Clearance, ScaleAndPlaceDoNotMatter) {
  const scenes::BenchPair pair = scenes::make_bench_pair(scenes::BenchScene::posts, 2000);
  const double expected =
      query_clearance(make_solid(pair.a), make_solid(pair.b), pair.travel).upper_mm;
  for (const double scale : {0.01, 1.0, 100.0}) {
    for (const Vec3& at : {Vec3(0), Vec3(1e6, -1e6, 1e6)}) {
      Mesh a = pair.a;
      Mesh b = pair.b;
      for (Vec3& v : a.vertices) v = scale * v + at;
      for (Vec3& v : b.vertices) v = scale * v + at;
      Travel travel = pair.travel;
      for (Axis& axis : travel) axis.direction *= scale;
      const QueryResult r =
          query_clearance(make_solid(a), make_solid(b), travel, {.tolerance_mm = 0.01 * scale});
      expect_consistent(r, travel, 0.01 * scale);
      EXPECT_NEAR(r.upper_mm / scale, expected, 0.0101);
    }
  }
}

// A far from the origin, brought back by its axis.
TEST(Clearance, LargeTravelsKeepTheirDigits) {
  const Solid head = box(Vec3(-1e6, 0, 0), Vec3(10));
  const Solid wall = box(Vec3(13, 0, 0), Vec3(10));
  const QueryResult r = query_clearance(head, wall, {{Vec3(1, 0, 0), 0.0, 1e6}});
  EXPECT_NEAR(r.upper_mm, 3.0, 1e-8);
  EXPECT_GT(r.lower_mm, 2.98);
}

// Nothing is claimed where numbers run out: not clear, not contact.
TEST(Clearance, AbsurdCoordinatesAreNeverCalledClear) {
  const Solid cube = box(Vec3(0), Vec3(1));
  for (const double far : {1e16, 1e40, 1e300}) {
    const Solid away = triangle(Vec3(far, 0, 0), Vec3(far, far, 0), Vec3(0, far, far));
    const QueryResult r = query_clearance(cube, away, {});
    EXPECT_EQ(r.lower_mm, 0.0);
    EXPECT_EQ(r.upper_mm, k_infinity);
    EXPECT_FALSE(clearance_exceeds(cube, away, {}, 1.0));
    EXPECT_FALSE(clearance_exceeds(cube, cube, {{Vec3(0, 0, far), 0.0, 1.0}}, 1.0));
  }
}

// A + Z - B is symmetric: swapping the parts turns the travel round.
TEST(Clearance, SwappingThePartsGivesTheSameDistance) {
  const scenes::BenchPair pair = scenes::make_bench_pair(scenes::BenchScene::posts, 3000);
  const Solid a = make_solid(pair.a);
  const Solid b = make_solid(pair.b);
  Travel reversed = pair.travel;
  for (Axis& axis : reversed) axis.direction = -axis.direction;
  const QueryOptions exact{.tolerance_mm = 1e-8};
  EXPECT_NEAR(query_clearance(a, b, pair.travel, exact).upper_mm,
              query_clearance(b, a, reversed, exact).upper_mm, 1e-7);
}

// The travel cut into eight: the smallest of their distances is that of the whole.
TEST(Clearance, WholeTravelIsTheSmallestOfItsParts) {
  for (const auto scene : {scenes::BenchScene::posts, scenes::BenchScene::clamps}) {
    const scenes::BenchPair pair = scenes::make_bench_pair(scene, 3000);
    const Solid a = make_solid(pair.a);
    const Solid b = make_solid(pair.b);
    ClearanceQuery query(a, b);
    double smallest = k_infinity;
    for (unsigned octant = 0; octant < 8; ++octant) {
      Travel part = pair.travel;
      for (unsigned k = 0; k < 3; ++k) {
        const double middle = 0.5 * (part[k].lower + part[k].upper);
        (((octant >> k) & 1U) != 0 ? part[k].lower : part[k].upper) = middle;
      }
      const QueryResult& r = query.clearance(part);
      expect_consistent(r, part);
      smallest = std::min(smallest, r.upper_mm);
    }
    EXPECT_NEAR(smallest, query_clearance(a, b, pair.travel).upper_mm, 0.01);
  }
}

TEST(Clearance, BenchScenesAreAsDescribed) {
  for (const auto scene : {scenes::BenchScene::flat, scenes::BenchScene::clamps,
                           scenes::BenchScene::posts, scenes::BenchScene::collide}) {
    const scenes::BenchPair pair = scenes::make_bench_pair(scene, 10'000);
    const Solid a = make_solid(pair.a);
    const Solid b = make_solid(pair.b);
    EXPECT_TRUE(a.closed && b.closed) << name_of(scene);
    const double d = distance(a, b, pair.travel);
    if (scene == scenes::BenchScene::collide) {
      EXPECT_EQ(d, 0.0);
    } else {
      EXPECT_NEAR(d, 3.0, 0.5) << name_of(scene);
    }
  }
}

TEST(ClearanceQuery, WarmStartGivesTheSameBoundsAsAFreshQuery) {
  const scenes::BenchPair pair = scenes::make_bench_pair(scenes::BenchScene::posts, 5000);
  const Solid a = make_solid(pair.a);
  const Solid b = make_solid(pair.b);
  ClearanceQuery warm(a, b);
  scenes::Random random(11);
  for (int i = 0; i < 60; ++i) {
    Travel travel = pair.travel;
    for (Axis& axis : travel) {
      const double q = random.uniform(axis.lower, axis.upper);
      axis.lower = q;
      axis.upper = std::min(axis.upper, q + 30.0);
    }
    const QueryResult fresh = query_clearance(a, b, travel);
    const QueryResult again = warm.clearance(travel);
    expect_consistent(again, travel);
    EXPECT_LE(again.lower_mm, fresh.upper_mm);
    EXPECT_LE(fresh.lower_mm, again.upper_mm);
    warm.forget();
    EXPECT_EQ(warm.clearance(travel).upper_mm, fresh.upper_mm);
    EXPECT_EQ(warm.exceeds(travel, 20.0), clearance_exceeds(a, b, travel, 20.0));
  }
}

TEST(ClearanceQuery, RepeatedQueriesDoNotAllocate) {
  const scenes::BenchPair pair = scenes::make_bench_pair(scenes::BenchScene::clamps, 2000);
  const Solid a = make_solid(pair.a);
  const Solid b = make_solid(pair.b);
  ClearanceQuery query(a, b);
  Travel travel = pair.travel;
  query.clearance(travel);
  travel[0].upper = 600.0;
  travel[1].direction = Vec3(0.1, 1, 0);
  query.clearance(travel);
  const std::size_t before = g_allocations;
  for (int i = 0; i < 20; ++i) {
    travel[2].lower = -120.0 + i;
    query.clearance(travel);
    query.exceeds(travel, 1.0);
  }
  EXPECT_EQ(g_allocations, before);
}

TEST(ClearanceQuery, EasyQuestionsAreAnsweredAtTheTopOfTheTrees) {
  const scenes::BenchPair pair = scenes::make_bench_pair(scenes::BenchScene::clamps, 10'000);
  const Solid a = make_solid(pair.a);
  const Solid b = make_solid(pair.b);
  ClearanceQuery query(a, b);
  EXPECT_TRUE(query.exceeds(pair.travel, 1.0));
  EXPECT_LT(query.last().counters.node_pairs, 50U);
  EXPECT_EQ(query.last().counters.leaf_pairs, 0U);
}

}  // namespace
}  // namespace bight::clearance
