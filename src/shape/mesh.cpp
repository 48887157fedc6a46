#include "shape/mesh.h"

#include "base/check.h"

namespace bight::shape {

Box bounds(const Mesh& mesh) {
  Box box;
  for (const Vec3& v : mesh.vertices) box.extend(v);
  return box;
}

Mesh translated(Mesh mesh, const Vec3& t) {
  for (Vec3& v : mesh.vertices) v += t;
  return mesh;
}

Mesh placed(Mesh mesh, const Mat3& turn, const Vec3& t) {
  for (Vec3& v : mesh.vertices) v = turn * v + t;
  return mesh;
}

Mesh merged(Mesh a, const Mesh& b) {
  BIGHT_CHECK(a.vertices.size() + b.vertices.size() <= UINT32_MAX);
  const auto offset = static_cast<std::uint32_t>(a.vertices.size());
  a.vertices.insert(a.vertices.end(), b.vertices.begin(), b.vertices.end());
  for (const auto& t : b.triangles) {
    a.triangles.push_back({t[0] + offset, t[1] + offset, t[2] + offset});
  }
  return a;
}

double signed_volume(const Mesh& mesh) {
  if (mesh.empty()) return 0.0;
  // Volumes of tetrahedra over a point amid the mesh rather than over the origin: a small part far
  // away would otherwise be the difference of large numbers.
  const Vec3 apex = bounds(mesh).center();
  double six_volumes = 0.0;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertices[t[0]] - apex;
    const Vec3 b = mesh.vertices[t[1]] - apex;
    const Vec3 c = mesh.vertices[t[2]] - apex;
    six_volumes += glm::dot(a, glm::cross(b, c));
  }
  return six_volumes / 6.0;
}

}  // namespace bight::shape
