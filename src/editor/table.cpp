#include "editor/table.h"

#include <cmath>
#include <limits>

#include "base/number.h"
#include "plan/option.h"

namespace bight::editor {
namespace {

const double k_nan = std::numeric_limits<double>::quiet_NaN();

Cell text_cell(std::string text, Tone tone = Tone::plain) {
  return {std::move(text), k_nan, tone};
}

Cell number_cell(double value, int decimals, const std::string& unit = {},
                 Tone tone = Tone::plain) {
  if (std::isnan(value)) return text_cell("-", tone);
  if (std::isinf(value)) return {value > 0.0 ? "no limit" : "none works", value, tone};
  return {fixed(value, decimals) + (unit.empty() ? "" : " " + unit), value, tone};
}

Cell length_cell(double mm, LengthUnit unit, Tone tone = Tone::plain) {
  return {length_text(mm, unit, 0), mm, tone};
}

Cell price_cell(const std::optional<double>& price, const std::string& currency) {
  return price ? number_cell(*price, 2, currency) : text_cell("unknown", Tone::caution);
}

Tone tone_of(study::Verdict verdict) {
  switch (verdict) {
    case study::Verdict::stop:
      return Tone::bad;
    case study::Verdict::act:
      return Tone::caution;
    case study::Verdict::clear:
      break;
  }
  return Tone::good;
}

Cell margin_cell(const study::Margin& margin, LengthUnit unit) {
  const Tone tone = margin.margin >= 0.0 ? Tone::good : Tone::bad;
  const bool length = margin.unit == "mm" && std::isfinite(margin.margin);
  Cell cell = length ? Cell{length_text(margin.margin, unit), margin.margin, tone}
                     : number_cell(margin.margin, 1, margin.unit, tone);
  if (!margin.what.empty()) cell.text += " (" + margin.what + ")";
  return cell;
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : "; ") + word;
  return text;
}

}  // namespace

Table comparison_table(const study::Comparison& comparison, const std::string& currency,
                       LengthUnit unit) {
  Table table{"Comparison", {"figure"}, {}, comparison.rule};
  for (const study::OptionFigures& option : comparison.options) {
    table.columns.push_back(plan::option_label(option.option));
  }
  const auto row = [&](const std::string& name, const auto& cell_of) {
    std::vector<Cell> cells = {text_cell(name)};
    for (const study::OptionFigures& option : comparison.options) cells.push_back(cell_of(option));
    table.rows.push_back(std::move(cells));
  };
  using Figures = study::OptionFigures;
  row("verdict",
      [](const Figures& f) { return text_cell(study::to_text(f.verdict), tone_of(f.verdict)); });
  const auto count = [](std::size_t n, Tone bad) {
    return number_cell(static_cast<double>(n), 0, {}, n == 0 ? Tone::good : bad);
  };
  row("stops", [&](const Figures& f) { return count(f.stops.size(), Tone::bad); });
  row("to act on", [&](const Figures& f) { return count(f.acts.size(), Tone::caution); });
  // Checks in the order of their first appearance; an option without one has a dash.
  std::vector<std::string> checks;
  for (const Figures& f : comparison.options) {
    for (const study::Margin& margin : f.margins) {
      bool known = false;
      for (const std::string& check : checks) known = known || check == margin.check;
      if (!known) checks.push_back(margin.check);
    }
  }
  if (!checks.empty()) row("least margin of", [](const Figures&) { return text_cell(""); });
  for (const std::string& check : checks) {
    row(check, [&](const Figures& f) {
      for (const study::Margin& margin : f.margins) {
        if (margin.check == check) return margin_cell(margin, unit);
      }
      return text_cell("-");
    });
  }
  row("line to buy", [&](const Figures& f) { return length_cell(f.buy_mm, unit); });
  row("price", [&](const Figures& f) { return price_cell(f.price, currency); });
  row("moving mass", [](const Figures& f) { return number_cell(f.moving_kg, 2, "kg"); });
  row("pull on the head", [](const Figures& f) { return number_cell(f.head_pull_N, 1, "N"); });
  row("tool comes off",
      [](const Figures& f) { return number_cell(f.removal.minutes, 0, "min", Tone::plain); });
  row("holes to drill",
      [](const Figures& f) { return number_cell(static_cast<double>(f.mounting.holes), 0); });
  row("sampled only", [](const Figures& f) {
    const std::string which = f.sampled.empty() ? "" : " (" + joined(f.sampled) + ")";
    return text_cell(std::to_string(f.sampled.size()) + which);
  });
  return table;
}

Table length_table(const std::vector<study::LineFigures>& lines, const std::string& currency,
                   LengthUnit unit) {
  Table table{"Lengths", {"line", "article", "legs", "net", "cut", "buy", "price"}, {}, {}};
  double cut = 0.0;
  double price = 0.0;
  bool all_priced = true;
  for (const study::LineFigures& line : lines) {
    std::string legs;
    Tone tone = Tone::plain;
    for (const study::LegFigures& leg : line.legs) {
      legs += (legs.empty() ? "" : " + ") + length_text(leg.length_mm, unit, 0);
      if (leg.works) continue;
      legs += ", no length works,";
      tone = Tone::bad;
    }
    if (legs.ends_with(',')) legs.pop_back();
    table.rows.push_back({text_cell(line.name), text_cell(line.article), text_cell(legs, tone),
                          length_cell(line.net_mm, unit), length_cell(line.cut_mm, unit, tone),
                          length_cell(line.buy_mm, unit), price_cell(line.price, currency)});
    cut += line.cut_mm;
    price += line.price.value_or(0.0);
    all_priced = all_priced && line.price.has_value();
  }
  if (lines.empty()) return table;
  table.rows.push_back({text_cell("all lines"), text_cell(""), text_cell(""), text_cell(""),
                        length_cell(cut, unit), text_cell(""),
                        price_cell(all_priced ? std::optional(price) : std::nullopt, currency)});
  return table;
}

Table price_table(const std::vector<line::Drum>& drums, const std::string& currency,
                  LengthUnit unit) {
  Table table{"To buy", {"article", "pieces", "longest piece", "buy", "price"}, {}, {}};
  double price = 0.0;
  bool all_priced = true;
  for (const line::Drum& drum : drums) {
    table.rows.push_back({text_cell(drum.article),
                          number_cell(static_cast<double>(drum.lines.size()), 0),
                          length_cell(drum.longest_mm, unit), length_cell(drum.total_mm, unit),
                          price_cell(drum.price, currency)});
    price += drum.price.value_or(0.0);
    all_priced = all_priced && drum.price.has_value();
  }
  if (drums.empty()) return table;
  table.rows.push_back({text_cell("in all"), text_cell(""), text_cell(""), text_cell(""),
                        price_cell(all_priced ? std::optional(price) : std::nullopt, currency)});
  return table;
}

std::string table_text(const Table& table) {
  std::string text;
  const auto add_row = [&text](const auto& cells, const auto& word) {
    for (std::size_t i = 0; i < cells.size(); ++i) text += (i > 0 ? "\t" : "") + word(cells[i]);
    text += "\n";
  };
  add_row(table.columns, [](const std::string& s) { return s; });
  for (const auto& row : table.rows) add_row(row, [](const Cell& cell) { return cell.text; });
  return text;
}

}  // namespace bight::editor
