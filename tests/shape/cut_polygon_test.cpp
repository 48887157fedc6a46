#include "shape/cut_polygon.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "shape/primitive.h"

namespace bight::shape {
namespace {

/// n - 2 triangles, all turned like `normal` and together of area `area`: they cover the polygon
/// once.
void expect_cover(const std::vector<Vec3>& corners, const Vec3& normal, double area) {
  const PolygonCut cut = cut_polygon(corners);
  ASSERT_EQ(cut.triangles.size(), corners.size() - 2);
  EXPECT_TRUE(cut.simple);
  double sum = 0.0;
  for (const auto& t : cut.triangles) {
    const Vec3 twice = glm::cross(corners[t[1]] - corners[t[0]], corners[t[2]] - corners[t[0]]);
    EXPECT_GE(glm::dot(twice, normal), 0.0);
    sum += 0.5 * glm::length(twice);
  }
  EXPECT_NEAR(sum, area, 1e-12 * area);
}

const std::vector<Vec3> k_ell = {{0, 0, 0}, {2, 0, 0}, {2, 1, 0}, {1, 1, 0}, {1, 2, 0}, {0, 2, 0}};

TEST(CutPolygon, AnEllIsCoveredOnceHoweverItIsTurned) {
  for (const Vec3 degrees : {Vec3(0, 0, 0), Vec3(90, 0, 0), Vec3(0, 90, 0), Vec3(180, 0, 0),
                             Vec3(0, -90, 10), Vec3(12, 34, 56), Vec3(200, 100, 300)}) {
    const Mat3 turn = turn_matrix(degrees);
    std::vector<Vec3> corners;
    for (const Vec3& p : k_ell) corners.push_back(100.0 * (turn * p) + Vec3(1000, 2000, 3000));
    expect_cover(corners, turn * Vec3(0, 0, 1), 3e4);
  }
}

TEST(CutPolygon, AnEllMayStartAtAnyCornerAndRunEitherWay) {
  std::vector<Vec3> corners = k_ell;
  for (std::size_t i = 0; i < k_ell.size(); ++i) {
    std::rotate(corners.begin(), corners.begin() + 1, corners.end());
    expect_cover(corners, {0, 0, 1}, 3.0);
    expect_cover({corners.rbegin(), corners.rend()}, {0, 0, -1}, 3.0);
  }
}

TEST(CutPolygon, AnArrowheadIsCutFromItsInnerCorner) {
  std::vector<Vec3> arrow = {{0, 0, 0}, {4, 0, 0}, {1, 1, 0}, {0, 4, 0}};
  for (int i = 0; i < 4; ++i) {
    std::rotate(arrow.begin(), arrow.begin() + 1, arrow.end());
    expect_cover(arrow, {0, 0, 1}, 4.0);
  }
}

TEST(CutPolygon, CornersInLineAreKept) {
  expect_cover({{0, 0, 5}, {1, 0, 5}, {2, 0, 5}, {2, 2, 5}, {1, 2, 5}, {0, 2, 5}, {0, 1, 5}},
               {0, 0, 1}, 4.0);
}

TEST(CutPolygon, ACrossedPolygonIsCutAsAFanAndSaysSo) {
  // Twice round the same square.
  const PolygonCut cut = cut_polygon(
      {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}, {0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}});
  EXPECT_FALSE(cut.simple);
  EXPECT_EQ(cut.triangles.size(), 6U);
}

}  // namespace
}  // namespace bight::shape
