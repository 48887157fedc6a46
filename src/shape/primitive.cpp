#include "shape/primitive.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "base/check.h"
#include "base/tolerance.h"
#include "shape/triangulate.h"

namespace bight::shape {
namespace {

using Triangles = std::vector<std::array<std::uint32_t, 3>>;

/// Axes of the cross-section: (Y,Z) along X, (X,Z) along Y, (X,Y) along Z. Along Y the frame
/// (u, v, along) is left-handed.
Vec3 in_space(Axis along, double u, double v, double w) {
  switch (along) {
    case Axis::x:
      return {w, u, v};
    case Axis::y:
      return {u, w, v};
    case Axis::z:
      break;
  }
  return {u, v, w};
}

void turn_over_if_left_handed(Axis along, Mesh& mesh) {
  if (along != Axis::y) return;
  for (auto& t : mesh.triangles) std::swap(t[1], t[2]);
}

/// Ring of a regular polygon with inscribed circle of radius 1 whose edges touch the circle where
/// it crosses the axes. One quarter is computed and turned by exact quarter turns.
std::vector<Vec2> tangent_polygon(std::size_t count) {
  std::vector<Vec2> ring(count);
  const std::size_t quarter = count / 4;
  const double half = std::numbers::pi / static_cast<double>(count);
  const double reach = 1.0 / std::cos(half);
  for (std::size_t i = 0; i < quarter; ++i) {
    const double angle = static_cast<double>(2 * i + 1) * half;
    Vec2 p(reach * std::cos(angle), reach * std::sin(angle));
    if (i == 0) p.x = 1.0;
    if (i + 1 == quarter) p.y = 1.0;
    for (std::size_t q = 0; q < 4; ++q) {
      ring[i + q * quarter] = p;
      p = Vec2(-p.y, p.x);
    }
  }
  return ring;
}

/// Number of edges, a multiple of 4, for which half an edge is seen under at most `half_angle`.
std::size_t edge_count(double half_angle) {
  const double quarter = std::ceil(std::numbers::pi / (4.0 * half_angle));
  return 4 * std::max<std::size_t>(static_cast<std::size_t>(quarter), 2);
}

/// (R + tolerance) / R for the radius at which the tolerance is kept.
double allowed_reach(double diameter) {
  return 1.0 + k_facet_tolerance_mm / (0.5 * std::min(diameter, k_facet_diameter_mm));
}

/// Rings of equal count stacked along the axis, each an enlargement of `ring`, closed by fans about
/// a centre at both ends.
struct Level {
  double radius = 0.0;
  double height = 0.0;
};

Mesh stacked(const std::vector<Vec2>& ring, const std::vector<Level>& levels, const Vec3& base,
             Axis along) {
  Mesh mesh;
  const auto n = static_cast<std::uint32_t>(ring.size());
  for (const Level& level : levels) {
    for (const Vec2& p : ring) {
      mesh.vertices.push_back(
          base + in_space(along, level.radius * p.x, level.radius * p.y, level.height));
    }
  }
  const auto first_centre = static_cast<std::uint32_t>(mesh.vertices.size());
  const std::uint32_t last_centre = first_centre + 1;
  const std::uint32_t last_ring = first_centre - n;
  mesh.vertices.push_back(base + in_space(along, 0.0, 0.0, levels.front().height));
  mesh.vertices.push_back(base + in_space(along, 0.0, 0.0, levels.back().height));
  for (std::uint32_t i = 0; i < n; ++i) {
    const std::uint32_t next = (i + 1) % n;
    mesh.triangles.push_back({first_centre, next, i});
    for (std::uint32_t lower = 0; lower < last_ring; lower += n) {
      const std::uint32_t upper = lower + n;
      mesh.triangles.push_back({lower + i, lower + next, upper + next});
      mesh.triangles.push_back({lower + i, upper + next, upper + i});
    }
    mesh.triangles.push_back({last_centre, last_ring + i, last_ring + next});
  }
  turn_over_if_left_handed(along, mesh);
  return mesh;
}

/// Cosine and sine, exact at multiples of 90 degrees.
Vec2 direction(double degrees) {
  const double d = std::remainder(degrees, 360.0);
  if (d == 0.0) return {1.0, 0.0};
  if (d == 90.0) return {0.0, 1.0};
  if (d == -90.0) return {0.0, -1.0};
  if (std::abs(d) == 180.0) return {-1.0, 0.0};
  const double radians = d * std::numbers::pi / 180.0;
  return {std::cos(radians), std::sin(radians)};
}

}  // namespace

Mesh make_box(const Vec3& lower, const Vec3& size) {
  BIGHT_CHECK(size.x > 0.0 && size.y > 0.0 && size.z > 0.0);
  Mesh mesh;
  const Vec3 upper = lower + size;
  for (unsigned i = 0; i < 8; ++i) {
    mesh.vertices.push_back({(i & 1U) != 0 ? upper.x : lower.x, (i & 2U) != 0 ? upper.y : lower.y,
                             (i & 4U) != 0 ? upper.z : lower.z});
  }
  mesh.triangles = {{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4},
                    {2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}};
  return mesh;
}

Mesh make_cylinder(const Vec3& base, Axis along, double length, double diameter) {
  BIGHT_CHECK(length > 0.0 && diameter > 0.0);
  // A tangent polygon stands out by R (1 / cos(half angle) - 1) at its corners.
  const double half_angle = std::acos(1.0 / allowed_reach(diameter));
  const double radius = 0.5 * diameter;
  return stacked(tangent_polygon(edge_count(half_angle)), {{radius, 0.0}, {radius, length}}, base,
                 along);
}

Mesh make_capsule(const Vec3& base, Axis along, double length, double diameter) {
  BIGHT_CHECK(length >= 0.0 && diameter > 0.0);
  // The meridian is a tangent polygon, turned about the axis along a tangent polygon: a corner
  // stands out by at most R (1 / cos^2(half angle) - 1).
  const double half_angle = std::acos(std::sqrt(1.0 / allowed_reach(diameter)));
  const std::size_t count = edge_count(half_angle);
  const std::vector<Vec2> ring = tangent_polygon(count);
  const double radius = 0.5 * diameter;
  std::vector<Level> levels;
  for (std::size_t i = count / 4; i-- > 0;) {
    levels.push_back({radius * ring[i].x, -radius * ring[i].y});
  }
  for (std::size_t i = 0; i < count / 4; ++i) {
    levels.push_back({radius * ring[i].x, length + radius * ring[i].y});
  }
  return stacked(ring, levels, base, along);
}

std::optional<Mesh> make_profile(const std::vector<Vec2>& outline, const Vec3& base, Axis along,
                                 double length, const Place& place, Diagnostics& diagnostics) {
  BIGHT_CHECK(length > 0.0);
  if (outline.size() > k_outline_points_limit) {
    diagnostics.error(place, "the outline has too many points", std::to_string(outline.size()),
                      "at most " + std::to_string(k_outline_points_limit));
    return std::nullopt;
  }
  std::vector<Vec2> ring = without_repeats(outline);
  std::string problem = outline_problem(ring);
  std::optional<Triangles> cap;
  if (problem.empty()) {
    if (twice_area(ring) < 0.0) std::reverse(ring.begin(), ring.end());
    cap = triangulated(ring);
    if (!cap) problem = "it cannot be cut into triangles";
  }
  if (!cap) {
    diagnostics.error(place, "the outline is not a simple polygon: " + problem);
    return std::nullopt;
  }
  Mesh mesh;
  const auto n = static_cast<std::uint32_t>(ring.size());
  for (const double height : {0.0, length}) {
    for (const Vec2& p : ring) mesh.vertices.push_back(base + in_space(along, p.x, p.y, height));
  }
  for (const auto& t : *cap) {
    mesh.triangles.push_back({t[0], t[2], t[1]});
    mesh.triangles.push_back({n + t[0], n + t[1], n + t[2]});
  }
  for (std::uint32_t i = 0; i < n; ++i) {
    const std::uint32_t next = (i + 1) % n;
    mesh.triangles.push_back({i, next, n + next});
    mesh.triangles.push_back({i, n + next, n + i});
  }
  turn_over_if_left_handed(along, mesh);
  return mesh;
}

Mat3 turn_matrix(const Vec3& degrees) {
  const Vec2 x = direction(degrees.x);
  const Vec2 y = direction(degrees.y);
  const Vec2 z = direction(degrees.z);
  const Mat3 about_x(Vec3(1, 0, 0), Vec3(0, x.x, x.y), Vec3(0, -x.y, x.x));
  const Mat3 about_y(Vec3(y.x, 0, -y.y), Vec3(0, 1, 0), Vec3(y.y, 0, y.x));
  const Mat3 about_z(Vec3(z.x, z.y, 0), Vec3(-z.y, z.x, 0), Vec3(0, 0, 1));
  return about_z * about_y * about_x;
}

}  // namespace bight::shape
