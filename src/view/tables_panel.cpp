#include <algorithm>
#include <cmath>

#include "editor/table.h"
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

/// Width that a column would like, from its texts.
float natural_width(const editor::Table& table, std::size_t column) {
  float width = ImGui::CalcTextSize(table.columns[column].c_str()).x;
  for (const auto& row : table.rows) {
    const std::string& text = row[column].text;
    const std::string figure = column == 0 ? text : text.substr(0, text.find(" ("));
    width = std::max(width, ImGui::CalcTextSize(figure.c_str()).x);
  }
  return width;
}

/// Where room is short a figure stands without the thing that it belongs to, which the tooltip
/// names.
void cell(const PanelContext& context, const editor::Cell& c, bool tight, bool is_name) {
  if (tight && !is_name && c.text.find(" (") != std::string::npos) {
    wrapped_text(c.text.substr(0, c.text.find(" (")), ink(context, c.tone));
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", c.text.c_str());
  } else if (tight) {
    wrapped_text(c.text, ink(context, c.tone));
  } else {
    fitted_text(c.text, ink(context, c.tone));
  }
}

/// A table of the editor; where it is wider than the sheet its cells break into lines.
void show_table(const PanelContext& context, const char* id, const editor::Table& table,
                bool stale) {
  const std::size_t count = table.columns.size();
  if (count == 0 || count > 60) return;
  heading(table.title);
  const float room = ImGui::GetContentRegionAvail().x;
  float wanted = 0.0F;
  std::vector<float> widths;
  for (std::size_t c = 0; c < count; ++c) {
    widths.push_back(natural_width(table, c) + 2.0F * ImGui::GetStyle().CellPadding.x);
    wanted += widths.back();
  }
  // One column gives way first: the names in front.
  const bool tight = wanted > room;
  const float alpha = stale ? 0.6F : 1.0F;
  ImGui::PushStyleVar(ImGuiStyleVar_Alpha, alpha);
  if (ImGui::BeginTable(id, static_cast<int>(count),
                        ImGuiTableFlags_RowBg | ImGuiTableFlags_NoPadOuterX)) {
    for (std::size_t c = 0; c < count; ++c) {
      const float share = std::min(widths[c], tight ? room * 0.45F : widths[c]);
      ImGui::TableSetupColumn(table.columns[c].c_str(), ImGuiTableColumnFlags_WidthStretch, share);
    }
    for (const std::string& name : table.columns) {
      ImGui::TableNextColumn();
      if (tight) {
        wrapped_text(name, context.palette.faint);
      } else {
        fitted_text(name, context.palette.faint);
      }
    }
    for (const auto& row : table.rows) {
      ImGui::TableNextRow();
      for (std::size_t c = 0; c < count; ++c) {
        ImGui::TableNextColumn();
        cell(context, row[c], tight, c == 0);
      }
    }
    ImGui::EndTable();
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

/// The options side by side, best first: press one to choose it.
void option_pictures(const PanelContext& context, const study::Comparison& comparison) {
  const float room = ImGui::GetContentRegionAvail().x;
  const float gap = ImGui::GetStyle().ItemSpacing.x;
  const auto across = static_cast<float>(std::clamp<std::size_t>(
      comparison.options.size(), 1,
      static_cast<std::size_t>(std::max(1.0F, room / (context.em * 7.6F)))));
  const float width = std::floor((room - gap * (across - 1.0F)) / across);
  const float height = std::floor(width * 0.7F);
  std::size_t column = 0;
  for (const study::OptionFigures& figures : comparison.options) {
    const std::string option = figures.option == "base" ? "" : figures.option;
    const editor::OptionResult result = context.editor.result(option);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float line = ImGui::GetTextLineHeight();
    const std::string label = option.empty() ? "as written" : option;
    if (ImGui::InvisibleButton(("compare " + label).c_str(), {width, height + line * 1.4F})) {
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
    draw->AddText({below.x + context.em * 1.2F, below.y}, context.palette.ink,
                  shortened(label, width - context.em * 1.3F).c_str());
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
  show_table(context, "cut", editor::length_table(live->lines, currency(context), context.unit()),
             false);
  show_table(context, "buy", editor::price_table(live->drums, currency(context), context.unit()),
             false);
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
