#include "report/hooks.h"

#include <algorithm>
#include <cmath>

#include "report/json_value.h"
#include "report/page.h"

namespace bight::report {
namespace {

constexpr int k_columns = 60;
constexpr double k_letter_ratio = 2.0;  // a letter of a terminal is about twice as high as wide
constexpr int k_most_rows = 30;

std::string option_name(const plan::Plan& plan) {
  return plan.chosen_option.empty() ? plan::k_base_option : plan.chosen_option;
}

/// The finest cell that holds a place, or nullptr.
const free::HookCell* cell_at(const free::HookMap& map, const Vec2& at) {
  const free::HookCell* found = nullptr;
  for (const free::HookCell& cell : map.cells) {
    const Vec2& low = map.places[cell.corner[0]].at;
    const Vec2& high = map.places[cell.corner[3]].at;
    const bool inside = at.x >= low.x && at.x <= high.x && at.y >= low.y && at.y <= high.y;
    if (inside && (found == nullptr || cell.level > found->level)) found = &cell;
  }
  return found;
}

/// Share of the sides of the map at which a place lies.
Vec2 on_area(const free::HookArea& area, const Vec3& place) {
  const auto share = [&](const Vec3& side) {
    const double square = glm::dot(side, side);
    return square > 0.0 ? glm::dot(place - area.corner, side) / square : 0.0;
  };
  return {share(area.across), share(area.up)};
}

char letter(const study::HookMap& hook, const Vec2& at) {
  const free::HookCell* cell = cell_at(hook.map, at);
  if (cell == nullptr) return ' ';
  switch (cell->kind) {
    case free::HookCellKind::works:
      return '#';
    case free::HookCellKind::border:
      return '+';
    case free::HookCellKind::fails:
      break;
  }
  return '.';
}

std::string axis_of(const Vec3& side) {
  return std::abs(side.x) > 0.0 ? "X" : std::abs(side.y) > 0.0 ? "Y" : "Z";
}

std::string letters_text(const plan::Plan& plan, const study::HookMap& hook) {
  const LengthUnit unit = unit_of(plan);
  const double across = glm::length(hook.area.across);
  const double up = glm::length(hook.area.up);
  if (!(across > 0.0 && up > 0.0)) return "";
  const int columns = k_columns;
  const int rows = std::clamp(static_cast<int>(std::lround(up / across * columns / k_letter_ratio)),
                              2, k_most_rows);
  std::vector<std::string> map(static_cast<std::size_t>(rows));
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      map[static_cast<std::size_t>(r)] += letter(hook, {(c + 0.5) / columns, (r + 0.5) / rows});
    }
  }
  const auto mark = [&](const Vec3& place, char with) {
    const Vec2 at = on_area(hook.area, place);
    if (!(at.x >= 0.0 && at.x <= 1.0 && at.y >= 0.0 && at.y <= 1.0)) return;
    const auto r = static_cast<std::size_t>(std::min(rows - 1, static_cast<int>(at.y * rows)));
    const auto c =
        static_cast<std::size_t>(std::min(columns - 1, static_cast<int>(at.x * columns)));
    map[r][c] = with;
  };
  if (hook.now_is_on_surface) mark(hook.now.place, 'o');
  if (hook.map.best) mark(hook.map.places[*hook.map.best].place, '*');
  const std::string axis_up = axis_of(hook.area.up);
  const std::string axis_across = axis_of(hook.area.across);
  const auto value = [&](const Vec3& p, const std::string& axis) {
    return length_text(axis == "X" ? p.x : axis == "Y" ? p.y : p.z, unit, 0);
  };
  const Vec3& corner = hook.area.corner;
  const Vec3 far = corner + hook.area.across + hook.area.up;
  std::string text = "    " + axis_up + " " + value(far, axis_up) + "\n";
  for (std::size_t r = map.size(); r-- > 0;) text += "    |" + map[r] + "|\n";
  text += "    " + axis_up + " " + value(corner, axis_up) + "\n    " + axis_across + " " +
          value(corner, axis_across) + " to " + value(far, axis_across) + "; a letter is " +
          length_text(across / columns, unit, 0) + " by " + length_text(up / rows, unit, 0) + "\n";
  return text + "    # a length works   + border   . none works   * best   o where it is now\n";
}

std::string window_text(const free::HookPlaceWindow& p, LengthUnit unit) {
  if (p.status == free::WindowStatus::invalid) return "not known";
  if (!(p.min_mm <= p.max_mm)) {
    return std::isfinite(p.margin_mm)
               ? "no length works (" + length_text(-p.margin_mm, unit, 0) + " are lacking)"
               : "no length works";
  }
  return length_text(p.recommended_mm, unit, 0) + " (from " +
         length_text_at_least(p.min_mm, unit, 0) +
         (std::isfinite(p.max_mm) ? " to " + length_text_at_most(p.max_mm, unit, 0) + ", margin " +
                                        length_text(p.margin_mm, unit, 0)
                                  : ", no limit from above") +
         ")";
}

Json place_json(const free::HookPlaceWindow& p) {
  return {{"place_mm", point(p.place)},
          {"works", p.works},
          {"min_mm", number(p.min_mm)},
          {"max_mm", number(p.max_mm)},
          {"length_mm", p.works ? number(p.recommended_mm) : Json(nullptr)},
          {"margin_mm", number(p.margin_mm)}};
}

Json map_json(const study::HookMap& hook) {
  const free::HookMap& map = hook.map;
  Json places = Json::array();
  for (const free::HookPlaceWindow& p : map.places) places.push_back(place_json(p));
  Json cells = Json::array();
  for (const free::HookCell& cell : map.cells) {
    const char* kind = cell.kind == free::HookCellKind::works    ? "works"
                       : cell.kind == free::HookCellKind::border ? "border"
                                                                 : "fails";
    cells.push_back({{"corners", {cell.corner[0], cell.corner[1], cell.corner[2], cell.corner[3]}},
                     {"kind", kind}});
  }
  return {{"run", hook.run},
          {"leg", hook.leg},
          {"hold", hook.hold},
          {"post", hook.is_post},
          {"where", hook.where},
          {"corner_mm", point(hook.area.corner)},
          {"across_mm", point(hook.area.across)},
          {"up_mm", point(hook.area.up)},
          {"step_mm", map.step_mm},
          {"works_share", map.works_share},
          {"border_share", map.border_share},
          {"now", place_json(hook.now)},
          {"best", map.best ? place_json(map.places[*map.best]) : Json(nullptr)},
          {"places", std::move(places)},
          {"cells", std::move(cells)}};
}

}  // namespace

std::string hooks_text(const plan::Plan& plan, const study::HookMaps& maps) {
  const LengthUnit unit = unit_of(plan);
  std::string text = option_label(plan.chosen_option) + "\n";
  if (!maps.problem.empty()) return text + "  " + maps.problem + "\n";
  for (const study::HookMap& hook : maps.maps) {
    text += "  " + hook.run + ", " + (hook.is_post ? "post of " : "") + hook.hold + " " +
            hook.where + "\n" + letters_text(plan, hook);
    text +=
        "    now   " + point_text(hook.now.place, unit) + ": " + window_text(hook.now, unit) + "\n";
    if (hook.map.best) {
      const free::HookPlaceWindow& best = hook.map.places[*hook.map.best];
      text += "    best  " + point_text(best.place, unit) + ": " + window_text(best, unit) + "\n";
    } else {
      text += "    best  no place of this surface works\n";
    }
    text += "    looked at " + std::to_string(hook.map.places.size()) + " places, cells down to " +
            length_text(hook.map.step_mm, unit, 0) +
            "; what the line comes near to is for bight check\n";
  }
  return text;
}

std::string hooks_json(const std::vector<plan::Plan>& plans,
                       const std::vector<study::HookMaps>& maps) {
  Json json = {
      {"format", 1}, {"plan", plans.empty() ? "" : plans.front().file}, {"options", Json::array()}};
  for (std::size_t i = 0; i < maps.size(); ++i) {
    Json all = Json::array();
    for (const study::HookMap& hook : maps[i].maps) all.push_back(map_json(hook));
    json["options"].push_back(
        {{"name", option_name(plans[i])}, {"problem", maps[i].problem}, {"maps", std::move(all)}});
  }
  return json.dump(2) + "\n";
}

}  // namespace bight::report
