#include <algorithm>
#include <cmath>

#include "view/fitted_text.h"
#include "view/panels.h"
#include "view/tour_plots.h"

namespace bight::view {

void tour_strip(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Tour", context, area, ImGuiWindowFlags_NoScrollbar);
  editor::Editor& editor = context.editor;
  const editor::TourSeries& all = editor.series();
  if (all.series.empty() || all.time_s.empty()) {
    wrapped_text(editor.model() ? "The curves of the tour are being computed\u2026"
                                : "The tour through the travel comes with a plan.",
                 context.palette.faint);
    end_sheet();
    return;
  }
  const auto runs = runs_of(all);
  follow_run(context, runs);
  const bool stale = editor.series_freshness() != editor::Freshness::current;
  const auto shown = shown_series(context);
  tour_controls(context, runs, stale);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float gap = context.em * 0.8F;
  const auto per_row = static_cast<std::size_t>(
      std::clamp(std::floor((room.x + gap) / (context.em * 7.2F)), 1.0F,
                 static_cast<float>(std::max<std::size_t>(1, shown.size()))));
  const auto most_rows =
      static_cast<std::size_t>(std::max(1.0F, std::floor(room.y / (context.em * 5.5F))));
  const std::size_t rows = std::min(most_rows, (shown.size() + per_row - 1) / per_row);
  const float width =
      std::floor((room.x - gap * static_cast<float>(per_row - 1)) / static_cast<float>(per_row));
  const float spacing = ImGui::GetStyle().ItemSpacing.y;
  const float height =
      std::floor((room.y - spacing * static_cast<float>(rows - 1)) / static_cast<float>(rows));
  for (std::size_t i = 0; i < shown.size() && i < rows * per_row; ++i) {
    const Plot plot = plot_of(context, *shown[i], i, stale);
    const PlotTouch touch =
        draw_plot(("curve " + plot.title).c_str(), context.palette, plot, {width, height});
    if (touch.x) {
      editor.play(false);
      editor.scrub(*touch.x);
    }
    if (i % per_row != per_row - 1 && i + 1 < shown.size()) ImGui::SameLine(0.0F, gap);
  }
  end_sheet();
}

}  // namespace bight::view
