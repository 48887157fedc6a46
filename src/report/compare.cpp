#include "report/compare.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "report/cautions.h"
#include "report/json_value.h"
#include "report/page.h"
#include "report/table.h"

namespace bight::report {
namespace {

using Row = std::vector<std::string>;
using study::Margin;
using study::OptionFigures;

/// A value in the unit of its margin.
std::string quantity(const plan::Plan& plan, double value, const std::string& unit) {
  if (std::isnan(value)) return "not known";
  if (std::isinf(value)) return value > 0.0 ? "no limit" : "none";
  if (unit == "mm") return length_text(value, unit_of(plan));
  return fixed(value, unit == "%" ? 2 : 1) + " " + unit;
}

std::string signed_quantity(const plan::Plan& plan, const Margin& m) {
  if (std::isinf(m.margin)) return m.margin > 0.0 ? "no limit" : "none possible";
  return (m.margin >= 0.0 ? "+" : "") + quantity(plan, m.margin, m.unit);
}

const Margin* margin_of(const OptionFigures& option, const std::string& check) {
  for (const Margin& margin : option.margins) {
    if (margin.check == check) return &margin;
  }
  return nullptr;
}

/// Checks in the order in which the options name them first.
std::vector<std::string> checks_of(const study::Comparison& comparison) {
  std::vector<std::string> checks;
  for (const OptionFigures& option : comparison.options) {
    for (const Margin& margin : option.margins) {
      if (std::find(checks.begin(), checks.end(), margin.check) == checks.end()) {
        checks.push_back(margin.check);
      }
    }
  }
  return checks;
}

/// Margins of one check; the least is marked where the options differ.
Row margin_row(const plan::Plan& plan, const study::Comparison& comparison,
               const std::string& check) {
  const Margin* least = nullptr;
  const Margin* most = nullptr;
  for (const OptionFigures& option : comparison.options) {
    const Margin* margin = margin_of(option, check);
    if (margin == nullptr) continue;
    if (least == nullptr || !(margin->margin >= least->margin)) least = margin;
    if (most == nullptr || margin->margin > most->margin) most = margin;
  }
  Row row = {"  " + check};
  for (const OptionFigures& option : comparison.options) {
    const Margin* margin = margin_of(option, check);
    const bool worst =
        margin != nullptr && least->margin != most->margin && margin->margin == least->margin;
    row.push_back(margin == nullptr ? "-" : signed_quantity(plan, *margin) + (worst ? " <" : "  "));
  }
  return row;
}

std::string removal_text(const study::ToolRemoval& removal) {
  std::string text;
  if (!removal.pulled_off.empty()) {
    text = counted(removal.pulled_off.size(), "plug", "plugs");
  }
  if (!removal.unthreaded.empty()) {
    text += (text.empty() ? "" : ", ") + std::to_string(removal.unthreaded.size()) + " freed in " +
            fixed(removal.minutes, 0) + " min";
  }
  return text.empty() ? "nothing to undo" : text;
}

std::string mounting_text(const study::Mounting& m) {
  return std::to_string(m.clips) + " + " + std::to_string(m.supports) + " + " +
         std::to_string(m.anchors) + " + " + std::to_string(m.brackets);
}

std::string figures_table(const plan::Plan& plan, const study::Comparison& comparison) {
  std::vector<Row> rows;
  const auto row = [&](const std::string& name,
                       const std::function<std::string(const OptionFigures&)>& cell) {
    Row cells = {name};
    for (const OptionFigures& option : comparison.options) cells.push_back(cell(option));
    rows.push_back(std::move(cells));
  };
  std::size_t rank = 0;
  row("", [&](const OptionFigures& o) {
    return std::to_string(++rank) + ". " + option_label(o.option);
  });
  row("verdict", [](const OptionFigures& o) { return std::string(study::to_text(o.verdict)); });
  row("stops", [](const OptionFigures& o) { return std::to_string(o.stops.size()); });
  row("to act on", [](const OptionFigures& o) { return std::to_string(o.acts.size()); });
  row("least margin of each check", [](const OptionFigures&) { return std::string(); });
  for (const std::string& check : checks_of(comparison)) {
    rows.push_back(margin_row(plan, comparison, check));
  }
  row("lines to buy", [&](const OptionFigures& o) { return length(plan, o.buy_mm, 0); });
  row("price", [&](const OptionFigures& o) {
    return o.price ? fixed(*o.price, 2) + " " + plan.currency : std::string("not known");
  });
  row("moving mass of lines and chains",
      [](const OptionFigures& o) { return fixed(o.moving_kg, 2) + " kg"; });
  row("pull of hanging lines on the tool's body",
      [](const OptionFigures& o) { return fixed(o.head_pull_N, 1) + " N"; });
  row("tool comes off", [](const OptionFigures& o) { return removal_text(o.removal); });
  row("clips + hooks + anchors + brackets",
      [](const OptionFigures& o) { return mounting_text(o.mounting); });
  row("holes to drill", [](const OptionFigures& o) { return std::to_string(o.mounting.holes); });
  row("holds put up from a ladder", [](const OptionFigures& o) {
    return o.mounting.from_ladder ? std::to_string(*o.mounting.from_ladder)
                                  : std::string("not known");
  });
  row("sampled only", [](const OptionFigures& o) { return std::to_string(o.sampled.size()); });
  std::vector<Align> align(comparison.options.size() + 1, Align::right);
  align.front() = Align::left;
  return table_text(rows, align);
}

std::string sentences(const char* mark, const std::vector<std::string>& list) {
  std::string text;
  for (const std::string& sentence : list) {
    text += std::string("  ") + mark + "  " + wrapped(sentence, k_page_width, 8) + "\n";
  }
  return text;
}

std::string option_text(const plan::Plan& plan, const OptionFigures& option) {
  std::string text = option_label(option.option) + ": " + study::to_text(option.verdict) + "\n";
  if (!option.about.empty()) text += "  " + wrapped(option.about, k_page_width, 2) + "\n";
  text += sentences("stop", option.stops) + sentences("act ", option.acts);
  std::vector<Row> rows = {{"least margins", "", "is", "against"}};
  for (const Margin& m : option.margins) {
    rows.push_back(
        {m.check, m.what, quantity(plan, m.value, m.unit), quantity(plan, m.limit, m.unit)});
  }
  text += table_text(rows, {Align::left, Align::left, Align::right, Align::right}, 4);
  if (!option.sampled.empty()) {
    std::string list;
    for (const std::string& s : option.sampled) list += (list.empty() ? "" : "; ") + s;
    text += "    " + wrapped("sampled only: " + list, k_page_width, 6) + "\n";
  }
  return text;
}

Json option_json(const OptionFigures& o) {
  Json margins = Json::array();
  for (const Margin& m : o.margins) {
    margins.push_back({{"check", m.check},
                       {"what", m.what},
                       {"value", number(m.value)},
                       {"limit", number(m.limit)},
                       {"margin", number(m.margin)},
                       {"unit", m.unit}});
  }
  const study::Mounting& m = o.mounting;
  return {{"name", o.option},
          {"about", o.about},
          {"verdict", study::to_text(o.verdict)},
          {"stops", o.stops},
          {"acts", o.acts},
          {"margins", std::move(margins)},
          {"buy_mm", number(o.buy_mm)},
          {"price", number(o.price)},
          {"moving_kg", number(o.moving_kg)},
          {"head_pull_N", number(o.head_pull_N)},
          {"pulled_off", o.removal.pulled_off},
          {"unthreaded", o.removal.unthreaded},
          {"unthreading_min", number(o.removal.minutes)},
          {"clips", m.clips},
          {"supports", m.supports},
          {"anchors", m.anchors},
          {"brackets", m.brackets},
          {"holes", m.holes},
          {"from_ladder", m.from_ladder ? Json(*m.from_ladder) : Json(nullptr)},
          {"sampled", o.sampled}};
}

}  // namespace

std::string compare_text(const plan::Plan& plan, const study::Comparison& comparison) {
  std::string text = figures_table(plan, comparison);
  text += "\n  " + wrapped("Ranked " + comparison.rule + ".", k_page_width, 2) + "\n";
  text +=
      "  Margins are positive to the good side; < marks the worst of a row. Holes, minutes and "
      "shares\n  of moving mass are counted by common practice (docs/compare.md).\n";
  for (const OptionFigures& option : comparison.options) {
    text += "\n" + option_text(plan, option);
  }
  return text;
}

std::string compare_json(const plan::Plan& plan, const study::Comparison& comparison) {
  Json json = {{"format", 1},
               {"plan", plan.file},
               {"name", plan.name},
               {"currency", plan.currency},
               {"rule", comparison.rule}};
  json["options"] = Json::array();
  for (const OptionFigures& option : comparison.options) {
    json["options"].push_back(option_json(option));
  }
  json["cautions"] = cautions();
  return json.dump(2) + "\n";
}

}  // namespace bight::report
