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

/// True when a piece of the segment lies in the box: what is left of it between the box's sides.
bool crosses(const Vec2& from, const Vec2& to, const Rect& box) {
  double enter = 0.0;
  double leave = 1.0;
  for (int i = 0; i < 2; ++i) {
    const double way = to[i] - from[i];
    if (std::abs(way) < 1e-9) {
      if (from[i] <= box.lower[i] || from[i] >= box.upper[i]) return false;
      continue;
    }
    const double a = (box.lower[i] - from[i]) / way;
    const double b = (box.upper[i] - from[i]) / way;
    enter = std::max(enter, std::min(a, b));
    leave = std::min(leave, std::max(a, b));
  }
  return enter < leave;
}

/// What lies on the point itself does not count.
bool is_leader_free(const Vec2& at, const Rect& box, const std::vector<Rect>& taken) {
  const Vec2 end = leader_end(at, box);
  return std::none_of(taken.begin(), taken.end(), [&](const Rect& other) {
    return !other.contains(at) && crosses(at, end, other);
  });
}

std::optional<LabelPlace> find_place(const LabelRequest& request, const Rect& area,
                                     const std::vector<Rect>& taken, bool leader_may_cross) {
  constexpr int k_near_rounds = 3;
  constexpr int k_most_rounds = 24;
  constexpr double k_growth = 1.6;
  const Vec2 extent = area.upper - area.lower;
  const double farthest = request.must ? std::max(extent.x, extent.y) : request.gap * 12.0;
  double gap = std::max(request.gap, 1.0);
  for (int round = 0; round < k_most_rounds && gap <= farthest; ++round) {
    for (const Vec2& side : k_sides) {
      const Rect box = beside(request, side, gap);
      if (!is_free(box, area, taken)) continue;
      const bool leader = round >= k_near_rounds;
      if (leader && !leader_may_cross && !is_leader_free(request.at, box, taken)) continue;
      return LabelPlace{box, leader};
    }
    gap *= k_growth;
  }
  return {};
}

}  // namespace

Vec2 leader_end(const Vec2& at, const Rect& box) {
  return glm::clamp(at, box.lower, box.upper);
}

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
    if (!area.contains(request.at)) continue;
    places[i] = find_place(request, area, occupied, false);
    if (!places[i] && request.must) places[i] = find_place(request, area, occupied, true);
    if (places[i]) occupied.push_back(places[i]->box);
  }
  return places;
}

}  // namespace bight::scene
