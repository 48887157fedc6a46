#include "render/mesh_buffers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "shape/primitive.h"

namespace bight::render {
namespace {

Vec3 normal_of(const MeshVertex& v) {
  return Vec3(v.normal[0], v.normal[1], v.normal[2]) / 32767.0;
}

Vec3 position_of(const MeshVertex& v) {
  return {v.position[0], v.position[1], v.position[2]};
}

TEST(MeshBuffers, ABoxHasTwelveEdgesAndFourVerticesAFace) {
  const MeshBuffers buffers = make_mesh_buffers(shape::make_box(Vec3(5.0), Vec3(10.0, 20.0, 30.0)));
  EXPECT_EQ(buffers.triangles.size(), 12U);
  EXPECT_EQ(buffers.edges.size(), 12U);
  EXPECT_EQ(buffers.vertices.size(), 24U);
  EXPECT_EQ(buffers.origin, Vec3(10.0, 15.0, 20.0));
  for (const MeshVertex& v : buffers.vertices) {
    const Vec3 n = glm::abs(normal_of(v));
    EXPECT_NEAR(std::max({n.x, n.y, n.z}), 1.0, 1e-3);
    EXPECT_NEAR(n.x + n.y + n.z, 1.0, 1e-3);
  }
}

TEST(MeshBuffers, ACylinderIsSmoothAroundAndSharpAtItsEnds) {
  const MeshBuffers buffers =
      make_mesh_buffers(shape::make_cylinder(Vec3(0.0), shape::Axis::z, 100.0, 40.0));
  for (const MeshVertex& v : buffers.vertices) {
    const Vec3 n = normal_of(v);
    const Vec3 p = position_of(v);
    const Vec3 outward = glm::normalize(Vec3(p.x, p.y, 0.0));
    const bool cap = std::abs(n.z) > 0.9;
    if (!cap) {
      EXPECT_GT(glm::dot(n, outward), 0.9999);
    }
  }
  for (const MeshEdge& e : buffers.edges) EXPECT_NEAR(e.from[2], e.to[2], 1e-4);
  EXPECT_FALSE(buffers.edges.empty());
}

TEST(MeshBuffers, TrianglesKeepTheirCorners) {
  const shape::Mesh mesh = shape::make_capsule(Vec3(1.0, 2.0, 3.0), shape::Axis::x, 50.0, 30.0);
  const MeshBuffers buffers = make_mesh_buffers(mesh);
  ASSERT_EQ(buffers.triangles.size(), mesh.triangles.size());
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    for (std::size_t k = 0; k < 3; ++k) {
      const Vec3 p = buffers.origin + position_of(buffers.vertices[buffers.triangles[t][k]]);
      EXPECT_LT(glm::length(p - mesh.vertices[mesh.triangles[t][k]]), 1e-4);
    }
  }
}

TEST(MeshBuffers, FlatTrianglesAndEmptyMeshesDoNoHarm) {
  shape::Mesh mesh;
  mesh.vertices = {{0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}, {2.0, 0.0, 0.0}, {0.0, 1.0, 0.0}};
  mesh.triangles = {{0, 1, 2}, {0, 1, 3}, {3, 3, 3}};
  const MeshBuffers buffers = make_mesh_buffers(mesh);
  EXPECT_EQ(buffers.triangles.size(), 3U);
  EXPECT_EQ(buffers.edges.size(), 3U);
  EXPECT_TRUE(make_mesh_buffers({}).vertices.empty());
  EXPECT_TRUE(make_stand_in({}, 40).vertices.empty());
}

TEST(MeshBuffers, AFanOfManyTrianglesAboutOneVertexTakesLinearTime) {
  // 200 000 triangles about one vertex: comparing each with each would take minutes.
  constexpr std::uint32_t k_count = 200'000;
  shape::Mesh mesh;
  mesh.vertices.emplace_back(0.0, 0.0, 1.0);
  for (std::uint32_t i = 0; i < k_count; ++i) {
    const double a = 6.283185307179586 * i / k_count;
    mesh.vertices.emplace_back(1000.0 * std::cos(a), 1000.0 * std::sin(a), 0.0);
  }
  for (std::uint32_t i = 0; i < k_count; ++i) {
    mesh.triangles.push_back({0, 1 + i, 1 + (i + 1) % k_count});
  }
  const MeshBuffers buffers = make_mesh_buffers(mesh);
  EXPECT_EQ(buffers.triangles.size(), k_count);
  EXPECT_EQ(buffers.edges.size(), k_count);  // the rim
}

/// A sphere of n x 2 n quads, cut.
shape::Mesh sphere(int n) {
  shape::Mesh mesh;
  for (int i = 0; i <= n; ++i) {
    for (int k = 0; k < 2 * n; ++k) {
      const double a = 3.141592653589793 * i / n;
      const double b = 3.141592653589793 * k / n;
      mesh.vertices.emplace_back(100.0 * std::sin(a) * std::cos(b),
                                 100.0 * std::sin(a) * std::sin(b), 100.0 * std::cos(a));
    }
  }
  const auto at = [n](int i, int k) { return static_cast<std::uint32_t>(i * 2 * n + k % (2 * n)); };
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < 2 * n; ++k) {
      mesh.triangles.push_back({at(i, k), at(i + 1, k), at(i + 1, k + 1)});
      mesh.triangles.push_back({at(i, k), at(i + 1, k + 1), at(i, k + 1)});
    }
  }
  return mesh;
}

TEST(StandIn, HasFewTrianglesAndTheSameShape) {
  const shape::Mesh mesh = sphere(250);  // 250 000 triangles
  const MeshBuffers buffers = make_stand_in(mesh, 40);
  EXPECT_GT(buffers.triangles.size(), 2'000U);
  EXPECT_LT(buffers.triangles.size(), 25'000U);
  for (const MeshVertex& v : buffers.vertices) {
    // Means of a cell of 5 mm stay within its half diagonal of the surface.
    EXPECT_NEAR(glm::length(buffers.origin + position_of(v)), 100.0, 4.4);
  }
}

}  // namespace
}  // namespace bight::render
