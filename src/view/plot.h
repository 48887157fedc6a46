#pragma once
// A plot with axes, units and limits, drawn with ImGui's draw list.

#include <imgui.h>

#include <optional>
#include <string>
#include <vector>

#include "view/theme.h"

namespace bight::view {

/// One curve over the common x values; a value that is not finite leaves a gap.
struct Curve {
  std::string label;
  std::vector<double> y;
  ImU32 colour = 0;
};

/// What is good: values from `low` up, or up to `high`; the rest is tinted.
struct Limit {
  std::optional<double> low;
  std::optional<double> high;
  std::string label;  ///< with its number and unit
};

struct Plot {
  std::string title;
  std::string x_label;  ///< with unit
  std::string y_label;  ///< with unit
  std::vector<double> x;
  std::vector<Curve> curves;
  std::optional<Limit> limit;
  std::optional<double> cursor;
  std::vector<double> marks;  ///< x of moments worth a short tick along the lower edge
  std::string unknown;        ///< instead of curves without any value
  float gutter = 0.0F;        ///< at least so wide, left of the axes (axis_gutter())
  bool x_numbers = true;      ///< a stack of plots numbers only the last one's x axis
};

/// x that was clicked or dragged to, when it was.
struct PlotTouch {
  std::optional<double> x;
};

/// Width of the numbers beside the value axis of a plot of this height.
float axis_gutter(const Plot& plot, float height);

/// Draws into the next `size` pixels of the window as an item called `id`. Draws the title in the
/// upper left corner, the unit beside the axis, and a readout of the first curve at the cursor.
PlotTouch draw_plot(const char* id, const Palette& palette, const Plot& plot, ImVec2 size);

}  // namespace bight::view
