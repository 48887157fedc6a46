#include "shape/simplex.h"

#include <limits>

namespace bight::shape {

namespace {

/// Nearest point so far on a simplex: its weights and its squared distance.
struct Nearest {
  std::array<double, 4> weights{};
  double squared = std::numeric_limits<double>::infinity();
};

void try_point(std::span<const Vec3> p, std::size_t i, Nearest& best) {
  const double squared = glm::dot(p[i], p[i]);
  if (!(squared < best.squared)) return;
  best = {{}, squared};
  best.weights[i] = 1.0;
}

void try_segment(std::span<const Vec3> p, std::size_t i, std::size_t j, Nearest& best) {
  const Vec3 edge = p[j] - p[i];
  const double along = -glm::dot(p[i], edge);
  const double length = glm::dot(edge, edge);
  if (!(along > 0.0)) return try_point(p, i, best);
  if (!(along < length)) return try_point(p, j, best);
  const double t = along / length;
  const Vec3 nearest = p[i] + t * edge;
  const double squared = glm::dot(nearest, nearest);
  if (!(squared < best.squared)) return;
  best = {{}, squared};
  best.weights[i] = 1.0 - t;
  best.weights[j] = t;
}

/// The foot of the perpendicular if it lies inside, else the edges beyond which it lies. A triangle
/// without area (to rounding) is its edges.
void try_triangle(std::span<const Vec3> p, std::size_t i, std::size_t j, std::size_t k,
                  Nearest& best) {
  const Vec3 ij = p[j] - p[i];
  const Vec3 ik = p[k] - p[i];
  const Vec3 normal = glm::cross(ij, ik);
  const double area = glm::dot(normal, normal);
  // sin^2 of the angle at i below 2^-90 of rounding: no plane.
  if (area > 0x1p-90 * glm::dot(ij, ij) * glm::dot(ik, ik)) {
    const Vec3 foot = normal * (glm::dot(p[i], normal) / area);
    const Vec3 fi = p[i] - foot;
    const Vec3 fj = p[j] - foot;
    const Vec3 fk = p[k] - foot;
    const double wi = glm::dot(glm::cross(fj, fk), normal) / area;
    const double wj = glm::dot(glm::cross(fk, fi), normal) / area;
    const double wk = glm::dot(glm::cross(fi, fj), normal) / area;
    if (wi > 0.0 && wj > 0.0 && wk > 0.0) {
      const double total = wi + wj + wk;
      const double a = wi / total;
      const double b = wj / total;
      const double c = wk / total;
      const Vec3 nearest = a * p[i] + b * p[j] + c * p[k];
      const double squared = glm::dot(nearest, nearest);
      if (squared < best.squared) {
        best = {{}, squared};
        best.weights[i] = a;
        best.weights[j] = b;
        best.weights[k] = c;
      }
      return;
    }
  }
  try_segment(p, i, j, best);
  try_segment(p, j, k, best);
  try_segment(p, k, i, best);
}

/// Signed volume times six of the tetrahedron of three corners and the origin.
double volume(const Vec3& p, const Vec3& q, const Vec3& r) {
  return glm::dot(p, glm::cross(q, r));
}

void try_tetrahedron(std::span<const Vec3> p, Nearest& best) {
  const double total = glm::dot(p[1] - p[0], glm::cross(p[2] - p[0], p[3] - p[0]));
  const std::array<double, 4> w{volume(p[1], p[2], p[3]), -volume(p[0], p[2], p[3]),
                                volume(p[0], p[1], p[3]), -volume(p[0], p[1], p[2])};
  // The weight of a corner is w / total; a face is seen from outside where its weight is negative.
  const double sign = total < 0.0 ? -1.0 : 1.0;
  bool inside = total != 0.0;
  for (const double v : w) inside = inside && v * sign > 0.0;
  if (inside) {
    const double sum = (w[0] + w[1]) + (w[2] + w[3]);
    best = {{w[0] / sum, w[1] / sum, w[2] / sum, w[3] / sum}, 0.0};
    return;
  }
  try_triangle(p, 1, 2, 3, best);
  try_triangle(p, 0, 2, 3, best);
  try_triangle(p, 0, 1, 3, best);
  try_triangle(p, 0, 1, 2, best);
}

}  // namespace

std::array<double, 4> nearest_to_origin(std::span<const Vec3> corners) {
  Nearest best;
  switch (corners.size()) {
    case 1:
      best.weights[0] = 1.0;
      break;
    case 2:
      try_segment(corners, 0, 1, best);
      break;
    case 3:
      try_triangle(corners, 0, 1, 2, best);
      break;
    default:
      try_tetrahedron(corners, best);
      break;
  }
  return best.weights;
}

}  // namespace bight::shape
