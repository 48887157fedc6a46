#include "report/reach.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "base/units.h"
#include "report/table.h"
#include "report/text.h"

namespace bight::report {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

LengthUnit unit_of(const plan::Plan& plan) {
  return plan.inches ? LengthUnit::inch : LengthUnit::mm;
}

/// A number of the map, without its unit.
std::string plain(double mm, LengthUnit unit) {
  if (!std::isfinite(mm)) return "x";
  return unit == LengthUnit::inch ? fixed(mm / k_mm_per_inch, 2) : fixed(mm, 0);
}

std::string map_text(const plan::Plan& plan, const study::ReachMap& reach) {
  const clearance::BedMap& map = reach.map;
  const LengthUnit unit = unit_of(plan);
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> head = {unit == LengthUnit::inch ? "Y \\ X in" : "Y \\ X mm"};
  for (std::size_t c = 0; c < map.columns; ++c) {
    head.push_back(
        plain(map.grid.from.x + (static_cast<double>(c) + 0.5) * map.grid.cell_mm, unit));
  }
  rows.push_back(head);
  std::map<std::uint32_t, std::size_t> stops;  // pair -> cells
  for (std::size_t r = map.rows; r-- > 0;) {
    std::vector<std::string> row = {
        plain(map.grid.from.y + (static_cast<double>(r) + 0.5) * map.grid.cell_mm, unit)};
    for (std::size_t c = 0; c < map.columns; ++c) {
      const clearance::BedHeight& cell = map.cells[r * map.columns + c];
      row.push_back(cell.covered ? plain(cell.upper_mm, unit) : "");
      if (cell.covered && !cell.by_travel) ++stops[cell.pair];
    }
    rows.push_back(std::move(row));
  }
  std::string text = "  lowest Z of the tip that is proved clear over the whole cell (cells of " +
                     length_text(map.grid.cell_mm, unit, 0) + ", x: none):\n\n";
  text += table_text(rows, std::vector<Align>(map.columns + 1, Align::right));
  if (stops.empty())
    return text + "\n  no part stops the tip before its travel ends (chains are not in this map)\n";
  text += "\n";
  for (const auto& [pair, cells] : stops) {
    text += "  stopped by " + reach.blocked_by[pair] + " in " + std::to_string(cells) + " cells\n";
  }
  return text;
}

}  // namespace

std::string reach_text(const plan::Plan& plan, const study::StudyResult& result,
                       const study::ReachMap& map) {
  std::string text = result.option + "\n";
  text += "  " + share_text(result.reach) + "\n";
  bool short_of = false;
  for (const study::Finding& f : result.findings) {
    if (f.check != "reach") continue;
    short_of = true;
    text += "  " + std::string(study::to_text(f.severity)) + "  " + wrapped(f.what, 100, 8) +
            "\n        > " + wrapped(f.advice, 100, 10) + "\n";
  }
  if (!short_of && !plan.work_areas.empty()) {
    text += "  the travel brings the tip to every point of";
    for (std::size_t i = 0; i < plan.work_areas.size(); ++i) {
      text += (i > 0 ? ", " : " ") + plan.work_areas[i].name;
    }
    text += " (proved; contact aside)\n";
  }
  if (!map.map.defined) {
    return text +
           "  no bed map: the plan has no tool, or its joints do not move the tip along X, Y and "
           "Z\n";
  }
  return text + map_text(plan, map);
}

std::string reach_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results,
                       const std::vector<study::ReachMap>& maps) {
  Json json = {{"format", 1}, {"plan", plan.file}, {"options", Json::array()}};
  for (std::size_t i = 0; i < results.size(); ++i) {
    const study::StudyResult& result = results[i];
    const clearance::BedMap& map = maps[i].map;
    Json option = {{"name", result.option},
                   {"reach",
                    {{"volume_mm3", number(result.reach.volume_mm3)},
                     {"volume_lower_mm3", number(result.reach.volume_lower_mm3)},
                     {"volume_upper_mm3", number(result.reach.volume_upper_mm3)},
                     {"share_lower", number(result.reach.share_lower)},
                     {"share_upper", number(result.reach.share_upper)}}}};
    if (map.defined) {
      Json cells = Json::array();
      for (const clearance::BedHeight& cell : map.cells) {
        cells.push_back(
            {{"covered", cell.covered},
             {"lower_mm", number(cell.lower_mm)},
             {"upper_mm", number(cell.upper_mm)},
             {"stopped_by", cell.covered && !cell.by_travel ? Json(maps[i].blocked_by[cell.pair])
                                                            : Json(nullptr)}});
      }
      option["bed_map"] = {{"from_mm", {map.grid.from.x, map.grid.from.y}},
                           {"cell_mm", map.grid.cell_mm},
                           {"columns", map.columns},
                           {"rows", map.rows},
                           {"cells", std::move(cells)}};
    } else {
      option["bed_map"] = nullptr;
    }
    json["options"].push_back(std::move(option));
  }
  return json.dump(2) + "\n";
}

}  // namespace bight::report
