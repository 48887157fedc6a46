#include "view/plot.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/number.h"
#include "view/axis_ticks.h"
#include "view/fitted_text.h"

namespace bight::view {
namespace {

struct Span {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  void take(double v) {
    if (!std::isfinite(v)) return;
    low = std::min(low, v);
    high = std::max(high, v);
  }
  bool empty() const { return !(low <= high); }
};

/// All curves and the limit, with a margin; a constant gets room around it. What is far above a
/// lower limit is of no concern: the axis ends where the limit can still be told from zero.
Span value_span(const Plot& plot) {
  Span span;
  for (const Curve& curve : plot.curves) {
    for (const double v : curve.y) span.take(v);
  }
  constexpr double k_of_limit = 10.0;
  constexpr double k_of_least = 3.0;
  if (plot.limit && plot.limit->low && *plot.limit->low > 0.0 && !span.empty()) {
    span.high = std::min(span.high, std::max(k_of_limit * *plot.limit->low, k_of_least * span.low));
  }
  if (plot.limit) {
    if (plot.limit->low) span.take(*plot.limit->low);
    if (plot.limit->high) span.take(*plot.limit->high);
  }
  if (span.empty()) return {0.0, 1.0};
  const double room = span.high - span.low;
  const double margin = room > 0.0 ? 0.08 * room : std::max(1.0, 0.1 * std::abs(span.high));
  return {span.low - margin, span.high + margin};
}

/// Whether a value of a curve is on the wrong side of the limit.
bool is_broken(const Plot& plot) {
  if (!plot.limit) return false;
  const Limit& limit = *plot.limit;
  return std::ranges::any_of(plot.curves, [&](const Curve& curve) {
    return std::ranges::any_of(curve.y, [&](double v) {
      return (limit.low && v < *limit.low) || (limit.high && v > *limit.high);
    });
  });
}

/// About one tick every `spacing` pixels; nearer ones, down to `least`, where those leave fewer
/// than two: an axis with one number has no scale.
AxisTicks two_ticks(const Span& span, float length, float spacing, float least) {
  AxisTicks ticks = axis_ticks(span.low, span.high, length, spacing);
  while (ticks.values.size() < 2 && spacing > least) {
    spacing = std::max(least, 0.7F * spacing);
    ticks = axis_ticks(span.low, span.high, length, spacing);
  }
  return ticks;
}

struct Axes {
  ImVec2 lower_left;
  ImVec2 upper_right;
  Span x;
  Span y;
  float px(double v) const {
    return lower_left.x +
           static_cast<float>((v - x.low) / (x.high - x.low)) * (upper_right.x - lower_left.x);
  }
  float py(double v) const {
    return lower_left.y -
           static_cast<float>((v - y.low) / (y.high - y.low)) * (lower_left.y - upper_right.y);
  }
};

bool has_values(const Plot& plot) {
  return std::ranges::any_of(plot.curves, [](const Curve& curve) {
    return std::ranges::any_of(curve.y, [](double v) { return std::isfinite(v); });
  });
}

/// Long curves as the span of each pixel column joined from column to column: a dip of one sample
/// stays visible, and no joint of a polyline grows a spike.
void draw_curve(ImDrawList* draw, const Axes& axes, const std::vector<double>& x,
                const Curve& curve, float thick) {
  const std::size_t count = std::min(x.size(), curve.y.size());
  std::optional<ImVec2> last;
  std::size_t i = 0;
  while (i < count) {
    if (!std::isfinite(curve.y[i])) {
      last.reset();
      ++i;
      continue;
    }
    const float column = std::floor(axes.px(x[i]));
    float top = axes.py(curve.y[i]);
    float bottom = top;
    const ImVec2 first{axes.px(x[i]), top};
    ImVec2 end = first;
    while (i < count && std::isfinite(curve.y[i]) && std::floor(axes.px(x[i])) == column) {
      end = {axes.px(x[i]), axes.py(curve.y[i])};
      top = std::min(top, end.y);
      bottom = std::max(bottom, end.y);
      ++i;
    }
    if (last) draw->AddLine(*last, first, curve.colour, thick);
    if (bottom - top > thick) {
      draw->AddLine({column + 0.5F, top}, {column + 0.5F, bottom}, curve.colour, thick);
    }
    last = end;
  }
}

void draw_limit(ImDrawList* draw, ImU32 colour, const Axes& axes, const Limit& limit) {
  const ImU32 tint = with_alpha(colour, 0.10F);
  const float left = axes.lower_left.x;
  const float right = axes.upper_right.x;
  const auto edge = [&](float y) {
    draw->AddLine({left, y}, {right, y}, with_alpha(colour, 0.75F), 1.0F);
  };
  if (limit.low && *limit.low > axes.y.low) {
    const float y = axes.py(std::min(*limit.low, axes.y.high));
    draw->AddRectFilled({left, y}, {right, axes.lower_left.y}, tint);
    edge(y);
  }
  if (limit.high && *limit.high < axes.y.high) {
    const float y = axes.py(std::max(*limit.high, axes.y.low));
    draw->AddRectFilled({left, axes.upper_right.y}, {right, y}, tint);
    edge(y);
  }
}

/// The limit's words, at the right end of its line, on the side that has room.
void label_limit(ImDrawList* draw, const Palette& palette, ImU32 colour, const Axes& axes,
                 const Limit& limit) {
  const auto value = limit.low ? limit.low : limit.high;
  if (!value || limit.label.empty()) return;
  const float room = axes.upper_right.x - axes.lower_left.x - 8.0F;
  const std::string text = shortened(limit.label, room);
  const ImVec2 size = ImGui::CalcTextSize(text.c_str());
  const float y = std::clamp(axes.py(*value), axes.upper_right.y, axes.lower_left.y);
  const float middle = 0.5F * (axes.upper_right.y + axes.lower_left.y);
  const float top = y > middle ? y - size.y - 2.0F : y + 2.0F;
  const ImVec2 at{std::floor(axes.upper_right.x - size.x - 4.0F), std::floor(top)};
  draw->AddRectFilled({at.x - 2.0F, at.y}, {at.x + size.x + 2.0F, at.y + size.y},
                      with_alpha(palette.well, 0.75F));
  draw->AddText(at, colour, text.c_str());
}

/// "s" of "tour, s".
std::string unit_of(const std::string& label) {
  const std::size_t comma = label.rfind(", ");
  return comma == std::string::npos ? "" : label.substr(comma + 2);
}

/// Value of the first curve where it is known nearest to x.
std::optional<double> value_at(const Plot& plot, double x) {
  if (plot.x.empty() || plot.curves.empty()) return {};
  const auto after = std::ranges::lower_bound(plot.x, x);
  auto index = static_cast<std::size_t>(after - plot.x.begin());
  if (index > 0 && (after == plot.x.end() || x - plot.x[index - 1] < *after - x)) --index;
  if (index >= plot.curves.front().y.size()) return {};
  const double value = plot.curves.front().y[index];
  return std::isfinite(value) ? std::optional(value) : std::nullopt;
}

AxisTicks value_ticks(const Span& span, float length) {
  return two_ticks(span, length, ImGui::GetFontSize() * 1.9F, ImGui::GetTextLineHeight());
}

float widest_number(const AxisTicks& ticks) {
  float widest = 0.0F;
  for (const double v : ticks.values) {
    widest = std::max(widest, ImGui::CalcTextSize(fixed(v, ticks.decimals).c_str()).x);
  }
  return widest;
}

/// Above the axes, for the title.
float head_height(float em) {
  return em * 1.35F;
}

/// Below the axes, for the numbers.
float foot_height(const Plot& plot, float em) {
  return plot.x_numbers ? em * 2.5F : em * 0.4F;
}

}  // namespace

float axis_gutter(const Plot& plot, float height) {
  if (!has_values(plot)) return 0.0F;
  const float em = ImGui::GetFontSize();
  return widest_number(
      value_ticks(value_span(plot), height - head_height(em) - foot_height(plot, em)));
}

PlotTouch draw_plot(const char* id, const Palette& palette, const Plot& plot, ImVec2 size) {
  PlotTouch touch;
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float em = ImGui::GetFontSize();
  if (size.x < em * 6.0F || size.y < em * 3.0F) {
    ImGui::Dummy(size);
    return touch;
  }
  ImGui::InvisibleButton(id, size);
  if (!has_values(plot)) {
    const std::string title = shortened(plot.title, size.x);
    draw->AddText(at, palette.ink, title.c_str());
    draw->AddRect({at.x, at.y + em * 1.35F}, {at.x + size.x - em * 0.6F, at.y + size.y - em * 0.4F},
                  palette.rule);
    draw->AddText(ImGui::GetFont(), em, {at.x + em * 0.5F, at.y + em * 1.9F}, palette.faint,
                  plot.unknown.c_str(), nullptr, size.x - em * 1.6F);
    return touch;
  }
  const float head = head_height(em);
  const float foot = foot_height(plot, em);
  Axes axes{{at.x, at.y + size.y - foot}, {at.x + size.x - em * 0.6F, at.y + head}, {}, {}};
  axes.y = value_span(plot);
  for (const double v : plot.x) axes.x.take(v);
  if (axes.x.empty() || !(axes.x.low < axes.x.high)) axes.x = {0.0, 1.0};
  const AxisTicks y_ticks = value_ticks(axes.y, axes.lower_left.y - axes.upper_right.y);
  const float gutter = std::max(plot.gutter, widest_number(y_ticks));
  axes.lower_left.x = std::floor(at.x + gutter + em * 0.5F);
  const float left = axes.lower_left.x;
  const float right = axes.upper_right.x;
  draw->AddRectFilled({left, axes.upper_right.y}, {right, axes.lower_left.y}, palette.well);
  const ImU32 limit_colour = is_broken(plot) ? palette.stop : palette.faint;
  if (plot.limit) draw_limit(draw, limit_colour, axes, *plot.limit);
  const ImU32 grid = with_alpha(palette.rule, 0.6F);
  for (const double v : y_ticks.values) {
    const float y = std::floor(axes.py(v)) + 0.5F;
    draw->AddLine({left, y}, {right, y}, grid);
    const std::string text = fixed(v, y_ticks.decimals);
    const ImVec2 extent = ImGui::CalcTextSize(text.c_str());
    draw->AddText({std::floor(left - em * 0.35F - extent.x), std::floor(y - extent.y * 0.5F)},
                  palette.faint, text.c_str());
  }
  const AxisTicks x_ticks = two_ticks(axes.x, right - left, em * 6.0F, em * 2.6F);
  for (const double v : x_ticks.values) {
    const float x = std::floor(axes.px(v)) + 0.5F;
    draw->AddLine({x, axes.upper_right.y}, {x, axes.lower_left.y}, grid);
    if (!plot.x_numbers) continue;
    const std::string text = fixed(v, x_ticks.decimals);
    const float width = ImGui::CalcTextSize(text.c_str()).x;
    const float from = std::clamp(std::floor(x - width * 0.5F), at.x, at.x + size.x - width);
    draw->AddText({from, axes.lower_left.y + em * 0.15F}, palette.faint, text.c_str());
  }
  // The limit's words stand below the plot where there is room, off the curve; beside them the
  // axis' name, or its unit alone.
  const float limit_width =
      plot.limit ? ImGui::CalcTextSize(plot.limit->label.c_str()).x + em * 0.8F : 0.0F;
  const bool limit_below = plot.x_numbers && limit_width <= size.x;
  const float below = axes.lower_left.y + em * 1.3F;
  if (plot.limit && limit_below) {
    draw->AddText({at.x, below}, limit_colour, plot.limit->label.c_str());
  }
  if (plot.x_numbers) {
    const float free = right - at.x - (limit_below ? limit_width : 0.0F);
    for (const std::string& label : {plot.x_label, unit_of(plot.x_label)}) {
      const float width = ImGui::CalcTextSize(label.c_str()).x;
      if (width > free) continue;
      draw->AddText({std::floor(right - width), below}, palette.faint, label.c_str());
      break;
    }
  }
  draw->PushClipRect({left, axes.upper_right.y - 1.0F}, {right, axes.lower_left.y + 1.0F}, true);
  const float thick = std::max(1.4F, em * 0.1F);
  for (const Curve& curve : plot.curves) draw_curve(draw, axes, plot.x, curve, thick);
  if (plot.limit && !limit_below) label_limit(draw, palette, limit_colour, axes, *plot.limit);
  for (const double mark : plot.marks) {
    const float x = std::floor(axes.px(mark)) + 0.5F;
    draw->AddLine({x, axes.lower_left.y - em * 0.3F}, {x, axes.lower_left.y}, palette.faint);
  }
  if (plot.cursor) {
    const float x = std::floor(axes.px(*plot.cursor)) + 0.5F;
    draw->AddLine({x, axes.upper_right.y}, {x, axes.lower_left.y}, palette.ink,
                  std::max(1.0F, em * 0.08F));
  }
  draw->PopClipRect();
  draw->AddRect({left, axes.upper_right.y}, {right, axes.lower_left.y}, palette.rule);

  // The head line: title, then at the right what the cursor reads and the limit.
  const int decimals = std::max(plot.y_label == "in" ? 2 : 1, y_ticks.decimals);
  std::string readout;
  if (plot.cursor) {
    if (const auto value = value_at(plot, *plot.cursor)) {
      readout = fixed(*value, decimals) + " " + plot.y_label;
    }
  }
  const std::string title = shortened(
      plot.title + (readout.empty() && !plot.y_label.empty() ? ", " + plot.y_label : ""), size.x);
  draw->AddText(at, palette.ink, title.c_str());
  const float title_width = ImGui::CalcTextSize(title.c_str()).x;
  ImGui::SetWindowFontScale(0.87F);
  const float width = ImGui::CalcTextSize(readout.c_str()).x;
  // A value cut short would be a wrong value.
  if (!readout.empty() && title_width + width + em * 0.8F <= size.x) {
    draw->AddText({std::floor(at.x + size.x - width - em * 0.4F), at.y + std::round(em * 0.1F)},
                  palette.faint, readout.c_str());
  }
  ImGui::SetWindowFontScale(1.0F);
  if (!(right > left)) return touch;
  const float mouse = std::clamp(ImGui::GetIO().MousePos.x, left, right);
  const double under = axes.x.low + (axes.x.high - axes.x.low) *
                                        static_cast<double>((mouse - left) / (right - left));
  if (ImGui::IsItemActive()) {
    touch.x = under;
  } else if (ImGui::IsItemHovered()) {
    const auto value = value_at(plot, under);
    draw->AddLine({mouse, axes.upper_right.y}, {mouse, axes.lower_left.y},
                  with_alpha(palette.accent, 0.6F));
    ImGui::SetTooltip("%s s: %s", fixed(under, 1).c_str(),
                      value ? (fixed(*value, decimals) + " " + plot.y_label).c_str() : "not known");
  }
  return touch;
}

}  // namespace bight::view
