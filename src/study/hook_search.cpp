#include "study/hook_search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "base/box.h"
#include "shape/mesh.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

constexpr int k_cells = 14;            ///< of the coarse grid, each way
constexpr double k_on_mm = 300.0;      ///< a hold this near to a wall or ceiling is on it
constexpr double k_around_mm = 400.0;  ///< looked at around the travel of the other end

constexpr double k_play_mm = 10.0;  ///< between a ceiling and a line at its clearance; heights are
                                    ///< multiples of it

/// A plane across `axis`, and the stretch of it that is looked at.
struct Surface {
  int axis = 2;
  double level = 0.0;
  Box area;
  std::string where;
};

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
std::optional<Surface> own_surface(const std::vector<Wall>& walls, const Vec3& at,
                                   const Box& region) {
  std::optional<Surface> best;
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
      best = Surface{axis, at[axis], common(area, face), "along " + wall.name};
    }
  }
  return best;
}

/// Under the lowest thing that hangs over the whole travel of the other end.
std::optional<Surface> ceiling(const Context& context, const FreeRun& run,
                               const std::vector<Wall>& walls, const Vec3& at, const Box& region) {
  std::optional<Surface> best;
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
    best = Surface{2, level, common(area, face), "under " + wall.name};
  }
  return best;
}

/// The places of one surface.
class PlaceSearch {
 public:
  PlaceSearch(const Context& context, const FreeRun& run, bool start,
              const HookSearchOptions& options)
      : context_(context), run_(run), start_(start), options_(options) {}

  void add_places(const Surface& surface, std::vector<HookPlace>& places) const {
    const Vec3 size = surface.area.upper - surface.area.lower;
    const int u = surface.axis == 0 ? 1 : 0;
    const int v = surface.axis == 2 ? 1 : 2;
    if (!(size[u] >= 0.0 && size[v] >= 0.0)) return;
    std::vector<HookPlace> open;
    for (int i = 0; i <= k_cells; ++i) {
      for (int j = 0; j <= k_cells; ++j) {
        Vec3 at = surface.area.lower;
        at[surface.axis] = surface.level;
        at[u] = rounded(at[u] + size[u] * i / k_cells);
        at[v] = rounded(at[v] + size[v] * j / k_cells);
        if (auto place = place_at(at, surface)) open.push_back(std::move(*place));
      }
    }
    const auto nearer = [](const HookPlace& a, const HookPlace& b) {
      return a.moved_mm < b.moved_mm;
    };
    std::stable_sort(open.begin(), open.end(), nearer);
    if (open.empty()) return;
    HookPlace nearest = refined(open.front(), surface, u, v, std::max(size[u], size[v]) / k_cells);
    if (nearest.moved_mm < open.front().moved_mm) open.insert(open.begin(), std::move(nearest));
    // Neighbours tend to fail for one reason: spread over all distances.
    const std::size_t count = std::min(options_.places, open.size());
    for (std::size_t k = 0; k < count; ++k) {
      places.push_back(open[count < 2 ? 0 : k * (open.size() - 1) / (count - 1)]);
    }
  }

 private:
  double rounded(double mm) const { return std::round(mm / options_.step_mm) * options_.step_mm; }

  std::optional<HookPlace> place_at(const Vec3& at, const Surface& surface) const {
    FreeRun moved = run_;
    Vec3& end = start_ ? moved.anchors.start : moved.anchors.end;
    const double distance = glm::length(at - end);
    if (distance < options_.step_mm) return {};  // that is where it is now
    end = at;
    const RunWindow window = window_of(context_, moved);
    const double length = std::ceil(window.min_mm / 10.0) * 10.0;
    const bool wide = window.max_mm - window.min_mm >= options_.window_mm &&
                      length + 0.5 * options_.window_mm <= window.max_mm;
    if (!wide) return {};
    return HookPlace{at, distance, length, surface.where};
  }

  /// Pattern search for less to move, down to the step of the places.
  HookPlace refined(HookPlace best, const Surface& surface, int u, int v, double step) const {
    double h = 0.5 * step;
    while (h >= options_.step_mm) {
      bool again = true;
      while (again) {
        again = false;
        for (const auto& [du, dv] : {std::pair{h, 0.0}, {-h, 0.0}, {0.0, h}, {0.0, -h}}) {
          Vec3 at = best.at;
          at[u] = rounded(at[u] + du);
          at[v] = rounded(at[v] + dv);
          const auto place = place_at(at, surface);
          if (!place || place->moved_mm >= best.moved_mm) continue;
          best = *place;
          again = true;
        }
      }
      h *= 0.5;
    }
    return best;
  }

  const Context& context_;
  const FreeRun& run_;
  bool start_;
  HookSearchOptions options_;
};

}  // namespace

std::vector<HookPlace> find_hook_places(const Context& context, const FreeRun& run, bool start,
                                        const HookSearchOptions& options) {
  const Vec3 at = start ? run.anchors.start : run.anchors.end;
  const Box region = region_of(run, start);
  const std::vector<Wall> walls = walls_of(context);
  Box level = region;
  level.lower.z = level.upper.z = at.z;
  std::vector<Surface> surfaces;
  if (auto own = own_surface(walls, at, region)) surfaces.push_back(std::move(*own));
  if (auto above = ceiling(context, run, walls, at, region)) surfaces.push_back(std::move(*above));
  if (surfaces.empty() || surfaces.front().axis != 2) {
    surfaces.push_back({2, at.z, level, "level with where it is now"});
  }
  const PlaceSearch search(context, run, start, options);
  std::vector<HookPlace> places;
  for (const Surface& surface : surfaces) {
    if (is_cancelled(context.options.progress)) break;
    search.add_places(surface, places);
  }
  return places;
}

}  // namespace bight::study
