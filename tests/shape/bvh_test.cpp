#include "shape/bvh.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <iterator>
#include <limits>
#include <utility>
#include <vector>

#include "shape/primitive.h"
#include "shape/solid.h"

namespace bight::shape {
namespace {

// The bounds of a node as they are documented, in double precision: exact for single precision
// values.
void expect_bounds(const Bvh& bvh, std::uint32_t index, const Vec3& vertex) {
  const BvhNode& node = bvh.nodes[index];
  const Vec3 x = vertex - bvh.origin;
  Vec3 from_middle(0.0);
  for (int k = 0; k < 3; ++k) {
    from_middle[k] = x[k] - static_cast<double>(node.center[k]);
    EXPECT_LE(std::fabs(from_middle[k]), static_cast<double>(node.half[k]));
  }
  if (bvh.scanned(index)) {
    const auto corners = bvh.corners_of(index);
    EXPECT_TRUE(std::any_of(corners.begin(), corners.end(), [&x](const BvhCorners& c) {
      return std::any_of(std::begin(c.x), std::end(c.x), [&](const float& cx) {
        const auto i = &cx - c.x;
        return cx == static_cast<float>(x.x) && c.y[i] == static_cast<float>(x.y) &&
               c.z[i] == static_cast<float>(x.z);
      });
    }));
    return;
  }
  const BvhSlab& slab = bvh.slabs[bvh.places[index]];
  double along = -static_cast<double>(slab.middle);
  for (int k = 0; k < 3; ++k) along += from_middle[k] * static_cast<double>(slab.direction[k]);
  EXPECT_LE(std::fabs(along), static_cast<double>(slab.half));
}

struct Shape {
  std::size_t leaves = 0;
  int depth = 0;
};

/// Every node bounds every vertex below it, each triangle is in one leaf; returns size and depth.
Shape expect_sound(const Mesh& mesh) {
  const Bvh bvh = build_bvh(mesh);
  EXPECT_EQ(bvh.nodes.size(), 2 * mesh.triangles.size() - 1);
  EXPECT_EQ(bvh.corners.size(), mesh.triangles.size());
  std::vector<int> seen(mesh.triangles.size(), 0);
  Shape shape;
  std::vector<std::uint32_t> path;
  const std::function<void(std::uint32_t)> visit = [&](std::uint32_t index) {
    path.push_back(index);
    shape.depth = std::max(shape.depth, static_cast<int>(path.size()) - 1);
    const BvhNode& node = bvh.nodes[index];
    if (node.leaf()) {
      ++shape.leaves;
      ++seen[node.triangle()];
      for (const std::uint32_t v : mesh.triangles[node.triangle()]) {
        for (const std::uint32_t ancestor : path) expect_bounds(bvh, ancestor, mesh.vertices[v]);
      }
    } else {
      visit(node.child());
      visit(node.child() + 1);
    }
    path.pop_back();
  };
  visit(0);
  EXPECT_TRUE(std::all_of(seen.begin(), seen.end(), [](int n) { return n == 1; }));
  EXPECT_LE(shape.depth, Bvh::k_max_depth);
  return shape;
}

Mesh leaning_capsule(const Vec3& at) {
  return placed(make_capsule(Vec3(0), Axis::z, 80, 30), turn_matrix(Vec3(20, 35, 50)), at);
}

TEST(Bvh, EmptyMeshHasNoNodes) {
  EXPECT_TRUE(build_bvh({}).empty());
  EXPECT_TRUE(build_bvh({{Vec3(1), Vec3(2)}, {}}).empty());
}

TEST(Bvh, OneTriangleIsOneLeaf) {
  const Bvh bvh = build_bvh({{Vec3(0), Vec3(1, 0, 0), Vec3(0, 1, 0)}, {{0, 1, 2}}});
  ASSERT_EQ(bvh.nodes.size(), 1U);
  EXPECT_TRUE(bvh.nodes[0].leaf());
  EXPECT_EQ(bvh.nodes[0].triangle(), 0U);
}

TEST(Bvh, EveryNodeBoundsItsTriangles) {
  const Mesh capsule = leaning_capsule(Vec3(0));
  EXPECT_EQ(expect_sound(capsule).leaves, capsule.triangles.size());
}

TEST(Bvh, BoundsHoldAtAnyScaleAndFarFromTheOrigin) {
  for (const double scale : {0.01, 1.0, 100.0}) {
    for (const Vec3& at : {Vec3(0), Vec3(1e6, -2e6, 3e6)}) {
      Mesh m = leaning_capsule(Vec3(0));
      for (Vec3& v : m.vertices) v = scale * v + at;
      expect_sound(m);
    }
  }
}

TEST(Bvh, DegenerateTrianglesAreBoundedToo) {
  Mesh m = make_box(Vec3(0), Vec3(1));
  m.vertices.emplace_back(5, 5, 5);
  const auto point = static_cast<std::uint32_t>(m.vertices.size() - 1);
  m.triangles.push_back({point, point, point});
  m.triangles.push_back({0, point, 0});
  expect_sound(m);
}

// Centroids that coincide cannot be split by a plane: they are halved.
TEST(Bvh, EqualTrianglesAreHalved) {
  Mesh m{{Vec3(0), Vec3(1, 0, 0), Vec3(0, 1, 0)}, {}};
  for (int i = 0; i < 1000; ++i) m.triangles.push_back({0, 1, 2});
  EXPECT_LE(expect_sound(m).depth, 10);
}

// Splitting at the middle takes one triangle off at a time when each lies half as far as the one
// before; the depth is limited all the same.
TEST(Bvh, GeometricSeriesStaysWithinTheDepthLimit) {
  Mesh m;
  for (int i = 0; i < 400; ++i) {
    const double at = 1e6 * std::pow(0.5, i % 100);
    const auto first = static_cast<std::uint32_t>(m.vertices.size());
    m.vertices.insert(m.vertices.end(), {Vec3(at, 0, 0), Vec3(at, at, 0), Vec3(at, 0, at)});
    m.triangles.push_back({first, first + 1, first + 2});
  }
  expect_sound(m);
}

// A leaning flat plate: boxes are as thick as the plate is wide, slabs hardly thicker than it is.
TEST(Bvh, SlabOfALeaningPlateIsThin) {
  Mesh plate;
  for (std::uint32_t i = 0; i <= 20; ++i) {
    for (std::uint32_t j = 0; j <= 20; ++j) plate.vertices.emplace_back(5.0 * i, 5.0 * j, 0.0);
  }
  for (std::uint32_t i = 0; i < 20; ++i) {
    for (std::uint32_t j = 0; j < 20; ++j) {
      const std::uint32_t p = 21 * i + j;
      plate.triangles.push_back({p, p + 21, p + 22});
      plate.triangles.push_back({p, p + 22, p + 1});
    }
  }
  const Bvh bvh = build_bvh(placed(plate, turn_matrix(Vec3(40, 30, 0)), Vec3(0)));
  EXPECT_GT(bvh.nodes[0].half[2], 20.0F);
  EXPECT_LT(bvh.slabs[bvh.places[0]].half, 0.01F);
}

TEST(Bvh, SameMeshGivesTheSameBits) {
  const Mesh m = leaning_capsule(Vec3(3, 4, 5));
  const Bvh one = build_bvh(m);
  const Bvh two = build_bvh(m);
  ASSERT_EQ(one.nodes.size(), two.nodes.size());
  EXPECT_EQ(std::memcmp(one.nodes.data(), two.nodes.data(), one.nodes.size() * sizeof(BvhNode)), 0);
  EXPECT_EQ(one.places, two.places);
  EXPECT_EQ(
      std::memcmp(one.corners.data(), two.corners.data(), one.corners.size() * sizeof(BvhCorners)),
      0);
  EXPECT_EQ(std::memcmp(one.slabs.data(), two.slabs.data(), one.slabs.size() * sizeof(BvhSlab)), 0);
}

TEST(Solid, PrimitivesAreClosedInOnePiece) {
  for (const Mesh& m : {make_box(Vec3(0), Vec3(1, 2, 3)), make_cylinder(Vec3(0), Axis::x, 10, 5),
                        make_capsule(Vec3(0), Axis::y, 10, 5)}) {
    const Solid s = make_solid(m);
    EXPECT_TRUE(s.closed);
    EXPECT_EQ(s.piece_vertices.size(), 1U);
  }
}

TEST(Solid, SoupOfCornersIsWeldedByPlace) {
  const Mesh box = make_box(Vec3(0), Vec3(1));
  Mesh soup;
  for (const auto& t : box.triangles) {
    const auto first = static_cast<std::uint32_t>(soup.vertices.size());
    for (const std::uint32_t v : t) soup.vertices.push_back(box.vertices[v]);
    soup.triangles.push_back({first, first + 1, first + 2});
  }
  const Solid s = make_solid(soup);
  EXPECT_TRUE(s.closed);
  EXPECT_EQ(s.piece_vertices.size(), 1U);
}

TEST(Solid, HoleTurnedTriangleOrThirdTriangleAtAnEdgeIsNotClosed) {
  const Mesh box = make_box(Vec3(0), Vec3(1));
  Mesh hole = box;
  hole.triangles.pop_back();
  EXPECT_FALSE(make_solid(hole).closed);
  Mesh turned = box;
  std::swap(turned.triangles[0][0], turned.triangles[0][1]);
  EXPECT_FALSE(make_solid(turned).closed);
  Mesh fin = box;
  fin.vertices.emplace_back(9, 9, 9);
  fin.triangles.push_back({fin.triangles[0][0], fin.triangles[0][1],
                           static_cast<std::uint32_t>(fin.vertices.size() - 1)});
  EXPECT_FALSE(make_solid(fin).closed);
  EXPECT_FALSE(make_solid({}).closed);
}

TEST(Solid, PiecesAreCountedWithOneVertexEach) {
  const Mesh two = merged(make_box(Vec3(0), Vec3(1)), make_box(Vec3(5), Vec3(1)));
  const Solid s = make_solid(two);
  EXPECT_TRUE(s.closed);
  ASSERT_EQ(s.piece_vertices.size(), 2U);
  EXPECT_LT(s.mesh.vertices[s.piece_vertices[0]].x, 2.0);
  EXPECT_GT(s.mesh.vertices[s.piece_vertices[1]].x, 4.0);
}

}  // namespace
}  // namespace bight::shape
