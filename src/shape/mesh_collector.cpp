#include <cmath>

#include "base/number.h"
#include "shape/mesh_collector_detail.h"

namespace bight::shape {

std::string too_many_triangles(std::size_t triangles, const ImportOptions& options) {
  if (triangles <= options.triangles_limit) return {};
  return "it has more than the " + std::to_string(options.triangles_limit) +
         " triangles that are read";
}

MeshCollector::MeshCollector(const ImportOptions& options, std::size_t expected_triangles)
    : options_(options), welder_(expected_triangles / 2 + 2) {
  mesh_.triangles.reserve(expected_triangles);
}

bool MeshCollector::add(const std::array<Vec3, 3>& corners) {
  std::array<std::uint32_t, 3> triangle{};
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 p = options_.mm_per_unit * corners[i];
    // Written so that NaN fails too.
    if (!(std::abs(p.x) <= k_mesh_coordinate_limit_mm &&
          std::abs(p.y) <= k_mesh_coordinate_limit_mm &&
          std::abs(p.z) <= k_mesh_coordinate_limit_mm)) {
      problem_ = is_finite(p) ? "a coordinate lies beyond " + shortest(k_mesh_coordinate_limit_mm) +
                                    " mm: is the unit right?"
                              : std::string("it has coordinates that are not numbers");
      return false;
    }
    triangle[i] = welder_.index_of(options_.up == UpAxis::z ? p : Vec3(p.x, -p.z, p.y));
  }
  mesh_.triangles.push_back(triangle);
  if (mesh_.triangles.size() <= options_.triangles_limit) return true;
  problem_ = too_many_triangles(mesh_.triangles.size(), options_);
  return false;
}

Reading MeshCollector::finish(ImportReport report) {
  mesh_.vertices = welder_.take_vertices();
  report.triangles = mesh_.triangles.size();
  report.vertices = mesh_.vertices.size();
  report.box = bounds(mesh_);
  if (problem_.empty() && mesh_.empty()) problem_ = "it has no triangles";
  if (!problem_.empty()) mesh_ = {};
  return {std::move(mesh_), std::move(report), std::move(problem_)};
}

}  // namespace bight::shape
