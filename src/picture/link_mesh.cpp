#include "picture/link_mesh.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/check.h"
#include "shape/primitive.h"

namespace bight::picture {
namespace {

/// Rectangle with rounded corners, x and z about the origin, counter-clockwise.
std::vector<Vec2> rounded(double length, double height, double radius) {
  constexpr int k_per_corner = 3;
  std::vector<Vec2> outline;
  const Vec2 reach(0.5 * length - radius, 0.5 * height - radius);
  for (int corner = 0; corner < 4; ++corner) {
    const Vec2 middle((corner == 0 || corner == 3) ? reach.x : -reach.x,
                      corner < 2 ? reach.y : -reach.y);
    for (int i = 0; i <= k_per_corner; ++i) {
      const double a = 0.5 * std::numbers::pi * (corner + static_cast<double>(i) / k_per_corner);
      outline.push_back(middle + radius * Vec2(std::cos(a), std::sin(a)));
    }
  }
  return outline;
}

shape::Mesh plate(const std::vector<Vec2>& outline, double y, double thickness) {
  Diagnostics none;
  auto mesh = shape::make_profile(outline, Vec3(0.0, y, 0.0), shape::Axis::y, thickness, {}, none);
  BIGHT_CHECK(mesh);
  return std::move(*mesh);
}

}  // namespace

shape::Mesh make_link_mesh(const plan::Chain& chain) {
  const double wall = std::max(0.5 * (chain.outer_width - chain.inner_width), 1.0);
  const double bar = std::max(0.5 * (chain.outer_height - chain.inner_height), 1.0);
  const double half_width = 0.5 * chain.outer_width;
  // A little shorter than the pitch, so that one link can be told from the next.
  const double length = 0.94 * chain.pitch;
  const double radius = 0.30 * std::min(length, chain.outer_height);
  const auto outline = rounded(length, chain.outer_height, radius);
  shape::Mesh mesh = plate(outline, -half_width, wall);
  mesh = shape::merged(std::move(mesh), plate(outline, half_width - wall, wall));
  const double bar_length = 0.42 * chain.pitch;
  const double inside = chain.outer_width - 2.0 * wall;
  for (const double z : {-0.5 * chain.outer_height, 0.5 * chain.outer_height - bar}) {
    mesh = shape::merged(std::move(mesh), shape::make_box(Vec3(-0.5 * bar_length, -0.5 * inside, z),
                                                          Vec3(bar_length, inside, bar)));
  }
  return mesh;
}

shape::Mesh make_bracket_mesh(const plan::Chain& chain) {
  const double length = 0.9 * chain.pitch;
  const double height = 0.8 * chain.outer_height;
  const double radius = 0.2 * std::min(length, height);
  return shape::placed(
      plate(rounded(length, height, radius), -0.5 * chain.outer_width, chain.outer_width),
      Mat3(1.0), Vec3(-0.5 * length, 0.0, 0.0));
}

}  // namespace bight::picture
