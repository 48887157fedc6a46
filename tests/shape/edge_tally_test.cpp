#include "shape/edge_tally.h"

#include <gtest/gtest.h>

namespace bight::shape {
namespace {

// A tetrahedron, corners counter-clockwise seen from outside.
std::vector<Corners> tetrahedron(std::uint32_t a, std::uint32_t b, std::uint32_t c,
                                 std::uint32_t d) {
  return {{a, c, b}, {a, b, d}, {b, c, d}, {c, a, d}};
}

TEST(EdgeTally, ATetrahedronHasSixEdgesThatAllPairOff) {
  const EdgeTally tally = tally_edges(tetrahedron(0, 1, 2, 3), 4);
  EXPECT_EQ(tally.edges, 6U);  // Euler: 4 - 6 + 4 = 2
  EXPECT_TRUE(tally.closed());
}

TEST(EdgeTally, AMissingTriangleLeavesThreeOpenEdges) {
  auto triangles = tetrahedron(0, 1, 2, 3);
  triangles.pop_back();
  const EdgeTally tally = tally_edges(triangles, 4);
  EXPECT_EQ(tally.open, 3U);
  EXPECT_FALSE(tally.closed());
}

TEST(EdgeTally, ATurnedTriangleDisagreesWithItsThreeNeighbours) {
  auto triangles = tetrahedron(0, 1, 2, 3);
  std::swap(triangles[2][0], triangles[2][1]);
  const EdgeTally tally = tally_edges(triangles, 4);
  EXPECT_EQ(tally.misoriented, 3U);
  EXPECT_FALSE(tally.closed());
}

TEST(EdgeTally, TwoBodiesThatMeetAlongAnEdgeAreClosed) {
  auto triangles = tetrahedron(0, 1, 2, 3);
  for (const Corners& c : tetrahedron(0, 1, 4, 5)) triangles.push_back(c);
  const EdgeTally tally = tally_edges(triangles, 6);
  EXPECT_EQ(tally.shared, 1U);
  EXPECT_EQ(tally.edges, 11U);
  EXPECT_TRUE(tally.closed());
}

TEST(EdgeTally, AThirdSheetOnAnEdgeBranchesIt) {
  auto triangles = tetrahedron(0, 1, 2, 3);
  triangles.push_back({0, 1, 4});
  const EdgeTally tally = tally_edges(triangles, 5);
  EXPECT_EQ(tally.branched, 1U);
  EXPECT_EQ(tally.open, 2U);
}

TEST(EdgeTally, CollapsedTrianglesAndEmptyMeshesHaveNoEdges) {
  EXPECT_EQ(tally_edges({{3, 3, 1}, {0, 2, 0}}, 4).edges, 0U);
  EXPECT_FALSE(tally_edges({}, 0).closed());
}

}  // namespace
}  // namespace bight::shape
