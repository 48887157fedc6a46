#include "report/reach.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "report/json_value.h"
#include "report/page.h"
#include "report/table.h"
#include "report/text.h"

namespace bight::report {
namespace {

/// A number of the map, without its unit.
std::string plain(double mm, LengthUnit unit) {
  if (!std::isfinite(mm)) return "x";
  return unit == LengthUnit::inch ? fixed(mm / k_mm_per_inch, 2) : fixed(mm, 0);
}

/// "X 30 to 1250, Y 50 to 830 mm": what the map covers.
std::string extent_text(const clearance::BedMap& map, LengthUnit unit) {
  const auto span = [&](double from, std::size_t cells) {
    return plain(from, unit) + " to " +
           plain(from + static_cast<double>(cells) * map.grid.cell_mm, unit);
  };
  return "X " + span(map.grid.from.x, map.columns) + ", Y " + span(map.grid.from.y, map.rows) +
         (unit == LengthUnit::inch ? " in" : " mm");
}

/// The height that is printed for every cell of the map; nothing where they differ.
std::optional<std::string> height_of_all(const clearance::BedMap& map, LengthUnit unit) {
  std::optional<std::string> height;
  for (const clearance::BedHeight& cell : map.cells) {
    if (!cell.covered) return {};
    const std::string here = plain(cell.upper_mm, unit);
    if (height && *height != here) return {};
    height = here;
  }
  return height;
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
  const std::string cells = "cells of " + length_text(map.grid.cell_mm, unit, 0);
  const auto same = height_of_all(map, unit);
  std::string text;
  if (same && *same != "x") {
    text = "  " +
           wrapped("the tip gets down to Z " + *same + " everywhere over " +
                       extent_text(map, unit) + " (proved clear, " + cells + ")",
                   k_page_width, 2) +
           "\n";
  } else {
    text = "  lowest Z of the tip that is proved clear over the whole cell (" + cells +
           ", x: none):\n\n" + table_text(rows, std::vector<Align>(map.columns + 1, Align::right));
  }
  if (stops.empty())
    return text + "\n  no part stops the tip before its travel ends (chains are not in this map)\n";
  text += "\n";
  for (const auto& [pair, cells] : stops) {
    text +=
        "  stopped by " + reach.blocked_by[pair] + " in " + counted(cells, "cell", "cells") + "\n";
  }
  return text;
}

}  // namespace

std::string reach_text(const plan::Plan& plan, const study::StudyResult& result,
                       const study::ReachMap& map) {
  std::string text = option_label(result.option) + ": " + study::to_text(result.verdict) + "\n";
  text += "  " + share_text(result.reach) + "\n";
  bool short_of = false;
  for (const study::Finding& f : result.findings) {
    short_of = short_of || f.check == "reach";
    // What stops is the reason for the exit code, whatever check it comes from.
    const bool concerns = f.check == "reach" || f.check == "mesh";
    if (f.severity == study::Severity::stop || concerns) text += finding_text(plan, result, f);
  }
  if (!short_of && !plan.work_areas.empty()) {
    std::string areas;
    for (const plan::WorkArea& area : plan.work_areas) {
      areas += (areas.empty() ? "" : ", ") + area.name;
    }
    text +=
        "  " +
        wrapped("the travel brings the tip to every point of " + areas + " (proved; contact aside)",
                k_page_width, 2) +
        "\n";
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
  Json options = Json::array();
  for (std::size_t i = 0; i < results.size(); ++i) {
    const study::StudyResult& result = results[i];
    const clearance::BedMap& map = maps[i].map;
    Json option = {{"name", result.option},
                   {"about", result.about},
                   {"verdict", study::to_text(result.verdict)}};
    option["findings"] = Json::array();
    for (const study::Finding& f : result.findings) {
      option["findings"].push_back(finding_json(result, f));
    }
    option["reach"] = reach_figures_json(result.reach);
    option["bed_map"] = nullptr;
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
      option["bed_map"] = {{"from_mm", point(map.grid.from)},
                           {"cell_mm", map.grid.cell_mm},
                           {"columns", map.columns},
                           {"rows", map.rows},
                           {"cells", std::move(cells)}};
    }
    options.push_back(std::move(option));
  }
  return document_text(document_head(plan), std::move(options));
}

}  // namespace bight::report
