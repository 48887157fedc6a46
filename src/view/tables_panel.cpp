#include <algorithm>
#include <cmath>

#include "editor/table.h"
#include "plan/option.h"
#include "report/cautions.h"
#include "view/fitted_text.h"
#include "view/option_pictures.h"
#include "view/panels.h"
#include "view/severity_mark.h"

namespace bight::view {
namespace {

ImU32 ink(const PanelContext& context, editor::Tone tone) {
  switch (tone) {
    case editor::Tone::plain:
      return context.palette.ink;
    case editor::Tone::good:
      return context.palette.clear;
    case editor::Tone::caution:
      return context.palette.act;
    case editor::Tone::bad:
      return context.palette.stop;
  }
  return context.palette.ink;
}

/// Text of a cell without the thing that the figure belongs to.
std::string figure_of(const editor::Cell& c, bool is_name) {
  return is_name ? c.text : c.text.substr(0, c.text.find(" ("));
}

/// Width that a column would like, and the least that breaks no word.
struct ColumnWidth {
  float natural = 0.0F;
  float least = 0.0F;
  void take(const std::string& text) {
    natural = std::max(natural, ImGui::CalcTextSize(text.c_str()).x);
    const std::string whole = tied(text);
    for (std::size_t from = 0; from < whole.size();) {
      const std::size_t end = std::min(whole.find(' ', from), whole.size());
      least = std::max(least, ImGui::CalcTextSize(&whole[from], &whole[from] + (end - from)).x);
      from = end + 1;
    }
  }
};

std::vector<ColumnWidth> column_widths(const editor::Table& table) {
  std::vector<ColumnWidth> widths(table.columns.size());
  const float padding = 2.0F * ImGui::GetStyle().CellPadding.x + 1.0F;
  for (std::size_t c = 0; c < widths.size(); ++c) {
    widths[c].take(table.columns[c]);
    for (const auto& row : table.rows) widths[c].take(figure_of(row[c], c == 0));
    widths[c].natural += padding;
    widths[c].least += padding;
  }
  return widths;
}

/// Where room is short a figure stands without the thing that it belongs to, which the tooltip
/// names.
void cell(const PanelContext& context, const editor::Cell& c, bool tight, bool is_name) {
  if (tight && !is_name && c.text.find(" (") != std::string::npos) {
    wrapped_text(figure_of(c, is_name), ink(context, c.tone));
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", c.text.c_str());
  } else if (tight) {
    wrapped_text(c.text, ink(context, c.tone));
  } else {
    fitted_text(c.text, ink(context, c.tone));
  }
}

/// A row a card, for a sheet that is too narrow for columns.
void cards(const PanelContext& context, const editor::Table& table) {
  for (const auto& row : table.rows) {
    fitted_text(row.front().text, context.palette.ink);
    if (ImGui::IsItemHovered()) context.point_at(row.front().text);
    ImGui::Indent(context.em * 0.8F);
    for (std::size_t c = 1; c < row.size(); ++c) {
      if (row[c].text.empty()) continue;
      const float name = std::floor(ImGui::GetContentRegionAvail().x * 0.42F);
      fitted_text(table.columns[c], context.palette.faint, name);
      ImGui::SameLine(ImGui::GetCursorPosX() + name + context.em * 0.4F);
      wrapped_text(figure_of(row[c], false), ink(context, row[c].tone));
    }
    ImGui::Unindent(context.em * 0.8F);
  }
}

void columns(const PanelContext& context, const char* id, const editor::Table& table,
             const std::vector<ColumnWidth>& widths, float room, bool tight) {
  const std::size_t count = widths.size();
  float least = 0.0F;
  float more = 0.0F;
  for (const ColumnWidth& w : widths) {
    least += w.least;
    more += w.natural - w.least;
  }
  const float share = more > 0.0F ? (room - least) / more : 0.0F;
  if (!ImGui::BeginTable(id, static_cast<int>(count),
                         ImGuiTableFlags_RowBg | ImGuiTableFlags_NoPadOuterX)) {
    return;
  }
  for (std::size_t c = 0; c < count; ++c) {
    const float extra = (widths[c].natural - widths[c].least) * share;
    ImGui::TableSetupColumn(table.columns[c].c_str(), ImGuiTableColumnFlags_WidthStretch,
                            widths[c].least + std::max(0.0F, extra));
  }
  for (const std::string& name : table.columns) {
    ImGui::TableNextColumn();
    wrapped_text(name, context.palette.faint);
  }
  for (const auto& row : table.rows) {
    ImGui::TableNextRow();
    for (std::size_t c = 0; c < count; ++c) {
      ImGui::TableNextColumn();
      cell(context, row[c], tight, c == 0);
      if (c == 0 && ImGui::IsItemHovered()) context.point_at(row[c].text);
    }
  }
  ImGui::EndTable();
}

/// A table of the editor: whole where there is room, then with broken lines, then as cards.
void show_table(const PanelContext& context, const char* id, const editor::Table& table,
                bool stale) {
  constexpr std::size_t k_most_columns = 60;  // of ImGui: 64
  if (table.columns.empty() || table.columns.size() > k_most_columns) return;
  heading(table.title);
  const float room = ImGui::GetContentRegionAvail().x;
  auto widths = column_widths(table);
  float natural = 0.0F;
  float least = 0.0F;
  for (const ColumnWidth& w : widths) {
    natural += w.natural;
    least += w.least;
  }
  // Names in one line, or in two rather than one word a line, where there is room.
  for (const float share : {1.0F, 0.55F}) {
    const float more = std::max(0.0F, share * widths[0].natural - widths[0].least);
    if (least + more > room) continue;
    widths[0].least += more;
    least += more;
    break;
  }
  ImGui::PushStyleVar(ImGuiStyleVar_Alpha, stale ? 0.6F : 1.0F);
  if (least > room) {
    cards(context, table);
  } else {
    columns(context, id, table, widths, room, natural > room);
  }
  ImGui::PopStyleVar();
  ImGui::PushFont(context.fonts.small);
  if (!table.note.empty()) wrapped_text(table.note, context.palette.faint);
  ImGui::PopFont();
  ImGui::PushID(id);
  if (ImGui::Button("Copy for a spreadsheet")) {
    ImGui::SetClipboardText(editor::table_text(table).c_str());
    context.tell("Copied: " + table.title);
  }
  ImGui::PopID();
}

std::string currency(const PanelContext& context) {
  return context.editor.model()->plan.currency;
}

float broken_height(const std::string& text, float width) {
  return ImGui::CalcTextSize(text.c_str(), nullptr, false, width).y;
}

/// The options side by side, best first: press one to choose it.
void option_pictures(const PanelContext& context, const study::Comparison& comparison) {
  const float room = ImGui::GetContentRegionAvail().x;
  const float gap = ImGui::GetStyle().ItemSpacing.x;
  const auto across = static_cast<float>(std::clamp<std::size_t>(
      comparison.options.size(), 1,
      static_cast<std::size_t>(std::max(1.0F, room / (context.em * 7.6F)))));
  const float width = std::floor((room - gap * (across - 1.0F)) / across);
  const float height = std::floor(width * 0.7F);
  const float name_room = width - context.em * 1.3F;
  float name_height = 0.0F;
  for (const study::OptionFigures& figures : comparison.options) {
    const std::string label = plan::option_label(figures.option == "base" ? "" : figures.option);
    name_height = std::max(name_height, broken_height(label, name_room));
  }
  std::size_t column = 0;
  for (const study::OptionFigures& figures : comparison.options) {
    const std::string option = figures.option == "base" ? "" : figures.option;
    const editor::OptionResult result = context.editor.result(option);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float line = ImGui::GetTextLineHeight();
    const std::string label = plan::option_label(option);
    if (ImGui::InvisibleButton(("compare " + label).c_str(),
                               {width, height + name_height + line * 0.4F})) {
      context.report(context.editor.choose_option(option));
    }
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const ImTextureID texture = context.pictures.of(
        option, result.checked.model, static_cast<int>(width), static_cast<int>(height),
        context.scheme == Scheme::dark ? scene::Scheme::dark : scene::Scheme::light);
    const ImVec2 end{at.x + width, at.y + height};
    if (texture != nullptr) {
      draw->AddImage(texture, at, end, {0.0F, 1.0F}, {1.0F, 0.0F});
    } else {
      draw->AddRectFilled(at, end, context.palette.well);
    }
    const bool chosen = option == context.editor.option();
    draw->AddRect(at, end, chosen ? context.palette.accent : context.palette.rule, 0.0F, 0,
                  chosen || ImGui::IsItemHovered() ? 2.0F : 1.0F);
    const ImVec2 below{at.x, end.y + line * 0.2F};
    draw_mark(draw, context.palette, {below.x + context.em * 0.5F, below.y + line * 0.5F},
              context.em * 0.36F, figures.verdict);
    draw->AddText(ImGui::GetFont(), ImGui::GetFontSize(), {below.x + context.em * 1.2F, below.y},
                  context.palette.ink, label.c_str(), nullptr, name_room);
    if (++column % static_cast<std::size_t>(across) != 0) ImGui::SameLine();
  }
  if (column % static_cast<std::size_t>(across) != 0) ImGui::NewLine();
}

}  // namespace

void lengths_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Lengths", context, area);
  const auto& live = context.editor.live();
  if (!context.editor.model() || !live) {
    wrapped_text("Lengths come with a plan.", context.palette.faint);
    end_sheet();
    return;
  }
  // The full check knows all lengths; while one is dragged the live figures follow at once.
  const editor::OptionResult result = context.editor.result();
  const bool full =
      result.freshness == editor::Freshness::current && result.checked.study != nullptr;
  const auto& lines = full ? result.checked.study->lines : live->lines;
  const auto& drums = full ? result.checked.study->drums : live->drums;
  if (!full) {
    for (const std::string& line : live->unknown_lengths) {
      wrapped_text(line + ": its length comes with the full check.", context.palette.act);
    }
  }
  show_table(context, "cut", editor::length_table(lines, currency(context), context.unit()), false);
  show_table(context, "buy", editor::price_table(drums, currency(context), context.unit()), false);
  ImGui::Dummy({0.0F, context.em * 0.3F});
  ImGui::PushFont(context.fonts.small);
  for (const std::string& caution : report::cautions()) {
    wrapped_text(caution, context.palette.faint);
  }
  ImGui::PopFont();
  end_sheet();
}

void compare_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Compare", context, area);
  const study::Comparison comparison =
      context.editor.model() ? context.editor.comparison() : study::Comparison();
  if (comparison.options.empty()) {
    wrapped_text(context.editor.model() ? "The options are being checked\u2026"
                                        : "Options come with a plan.",
                 context.palette.faint);
    end_sheet();
    return;
  }
  const bool stale = context.editor.comparison_freshness() != editor::Freshness::current;
  if (stale) wrapped_text("Out of date: the options are being checked again.", context.palette.act);
  option_pictures(context, comparison);
  show_table(context, "options",
             editor::comparison_table(comparison, currency(context), context.unit()), stale);
  end_sheet();
}

}  // namespace bight::view
