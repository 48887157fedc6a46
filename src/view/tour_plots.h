#pragma once
// The curves along the tour as plots, shared by the strip under the picture and the page of curves.

#include <string>
#include <vector>

#include "view/panel_context.h"
#include "view/plot.h"

namespace bight::view {

/// Free runs that have curves, in their order.
std::vector<std::string> runs_of(const editor::TourSeries& series);

/// The run whose curves are shown: as chosen, else the one that the chosen finding is about, else
/// the first. Kept in the state of the window.
void follow_run(const PanelContext& context, const std::vector<std::string>& runs);

/// Curves of the machine and of the chosen run.
std::vector<const editor::Series*> shown_series(const PanelContext& context);

/// A series in the unit of the screen with its limit and the tour's time.
Plot plot_of(const PanelContext& context, const editor::Series& series, std::size_t number,
             bool stale);

/// "not known: its support moves".
std::string unknown_text(const editor::Series& series);

/// What a series is called above its plot: "Least radius".
std::string title_of(const editor::Series& series);

/// Factor and name of the unit in which a series is shown.
struct ShownUnit {
  double factor = 1.0;
  std::string unit;
};
ShownUnit shown_unit(const editor::Series& series, LengthUnit unit);

/// Play, speed, whose curves, and where the tour is: in one line where it is wide enough.
void tour_controls(const PanelContext& context, const std::vector<std::string>& runs, bool stale);

}  // namespace bight::view
