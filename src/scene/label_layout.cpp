#include "scene/label_layout.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace bight::scene {
namespace {

/// Where the box lies to its point, best first: right, upper right, above, left, ...
constexpr std::array<Vec2, 12> k_sides{{{1.0, 0.0},
                                        {1.0, -1.0},
                                        {0.0, -1.0},
                                        {-1.0, 0.0},
                                        {-1.0, -1.0},
                                        {1.0, 1.0},
                                        {0.0, 1.0},
                                        {-1.0, 1.0},
                                        {1.0, -0.5},
                                        {-1.0, -0.5},
                                        {1.0, 0.5},
                                        {-1.0, 0.5}}};

Rect beside(const LabelRequest& request, const Vec2& side, double gap) {
  // The nearest point of the box is `gap` away along the side's direction.
  const Vec2 outward = side / std::max(std::abs(side.x), std::abs(side.y));
  const Vec2 middle = request.at + outward * (gap + 0.5 * request.size);
  const Vec2 lower{std::round(middle.x - 0.5 * request.size.x),
                   std::round(middle.y - 0.5 * request.size.y)};
  return {lower, lower + request.size};
}

bool is_free(const Rect& box, const Rect& area, const std::vector<Rect>& taken) {
  return box.inside(area) && std::none_of(taken.begin(), taken.end(),
                                          [&](const Rect& other) { return box.overlaps(other); });
}

std::optional<LabelPlace> find_place(const LabelRequest& request, const Rect& area,
                                     const std::vector<Rect>& taken) {
  constexpr int k_near_rounds = 3;
  constexpr int k_most_rounds = 24;
  constexpr double k_growth = 1.6;
  const Vec2 extent = area.upper - area.lower;
  const double farthest = request.must ? std::max(extent.x, extent.y) : request.gap * 12.0;
  double gap = std::max(request.gap, 1.0);
  for (int round = 0; round < k_most_rounds && gap <= farthest; ++round) {
    for (const Vec2& side : k_sides) {
      const Rect box = beside(request, side, gap);
      if (is_free(box, area, taken)) return LabelPlace{box, round >= k_near_rounds};
    }
    gap *= k_growth;
  }
  return {};
}

}  // namespace

std::vector<std::optional<LabelPlace>> place_labels(const std::vector<LabelRequest>& requests,
                                                    const Rect& area,
                                                    const std::vector<Rect>& taken) {
  std::vector<std::size_t> order(requests.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return requests[a].priority > requests[b].priority;
  });
  std::vector<Rect> occupied = taken;
  std::vector<std::optional<LabelPlace>> places(requests.size());
  for (const std::size_t i : order) {
    const LabelRequest& request = requests[i];
    const bool seen = std::isfinite(request.at.x) && std::isfinite(request.at.y) &&
                      request.at.x >= area.lower.x && request.at.y >= area.lower.y &&
                      request.at.x <= area.upper.x && request.at.y <= area.upper.y;
    if (!seen) continue;
    places[i] = find_place(request, area, occupied);
    if (places[i]) occupied.push_back(places[i]->box);
  }
  return places;
}

}  // namespace bight::scene
