#include "picture/support_bars.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bight::picture {
namespace {

constexpr double k_rail_mm = 6.0;
constexpr double k_below_rail_mm = 30.0;
const Vec3 k_up(0.0, 0.0, 1.0);

using Bars = std::vector<RoundBar>;

Vec3 track_of(const plan::Support& support) {
  return support.track.value_or(Vec3(1.0, 0.0, 0.0));
}

void add_trolley(Bars& bars, const Vec3& hold, const Vec3& along) {
  constexpr double k_half_mm = 18.0;
  const Vec3 axle = hold + k_below_rail_mm * k_up;
  bars.push_back({{axle - k_half_mm * along, axle + k_half_mm * along}, 1.8 * k_rail_mm});
  bars.push_back({{hold, axle}, 0.5 * k_rail_mm});
}

/// A hook open to the front, its bearing at the support's place.
Bars hook(const SupportPlace& place) {
  constexpr double k_wire_mm = 3.5;
  constexpr double k_bend_mm = 14.0;
  constexpr double k_shank_mm = 60.0;
  const Vec3 at = place.at;
  const double top =
      std::min(at.z + 2.0 * k_bend_mm + k_shank_mm, place.ceiling_z.value_or(at.z + 1e3));
  const Vec3 middle = at + Vec3(0.0, 0.0, k_bend_mm - k_wire_mm);
  std::vector<Vec3> points{
      Vec3(middle.x, middle.y, std::max(top, middle.z + k_bend_mm + k_wire_mm))};
  constexpr int k_steps = 18;
  for (int i = 0; i <= k_steps; ++i) {
    const double a = std::numbers::pi * (0.5 - 1.4 * i / k_steps);
    points.push_back(middle + k_bend_mm * Vec3(std::cos(a), 0.0, std::sin(a)));
  }
  constexpr double k_plate_mm = 5.0;
  constexpr double k_plate_radius_mm = 22.0;
  const Vec3 top_of_shank = points.front();
  return {{{top_of_shank - Vec3(0.0, 0.0, k_plate_mm), top_of_shank}, k_plate_radius_mm},
          {std::move(points), k_wire_mm}};
}

Bars trolley(const plan::Support& support, const SupportPlace& place) {
  const Vec3 along = track_of(support);
  const Vec3 rail = place.at + k_below_rail_mm * k_up;
  Bars bars{{{rail + support.range[0] * along, rail + support.range[1] * along}, k_rail_mm}};
  add_trolley(bars, place.carried, along);
  return bars;
}

Bars festoon(const plan::Support& support, const SupportPlace& place) {
  const Vec3 along = track_of(support);
  const double reach = glm::dot(place.tow - place.at, along);
  const Vec3 rail = place.at + k_below_rail_mm * k_up;
  Bars bars{{{rail, rail + reach * along}, k_rail_mm}};
  for (int i = 0; i <= support.loops; ++i) {
    add_trolley(bars, place.at + reach * i / std::max(support.loops, 1) * along, along);
  }
  return bars;
}

Bars boom(const plan::Support& support, const SupportPlace& place) {
  constexpr double k_post_mm = 16.0;
  const Vec3 at = place.at;
  const double foot = place.floor_z.value_or(at.z - support.arm);
  return {{{Vec3(at.x, at.y, foot), at + 2.0 * k_post_mm * k_up}, k_post_mm},
          {{at, place.carried}, 0.6 * k_post_mm}};
}

Bars pulley(const SupportPlace& place) {
  constexpr double k_wheel_mm = 22.0;
  constexpr int k_steps = 28;
  const Vec3 at = place.at;
  std::vector<Vec3> rim;
  for (int i = 0; i <= k_steps; ++i) {
    const double a = 2.0 * std::numbers::pi * i / k_steps;
    rim.push_back(at + k_wheel_mm * Vec3(std::cos(a), 0.0, std::sin(a) - 1.0));
  }
  const Vec3 axle = at - k_wheel_mm * k_up;
  Bars bars{{std::move(rim), 4.0}, {{axle, axle + 3.0 * k_wheel_mm * k_up}, 4.0}};
  if (place.tie_off) bars.push_back({{at, *place.tie_off}, 2.0});
  if (place.beyond_pulley) {
    constexpr double k_height_mm = 80.0;
    const Vec3 end = place.beyond_pulley->points.back();
    bars.push_back(*place.beyond_pulley);
    bars.push_back({{end, end - Vec3(0.0, 0.0, k_height_mm)}, 26.0});
  }
  return bars;
}

Bars retractor(const SupportPlace& place) {
  constexpr double k_housing_mm = 48.0;
  const Vec3 middle = place.at + k_housing_mm * k_up;
  const Vec3 half(0.0, 18.0, 0.0);
  return {{{middle - half, middle + half}, k_housing_mm}};
}

/// An elastic cord, told from a line by its turns: as many however far it is stretched.
std::vector<Vec3> coil(const Vec3& from, const Vec3& to) {
  const Vec3 way = to - from;
  if (!(glm::length(way) > 1.0)) return {from, to};
  constexpr int k_turns = 16;
  constexpr int k_steps = 10;
  constexpr double k_radius_mm = 8.0;
  constexpr double k_straight = 0.12;  // of the way, at each end
  const Vec3 along = glm::normalize(way);
  const Vec3 side = std::abs(along.z) > 0.9 ? Vec3(1.0, 0.0, 0.0) : Vec3(0.0, 0.0, 1.0);
  const Vec3 u = glm::normalize(glm::cross(along, side));
  const Vec3 v = glm::cross(along, u);
  std::vector<Vec3> points{from};
  constexpr int k_count = k_turns * k_steps;
  for (int i = 0; i <= k_count; ++i) {
    const double t = k_straight + (1.0 - 2.0 * k_straight) * i / k_count;
    const double a = 2.0 * std::numbers::pi * i / k_steps;
    points.push_back(from + t * way + k_radius_mm * (std::cos(a) * u + std::sin(a) * v));
  }
  points.push_back(to);
  return points;
}

}  // namespace

std::vector<RoundBar> support_bars(const plan::Support& support, const SupportPlace& place) {
  switch (support.kind) {
    case plan::SupportKind::hook:
      return hook(place);
    case plan::SupportKind::trolley:
      return trolley(support, place);
    case plan::SupportKind::festoon:
      return festoon(support, place);
    case plan::SupportKind::boom:
      return boom(support, place);
    case plan::SupportKind::pulley:
      return pulley(place);
    case plan::SupportKind::retractor:
      return retractor(place);
    case plan::SupportKind::cord:
      return {{coil(place.at, place.carried), 1.8}, {{place.at, place.at + 6.0 * k_up}, 14.0}};
  }
  return {};
}

}  // namespace bight::picture
