#include "oracle/inside_oracle.h"

#include <cmath>
#include <map>
#include <numbers>
#include <numeric>

namespace bight::oracle {

double winding_number(const shape::Mesh& mesh, const Vec3& p) {
  double sum = 0.0;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertices[t[0]] - p;
    const Vec3 b = mesh.vertices[t[1]] - p;
    const Vec3 c = mesh.vertices[t[2]] - p;
    const double la = glm::length(a);
    const double lb = glm::length(b);
    const double lc = glm::length(c);
    const double volume = glm::dot(a, glm::cross(b, c));
    const double denominator =
        la * lb * lc + glm::dot(a, b) * lc + glm::dot(b, c) * la + glm::dot(c, a) * lb;
    sum += 2.0 * std::atan2(volume, denominator);
  }
  return sum / (4.0 * std::numbers::pi);
}

std::vector<Vec3> piece_points(const shape::Mesh& mesh) {
  std::vector<std::uint32_t> root(mesh.vertices.size());
  std::iota(root.begin(), root.end(), 0U);
  const auto find = [&](std::uint32_t i) {
    while (root[i] != i) i = root[i] = root[root[i]];
    return i;
  };
  for (const auto& t : mesh.triangles) {
    root[find(t[1])] = find(t[0]);
    root[find(t[2])] = find(t[0]);
  }
  std::map<std::uint32_t, Vec3> points;
  for (const auto& t : mesh.triangles) points.try_emplace(find(t[0]), mesh.vertices[t[0]]);
  std::vector<Vec3> result;
  for (const auto& [piece, point] : points) result.push_back(point);
  return result;
}

bool is_closed(const shape::Mesh& mesh) {
  std::map<std::pair<std::uint32_t, std::uint32_t>, int> uses;
  for (const auto& t : mesh.triangles)
    for (std::size_t k = 0; k < 3; ++k) ++uses[std::minmax(t[k], t[(k + 1) % 3])];
  for (const auto& [edge, count] : uses)
    if (count != 2 || edge.first == edge.second) return false;
  return !uses.empty();
}

}  // namespace bight::oracle
