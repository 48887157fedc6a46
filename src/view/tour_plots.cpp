#include "view/tour_plots.h"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/number.h"
#include "base/units.h"
#include "view/fitted_text.h"
#include "view/number_field.h"

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

}  // namespace

std::vector<std::string> runs_of(const editor::TourSeries& series) {
  std::vector<std::string> runs;
  for (const editor::Series& s : series.series) {
    const std::string run = split(s.name).run;
    if (!run.empty() && std::ranges::find(runs, run) == runs.end()) runs.push_back(run);
  }
  return runs;
}

ShownUnit shown_unit(const editor::Series& series, LengthUnit unit) {
  if (series.unit == "mm" && unit == LengthUnit::inch) return {1.0 / k_mm_per_inch, "in"};
  return {1.0, series.unit};
}

std::string title_of(const editor::Series& series) {
  std::string title = split(series.name).kind;
  title.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(title.front())));
  return title == "Smallest radius" ? "Least radius" : title;
}

std::string unknown_text(const editor::Series& series) {
  return series.unknown.empty() ? "not known" : "not known: " + series.unknown;
}

void follow_run(const PanelContext& context, const std::vector<std::string>& runs) {
  ViewState& state = context.state;
  const editor::Editor& editor = context.editor;
  if (!runs.empty() && std::ranges::find(runs, state.strip_run) == runs.end()) {
    state.strip_run = runs.front();
  }
  if (state.strip_finding == editor.selected_finding()) return;
  state.strip_finding = editor.selected_finding();
  const auto things = editor.highlighted();
  for (const std::string& run : runs) {
    const auto concerned = [&](const std::string& thing) {
      return run == thing || run.starts_with(thing + ", ");
    };
    if (std::ranges::any_of(things, concerned)) state.strip_run = run;
  }
}

std::vector<const editor::Series*> shown_series(const PanelContext& context) {
  std::vector<const editor::Series*> shown;
  for (const editor::Series& s : context.editor.series().series) {
    const SeriesName name = split(s.name);
    if (name.run.empty() || name.run == context.state.strip_run) shown.push_back(&s);
  }
  return shown;
}

Plot plot_of(const PanelContext& context, const editor::Series& series, std::size_t number,
             bool stale) {
  const ShownUnit shown = shown_unit(series, context.unit());
  Plot plot;
  plot.title = title_of(series);
  plot.x_label = "tour, s";
  plot.y_label = shown.unit;
  plot.unknown = unknown_text(series);
  plot.x = context.editor.series().time_s;
  Curve curve{series.name, {}, stale ? context.palette.faint : context.palette.series[number % 4]};
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
  if (context.editor.on_tour()) plot.cursor = context.editor.tour_time();
  for (const editor::TourStop& stop : context.editor.tour().stops) {
    if (!stale) plot.marks.push_back(stop.time_s);
  }
  return plot;
}

namespace {

void run_choice(const PanelContext& context, const std::vector<std::string>& runs, float width) {
  ViewState& state = context.state;
  ImGui::SetNextItemWidth(width);
  const std::string shown = shortened(state.strip_run, width - context.em * 2.6F);
  const bool open = ImGui::BeginCombo("##run", shown.c_str());
  if (!open) {
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("Curves of %s", state.strip_run.c_str());
    return;
  }
  for (const std::string& run : runs) {
    if (ImGui::Selectable(run.c_str(), run == state.strip_run)) state.strip_run = run;
  }
  ImGui::EndCombo();
}

/// "12.3 of 310 s, to X+ Y- Z-"; a pose that was jogged or jumped to is on no tour.
std::string when_text(const editor::Editor& editor, bool stale) {
  if (!editor.on_tour()) return "not on the tour";
  std::string when = fixed(editor.tour_time(), 1) + " of " + fixed(editor.tour().duration_s, 0) +
                     " s" + (stale ? ", out of date" : "");
  const auto& stops = editor.tour().stops;
  if (stops.empty() || stale) return when;
  const std::size_t next =
      std::min(editor::stop_at(editor.tour(), editor.tour_time()), stops.size() - 1);
  return when + ", to " + stops[next].what;
}

}  // namespace

void tour_controls(const PanelContext& context, const std::vector<std::string>& runs, bool stale) {
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
  if (one_line) ImGui::SameLine();
  if (runs.size() > 1 && one_line) {
    run_choice(context, runs, std::min(context.em * 18.0F, width * 0.33F));
    ImGui::SameLine();
  }
  ImGui::AlignTextToFramePadding();
  const std::string whose = runs.size() == 1 ? ", curves of " + runs.front() : "";
  fitted_text(when_text(editor, stale) + whose, context.palette.faint);
  if (runs.size() > 1 && !one_line) run_choice(context, runs, width);
}

}  // namespace bight::view
