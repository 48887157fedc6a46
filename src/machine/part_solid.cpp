#include "machine/part_solid.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "shape/primitive.h"

namespace bight::machine {

namespace {

/// mm. A part further from the origin than this has a wrong unit: no machine is a kilometre long,
/// and far away the clearance tolerance runs out of digits.
constexpr double k_reach_limit_mm = 1e6;

shape::Axis axis_of(plan::AxisLetter letter) {
  switch (letter) {
    case plan::AxisLetter::x:
      return shape::Axis::x;
    case plan::AxisLetter::y:
      return shape::Axis::y;
    case plan::AxisLetter::z:
      break;
  }
  return shape::Axis::z;
}

/// The part as drawn, before it is turned: its `at` is where the turn is made about.
std::optional<shape::Mesh> unturned_mesh(const plan::Part& part, const shape::Mesh* mesh,
                                         Diagnostics& diagnostics) {
  switch (part.shape) {
    case plan::ShapeKind::box:
      return shape::make_box(Vec3(0.0), part.size);
    case plan::ShapeKind::cylinder:
      return shape::make_cylinder(Vec3(0.0), axis_of(part.along), part.length, part.diameter);
    case plan::ShapeKind::capsule:
      return shape::make_capsule(Vec3(0.0), axis_of(part.along), part.length, part.diameter);
    case plan::ShapeKind::profile:
      return shape::make_profile(part.outline, Vec3(0.0), axis_of(part.along), part.length,
                                 part.place, diagnostics);
    case plan::ShapeKind::mesh:
      break;
  }
  if (mesh == nullptr) return std::nullopt;
  return *mesh;
}

bool within_reach(const Box& box) {
  const Vec3 furthest = glm::max(glm::abs(box.lower), glm::abs(box.upper));
  return std::max({furthest.x, furthest.y, furthest.z}) <= k_reach_limit_mm;
}

}  // namespace

std::shared_ptr<const shape::Solid> make_part_solid(const plan::Part& part, const shape::Mesh* mesh,
                                                    Diagnostics& diagnostics) {
  std::optional<shape::Mesh> drawn = unturned_mesh(part, mesh, diagnostics);
  if (!drawn) return nullptr;
  shape::Mesh in_place =
      part.turn == Vec3(0.0)
          ? shape::translated(*std::move(drawn), part.at)
          : shape::placed(*std::move(drawn), shape::turn_matrix(part.turn), part.at);
  const Box box = shape::bounds(in_place);
  if (!within_reach(box)) {
    const Vec3 size = box.size();
    diagnostics.error(
        part.place, fmt::format("part \"{}\" reaches further than 1 km from the origin", part.name),
        fmt::format("{:.4g} x {:.4g} x {:.4g} mm", size.x, size.y, size.z),
        part.shape == plan::ShapeKind::mesh ? "look at file_unit" : "");
    return nullptr;
  }
  return std::make_shared<const shape::Solid>(shape::make_solid(std::move(in_place)));
}

}  // namespace bight::machine
