#include "study/hook_surface.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "shape/mesh.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

constexpr double k_on_mm = 300.0;      ///< a hold this near to a wall or ceiling is on it
constexpr double k_around_mm = 400.0;  ///< looked at around the travel of the other end

constexpr double k_play_mm = 10.0;  ///< between a ceiling and a line at its clearance; heights are
                                    ///< multiples of it

struct Wall {
  Box box;
  std::string name;
};

std::vector<Wall> walls_of(const Context& context) {
  std::vector<Wall> walls;
  for (const machine::PlacedPart& part : context.machine.parts) {
    if (part.role != plan::Role::surroundings || part.body != 0) continue;
    walls.push_back({shape::bounds(part.solid->mesh), part.name});
  }
  return walls;
}

/// Where the other end of the run goes, and where this one is.
Box region_of(const FreeRun& run, bool start) {
  Box box;
  for (const free::Pose& pose : free::corner_poses(run.anchors)) {
    box.extend(start ? free::end_at(run.anchors, pose) : free::start_at(run.anchors, pose));
  }
  box.lower -= Vec3(k_around_mm);
  box.upper += Vec3(k_around_mm);
  box.extend(start ? run.anchors.start : run.anchors.end);
  return box;
}

Box common(Box a, const Box& b) {
  a.lower = glm::max(a.lower, b.lower);
  a.upper = glm::min(a.upper, b.upper);
  return a;
}

/// The wall, ceiling or cabinet side that the hold is on.
std::optional<HookSurface> own_surface(const std::vector<Wall>& walls, const Vec3& at,
                                       const Box& region) {
  std::optional<HookSurface> best;
  double nearest = k_on_mm;
  for (const Wall& wall : walls) {
    for (int axis = 0; axis < 3; ++axis) {
      const double gap = std::max(wall.box.lower[axis] - at[axis], at[axis] - wall.box.upper[axis]);
      bool beside = gap >= 0.0 && gap < nearest;
      for (int k = 0; k < 3; ++k) {
        beside =
            beside && (k == axis || (at[k] >= wall.box.lower[k] && at[k] <= wall.box.upper[k]));
      }
      if (!beside) continue;
      nearest = gap;
      Box face = wall.box;
      face.lower[axis] = face.upper[axis] = at[axis];
      Box area = region;
      area.lower[axis] = area.upper[axis] = at[axis];
      best = HookSurface{axis, at[axis], common(area, face), "along " + wall.name};
    }
  }
  return best;
}

/// Under the lowest thing that hangs over the whole travel of the other end.
std::optional<HookSurface> ceiling(const Context& context, const FreeRun& run,
                                   const std::vector<Wall>& walls, const Vec3& at,
                                   const Box& region) {
  std::optional<HookSurface> best;
  double thickest = 0.0;
  for (const plan::Line* line : run.lines) {
    thickest = std::max(thickest, by_name(context.plan.articles, line->article).outside_diameter);
  }
  // The line keeps its distance from the ceiling, too.
  const double standoff = context.plan.rules.free_line_clearance + 0.5 * thickest + k_play_mm;
  const Vec3 middle = region.center();
  for (const Wall& wall : walls) {
    const double level = std::floor((wall.box.lower.z - standoff) / k_play_mm) * k_play_mm;
    const bool over = wall.box.lower.x <= middle.x && middle.x <= wall.box.upper.x &&
                      wall.box.lower.y <= middle.y && middle.y <= wall.box.upper.y;
    if (!over || level < at.z || (best && level > best->level)) continue;
    Box area = region;
    area.lower.z = area.upper.z = level;
    Box face = wall.box;
    face.lower.z = face.upper.z = level;
    best = HookSurface{2, level, common(area, face), "under " + wall.name};
  }
  return best;
}

/// Does the straight way from `a` to `b` meet the inside of a box? (Slabs; Kay and Kajiya 1986.)
bool crosses(const Box& box, const Vec3& a, const Vec3& b) {
  double first = 0.0;
  double last = 1.0;
  for (int k = 0; k < 3; ++k) {
    const double d = b[k] - a[k];
    if (d == 0.0) {
      if (!(a[k] > box.lower[k] && a[k] < box.upper[k])) return false;
      continue;
    }
    const double t0 = (box.lower[k] - a[k]) / d;
    const double t1 = (box.upper[k] - a[k]) / d;
    first = std::max(first, std::min(t0, t1));
    last = std::min(last, std::max(t0, t1));
  }
  return first < last;
}

bool holds(const Box& box, const Vec3& p) {
  bool inside = true;
  for (int k = 0; k < 3; ++k) inside = inside && p[k] >= box.lower[k] && p[k] <= box.upper[k];
  return inside;
}

}  // namespace

std::vector<HookSurface> hook_surfaces(const Context& context, const FreeRun& run, bool start) {
  const Vec3 at = start ? run.anchors.start : run.anchors.end;
  const Box region = region_of(run, start);
  const std::vector<Wall> walls = walls_of(context);
  Box level = region;
  level.lower.z = level.upper.z = at.z;
  std::vector<HookSurface> surfaces;
  if (auto own = own_surface(walls, at, region)) surfaces.push_back(std::move(*own));
  if (auto above = ceiling(context, run, walls, at, region)) surfaces.push_back(std::move(*above));
  if (surfaces.empty() || surfaces.front().axis != 2) {
    surfaces.push_back({2, at.z, level, "level with where it is now"});
  }
  const std::optional<double>& highest = context.plan.rules.highest_hook;
  if (!highest) return surfaces;
  std::vector<HookSurface> low;
  for (HookSurface& surface : surfaces) {
    surface.area.upper.z = std::min(surface.area.upper.z, *highest);
    if (surface.area.lower.z <= surface.area.upper.z) low.push_back(std::move(surface));
  }
  return low;
}

bool can_be_held_at(const Context& context, const Vec3& from, const Vec3& to) {
  const std::optional<double>& highest = context.plan.rules.highest_hook;
  if (highest && to.z > *highest) return false;
  return std::none_of(context.machine.parts.begin(), context.machine.parts.end(),
                      [&](const machine::PlacedPart& part) {
                        if (part.body != 0) return false;
                        const Box box = shape::bounds(part.solid->mesh);
                        return !holds(box, from) && crosses(box, from, to);
                      });
}

}  // namespace bight::study
