#include <algorithm>
#include <cmath>
#include <map>

#include "base/number.h"
#include "base/units.h"
#include "view/fitted_text.h"
#include "view/number_field.h"
#include "view/panels.h"
#include "view/plot.h"

namespace bight::view {
namespace {

struct SeriesName {
  std::string kind;  ///< "clearance", "slack"...
  std::string run;   ///< empty: of the machine
};

SeriesName split(const std::string& name) {
  const auto comma = name.find(", ");
  if (comma == std::string::npos) return {name, {}};
  return {name.substr(0, comma), name.substr(comma + 2)};
}

/// Free runs that have curves, in their order.
std::vector<std::string> runs_of(const editor::TourSeries& series) {
  std::vector<std::string> runs;
  for (const editor::Series& s : series.series) {
    const std::string run = split(s.name).run;
    if (!run.empty() && std::ranges::find(runs, run) == runs.end()) runs.push_back(run);
  }
  return runs;
}

/// How the values of a series shown in the plan's unit read.
struct Shown {
  double factor = 1.0;
  std::string unit;
};

Shown shown_unit(const editor::Series& series, LengthUnit unit) {
  if (series.unit == "mm" && unit == LengthUnit::inch) return {1.0 / k_mm_per_inch, "in"};
  return {1.0, series.unit};
}

Plot plot_of(const PanelContext& context, const editor::TourSeries& all,
             const editor::Series& series, std::size_t colour, bool stale) {
  const Shown shown = shown_unit(series, context.unit());
  Plot plot;
  plot.title = split(series.name).kind;
  plot.title.front() =
      static_cast<char>(std::toupper(static_cast<unsigned char>(plot.title.front())));
  if (plot.title == "Smallest radius") plot.title = "Least radius";
  plot.x_label = "tour, s";
  plot.y_label = shown.unit;
  plot.x = all.time_s;
  Curve curve{series.name, {}, stale ? context.palette.faint : context.palette.series[colour % 4]};
  curve.y.reserve(series.values.size());
  for (const double v : series.values) curve.y.push_back(v * shown.factor);
  plot.curves.push_back(std::move(curve));
  if (series.has_limit && std::isfinite(series.limit)) {
    const double limit = series.limit * shown.factor;
    Limit band;
    (series.limit_is_least ? band.low : band.high) = limit;
    band.label = (series.limit_is_least ? "at least " : "at most ") +
                 fixed(limit, shown.unit == "in" ? 2 : 0) + " " + shown.unit;
    plot.limit = band;
  }
  plot.cursor = context.editor.tour_time();
  return plot;
}

void run_choice(const PanelContext& context, const std::vector<std::string>& runs, float width) {
  ViewState& state = context.state;
  ImGui::SetNextItemWidth(width);
  const std::string shown = shortened(state.strip_run, width - context.em * 2.6F);
  if (!ImGui::BeginCombo("##run", shown.c_str())) return;
  for (const std::string& run : runs) {
    if (ImGui::Selectable(run.c_str(), run == state.strip_run)) state.strip_run = run;
  }
  ImGui::EndCombo();
}

/// Play, speed, whose curves, and when: in one line where it is wide enough.
void controls(const PanelContext& context, const std::vector<std::string>& runs, bool stale) {
  editor::Editor& editor = context.editor;
  const float width = ImGui::GetContentRegionAvail().x;
  const bool one_line = width > context.em * 27.0F;
  if (ImGui::Button(editor.playing() ? "Pause" : "Play", {context.em * 4.4F, 0.0F})) {
    editor.play(!editor.playing());
  }
  ImGui::SameLine();
  const auto speed = number_field("##speed", editor.settings().tour_speed,
                                  {.unit = "\u00d7", .decimals = 2, .width = context.em * 4.4F},
                                  context.palette, context.state.typed);
  if (speed && *speed > 0.0) {
    editor::Settings settings = editor.settings();
    settings.tour_speed = std::clamp(*speed, 0.1, 20.0);
    editor.set_settings(settings);
  }
  ImGui::SameLine();
  if (runs.size() > 1 && one_line) {
    run_choice(context, runs, std::min(context.em * 18.0F, width * 0.36F));
    ImGui::SameLine();
  }
  std::string when = fixed(editor.tour_time(), 1) + " of " + fixed(editor.tour().duration_s, 1) +
                     " s" + (stale ? ", out of date" : "");
  const auto& stops = editor.tour().stops;
  if (!stops.empty() && !stale) {
    const std::size_t next =
        std::min(editor::stop_at(editor.tour(), editor.tour_time()), stops.size() - 1);
    when += ", towards " + stops[next].what;
  }
  ImGui::AlignTextToFramePadding();
  fitted_text(when, context.palette.faint);
  if (runs.size() > 1 && !one_line) run_choice(context, runs, width);
}

}  // namespace

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
  if (!runs.empty() && std::ranges::find(runs, context.state.strip_run) == runs.end()) {
    context.state.strip_run = runs.front();
  }
  // The curves follow the finding that is looked at.
  if (context.state.strip_finding != editor.selected_finding()) {
    context.state.strip_finding = editor.selected_finding();
    for (const std::string& run : runs) {
      const auto concerned = [&](const std::string& thing) {
        return run.find(thing) != std::string::npos;
      };
      const auto things = editor.highlighted();
      if (std::ranges::any_of(things, concerned)) context.state.strip_run = run;
    }
  }
  const bool stale = editor.series_freshness() != editor::Freshness::current;
  std::vector<const editor::Series*> shown;
  for (const editor::Series& s : all.series) {
    const SeriesName name = split(s.name);
    if (name.run.empty() || name.run == context.state.strip_run) shown.push_back(&s);
  }
  controls(context, runs, stale);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float gap = context.em * 0.8F;
  const auto per_row = static_cast<std::size_t>(
      std::clamp(std::floor((room.x + gap) / (context.em * 9.2F)), 1.0F,
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
    const Plot plot = plot_of(context, all, *shown[i], i, stale);
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
