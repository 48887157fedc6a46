#include "shape/mesh.h"

#include <gtest/gtest.h>

#include "shape/primitive.h"

namespace bight::shape {
namespace {

TEST(Mesh, BoundsOfNothingAreEmpty) {
  EXPECT_TRUE(bounds(Mesh{}).empty());
}

TEST(Mesh, TranslationMovesTheBoundsAndKeepsTheVolume) {
  const Mesh box = translated(make_box({1, 2, 3}, {10, 20, 30}), {100, 0, -3});

  EXPECT_EQ(bounds(box).lower, Vec3(101, 2, 0));
  EXPECT_EQ(bounds(box).upper, Vec3(111, 22, 30));
  EXPECT_DOUBLE_EQ(signed_volume(box), 10.0 * 20.0 * 30.0);
}

TEST(Mesh, PlacingTurnsAboutTheOriginFirst) {
  const Mesh bar = make_box({10, 0, 0}, {5, 1, 1});

  const Mesh turned = placed(bar, turn_matrix({0, 0, 90}), {0, 0, 100});

  EXPECT_EQ(bounds(turned).lower, Vec3(-1, 10, 100));
  EXPECT_EQ(bounds(turned).upper, Vec3(0, 15, 101));
}

TEST(Mesh, MergingKeepsBothSurfaces) {
  const Mesh both = merged(make_box({0, 0, 0}, {1, 1, 1}), make_box({5, 5, 5}, {2, 2, 2}));

  EXPECT_EQ(both.vertices.size(), 16U);
  EXPECT_EQ(both.triangles.size(), 24U);
  EXPECT_DOUBLE_EQ(signed_volume(both), 1.0 + 8.0);
}

TEST(Mesh, AMirroredMeshHasNegativeVolume) {
  const Mesh mirrored =
      placed(make_box({0, 0, 0}, {2, 3, 4}), Mat3(-1, 0, 0, 0, 1, 0, 0, 0, 1), Vec3(0.0));

  EXPECT_DOUBLE_EQ(signed_volume(mirrored), -24.0);
}

// Over the origin the tetrahedra would be 1e12 mm^3 each and leave no digit of 1 mm^3.
TEST(Mesh, VolumeOfASmallPartFarAwayKeepsItsDigits) {
  const Mesh tetrahedron{{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
                         {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}}};

  const Mesh far_away = translated(tetrahedron, Vec3(1048576.0, -1048576.0, 524288.0));

  EXPECT_NEAR(signed_volume(far_away), 1.0 / 6.0, 1e-12);
}

}  // namespace
}  // namespace bight::shape
