#include <algorithm>
#include <cmath>
#include <optional>

#include "base/number.h"
#include "editor/series_table.h"
#include "view/fitted_text.h"
#include "view/panels.h"
#include "view/tour_plots.h"

namespace bight::view {
namespace {

/// Where a series comes nearest to its limit.
std::optional<std::size_t> worst_sample(const editor::Series& series) {
  std::optional<std::size_t> worst;
  for (std::size_t i = 0; i < series.values.size(); ++i) {
    if (!std::isfinite(series.values[i])) continue;
    const bool worse = !worst || (series.limit_is_least ? series.values[i] < series.values[*worst]
                                                        : series.values[i] > series.values[*worst]);
    if (worse) worst = i;
  }
  return worst;
}

/// "Least 12.5 mm at 84.0 s: router - bench", as a button that goes there.
void worst_line(const PanelContext& context, const editor::Series& series) {
  const auto worst = worst_sample(series);
  if (!worst || *worst >= context.editor.series().time_s.size()) return;
  const ShownUnit unit = shown_unit(series, context.unit());
  const double time = context.editor.series().time_s[*worst];
  std::string text = std::string(series.limit_is_least ? "Least " : "Greatest ") +
                     fixed(series.values[*worst] * unit.factor, unit.unit == "mm" ? 1 : 2) + " " +
                     unit.unit + " at " + fixed(time, 1) + " s";
  if (*worst < series.of.size() && !series.of[*worst].empty()) text += ": " + series.of[*worst];
  ImGui::PushFont(context.fonts.small);
  const float go = ImGui::CalcTextSize("go there").x + 2.0F * ImGui::GetStyle().FramePadding.x;
  ImGui::AlignTextToFramePadding();
  fitted_text(text, context.palette.faint,
              ImGui::GetContentRegionAvail().x - go - ImGui::GetStyle().ItemSpacing.x);
  ImGui::SameLine(ImGui::GetCursorPosX() + ImGui::GetContentRegionAvail().x - go);
  if (ImGui::Button(("go there##" + series.name).c_str())) {
    context.editor.play(false);
    context.editor.scrub(time);
  }
  ImGui::PopFont();
}

}  // namespace

void curves_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Curves", context, area);
  editor::Editor& editor = context.editor;
  const editor::TourSeries& all = editor.series();
  if (all.series.empty() || all.time_s.empty()) {
    wrapped_text(editor.model() ? "The curves of the tour are being computed\u2026"
                                : "The curves along the travel come with a plan.",
                 context.palette.faint);
    end_sheet();
    return;
  }
  const auto runs = runs_of(all);
  follow_run(context, runs);
  const bool stale = editor.series_freshness() != editor::Freshness::current;
  tour_controls(context, runs, stale);
  const auto shown = shown_series(context);
  const float spacing = ImGui::GetStyle().ItemSpacing.y;
  const float below = ImGui::GetFrameHeight() + 2.0F * spacing;
  const float room = ImGui::GetContentRegionAvail().y - below - spacing;
  const float height =
      std::floor(std::clamp(room / static_cast<float>(shown.size()) - below - spacing,
                            context.em * 8.0F, context.em * 22.0F));
  std::vector<Plot> plots;
  float gutter = 0.0F;
  for (std::size_t i = 0; i < shown.size(); ++i) {
    plots.push_back(plot_of(context, *shown[i], i, stale));
    gutter = std::max(gutter, axis_gutter(plots.back(), height));
  }
  for (std::size_t i = 0; i < shown.size(); ++i) {
    if (!worst_sample(*shown[i])) {
      fitted_text(title_of(*shown[i]) + ": " + unknown_text(*shown[i]), context.palette.faint);
      continue;
    }
    Plot& plot = plots[i];
    plot.gutter = gutter;  // one axis of time below the other
    const PlotTouch touch = draw_plot(("curve " + plot.title).c_str(), context.palette, plot,
                                      {std::floor(ImGui::GetContentRegionAvail().x), height});
    if (touch.x) {
      editor.play(false);
      editor.scrub(*touch.x);
    }
    worst_line(context, *shown[i]);
  }
  if (ImGui::Button("Copy for a spreadsheet")) {
    ImGui::SetClipboardText(editor::series_text(all, context.unit()).c_str());
    context.tell("Copied: all curves along the tour");
  }
  end_sheet();
}

}  // namespace bight::view
