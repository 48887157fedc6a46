#pragma once
// What every mesh of a solid must hold, found without the code under test: a map of edges and sums.

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <map>
#include <utility>

#include "shape/mesh.h"

namespace bight::shape {

/// How often each undirected edge is used: by indices, rising and falling.
struct EdgeUse {
  int rising = 0;
  int falling = 0;
};

inline std::map<std::pair<std::uint32_t, std::uint32_t>, EdgeUse> edge_uses(const Mesh& mesh) {
  std::map<std::pair<std::uint32_t, std::uint32_t>, EdgeUse> uses;
  for (const auto& t : mesh.triangles) {
    for (std::size_t i = 0; i < 3; ++i) {
      const std::uint32_t a = t[i];
      const std::uint32_t b = t[(i + 1) % 3];
      EdgeUse& use = uses[{std::min(a, b), std::max(a, b)}];
      ++(a < b ? use.rising : use.falling);
    }
  }
  return uses;
}

/// Every edge is run once each way, so the surface is watertight and consistent; the volume says
/// that it faces outward.
inline void expect_watertight_and_outward(const Mesh& mesh) {
  ASSERT_FALSE(mesh.empty());
  for (const auto& [edge, use] : edge_uses(mesh)) {
    ASSERT_TRUE(use.rising == 1 && use.falling == 1)
        << "edge " << edge.first << "-" << edge.second << " is used " << use.rising << " and "
        << use.falling << " times";
  }
  double volume = 0.0;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertices[t[0]] - mesh.vertices[0];
    const Vec3 b = mesh.vertices[t[1]] - mesh.vertices[0];
    const Vec3 c = mesh.vertices[t[2]] - mesh.vertices[0];
    EXPECT_GT(glm::length(glm::cross(b - a, c - a)), 0.0) << "a triangle without area";
    volume += glm::dot(a, glm::cross(b, c)) / 6.0;
  }
  EXPECT_GT(volume, 0.0);
}

}  // namespace bight::shape
