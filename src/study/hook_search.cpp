#include "study/hook_search.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "study/hook_surface.h"

namespace bight::study {
namespace {

constexpr int k_cells = 14;  ///< of the coarse grid, each way

/// The places of one surface.
class PlaceSearch {
 public:
  PlaceSearch(const Context& context, const FreeRun& run, bool start,
              const HookSearchOptions& options)
      : context_(context), run_(run), start_(start), options_(options) {}

  void add_places(const HookSurface& surface, std::vector<HookPlace>& places) const {
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

  std::optional<HookPlace> place_at(const Vec3& at, const HookSurface& surface) const {
    FreeRun moved = run_;
    Vec3& end = start_ ? moved.anchors.start : moved.anchors.end;
    const double distance = glm::length(at - end);
    if (distance < options_.step_mm) return {};  // that is where it is now
    end = at;
    const RunWindow window = window_of(context_, moved);
    const double length = free::length_to_cut(window.min_mm, window.max_mm);
    const bool wide = window.max_mm - window.min_mm >= options_.window_mm &&
                      length + 0.5 * options_.window_mm <= window.max_mm;
    if (!wide) return {};
    return HookPlace{at, distance, length, surface.where};
  }

  /// Pattern search for less to move, down to the step of the places.
  HookPlace refined(HookPlace best, const HookSurface& surface, int u, int v, double step) const {
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
  const PlaceSearch search(context, run, start, options);
  std::vector<HookPlace> places;
  for (const HookSurface& surface : hook_surfaces(context, run, start)) {
    if (is_cancelled(context.options.progress)) break;
    search.add_places(surface, places);
  }
  return places;
}

}  // namespace bight::study
