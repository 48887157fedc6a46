// Counts heap allocations of this test program, to hold the warm solves to their promise of none.

#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <new>

#include "rod/planar_rod.h"
#include "rod/spatial_rod.h"

namespace {

std::atomic<long>& allocations() {
  static std::atomic<long> count{0};
  return count;
}

}  // namespace

#if defined(__GNUC__) && !defined(__clang__)
// GCC sees malloc's pointer freed by free() through inlined operators and takes it for a mix-up.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wmismatched-new-delete"
#endif
void* operator new(std::size_t size) {
  allocations().fetch_add(1, std::memory_order_relaxed);
  if (void* p = std::malloc(size == 0 ? 1 : size)) return p;
  throw std::bad_alloc();
}
void operator delete(void* p) noexcept {
  std::free(p);
}
void operator delete(void* p, std::size_t) noexcept {
  std::free(p);
}
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC diagnostic pop
#endif

namespace bight::rod {
namespace {

TEST(PlanarRod, AllocatesNothingInAWarmSolve) {
  PlanarRodProblem p{.length_mm = 3000.0,
                     .mass_kg_m = 0.2,
                     .stiffness_Nm2 = 0.02,
                     .end = {2000.0, 200.0},
                     .at_start = {EndKind::clamped, -90.0},
                     .at_end = {EndKind::clamped, 90.0}};
  p.point_masses = {{1000.0, 0.05}};
  PlanarRodSolver solver(64);
  ASSERT_TRUE(solver.solve(p).converged());
  const long before = allocations().load();
  bool all = true;
  for (int i = 0; i < 50; ++i) {
    p.end.x -= 10.0;
    all = solver.solve(p).converged() && all;
  }
  EXPECT_EQ(allocations().load(), before);
  EXPECT_TRUE(all);
}

TEST(SpatialRod, AllocatesNothingInAWarmSolve) {
  SpatialRodProblem p{.length_mm = 3000.0, .mass_kg_m = 0.2, .stiffness_Nm2 = 0.02};
  p.end = {2000.0, 0.0, 200.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_tangent = glm::normalize(Vec3(0.3, 0.5, 0.8));
  SpatialRodSolver solver(64);
  ASSERT_TRUE(solver.solve(p).converged());
  const long before = allocations().load();
  bool all = true;
  for (int i = 0; i < 50; ++i) {
    p.end += Vec3(-10.0, 4.0, 1.0);
    all = solver.solve(p).converged() && all;
  }
  EXPECT_EQ(allocations().load(), before);
  EXPECT_TRUE(all);
}

}  // namespace
}  // namespace bight::rod
