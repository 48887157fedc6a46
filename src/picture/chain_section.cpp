#include "picture/chain_section.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "study/lookup.h"

namespace bight::picture {
namespace {

using scene::Mark;
using scene::Paint;

DrawnPolygon rectangle(const Vec2& lower, const Vec2& upper, Paint fill, double opacity,
                       double stroke_px) {
  return {{lower, {upper.x, lower.y}, upper, {lower.x, upper.y}},
          fill,
          opacity,
          Paint::edge,
          stroke_px};
}

void add_dimension(Drawing& drawing, const Vec2& from, const Vec2& to, const std::string& text,
                   const Vec2& text_at) {
  drawing.lines.push_back({from, to, Paint::text_quiet, 1.0, true});
  drawing.texts.push_back({text_at, text, TextAlign::centre, Paint::text_quiet, 12.0, Mark::none});
}

}  // namespace

Drawing chain_section(const plan::Chain& chain, const study::ChainFigures& figures,
                      LengthUnit unit) {
  Drawing drawing;
  const Vec2 inner(chain.inner_width, chain.inner_height);
  const Vec2 wall = 0.5 * (Vec2(chain.outer_width, chain.outer_height) - inner);
  const Vec2 lower = -wall;
  const Vec2 upper = inner + wall;
  drawing.polygons.push_back(rectangle(lower, upper, Paint::chain, 0.55, 1.5));
  drawing.polygons.push_back(rectangle({0.0, 0.0}, inner, Paint::background_top, 1.0, 1.0));
  const double half = 0.5 * std::max(chain.divider_thickness, 0.5);
  for (const double x : chain.dividers) {
    drawing.polygons.push_back(
        rectangle({x - half, 0.0}, {x + half, inner.y}, Paint::chain, 0.55, 1.0));
  }

  const auto& lines = figures.fill.lines;
  // Names stand above the section, each over its line, in rows where they would touch.
  const double row = 0.34 * std::max(chain.outer_height, 12.0);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const chain::PlacedLine& line = lines[i];
    if (!line.centre_mm || i >= figures.line_diameters_mm.size()) continue;
    const double radius = 0.5 * figures.line_diameters_mm[i];
    const bool lacks = line.clearance_mm < line.wanted_clearance_mm - 1e-6;
    const bool clashes = line.clearance_mm < 0.0;
    const Mark mark = clashes ? Mark::stop : lacks ? Mark::act : Mark::none;
    const Paint fill = mark == Mark::none ? Paint::moving_two : paint_of(mark);
    drawing.circles.push_back({*line.centre_mm, radius + line.wanted_clearance_mm,
                               Paint::background_top, 0.0, Paint::text_quiet, 1.0, true});
    drawing.circles.push_back({*line.centre_mm, radius, fill, 0.85, Paint::edge, 1.2, false});
    const double y = upper.y + row * (1.0 + static_cast<double>(i % 3));
    drawing.lines.push_back({{line.centre_mm->x, line.centre_mm->y + radius},
                             {line.centre_mm->x, y - 0.3 * row},
                             Paint::text_quiet,
                             0.75,
                             false});
    std::string text = figures.line_names[i] + " " + length_text(2.0 * radius, unit);
    if (mark != Mark::none) {
      text += ", " + length_text(line.clearance_mm, unit) + " to " + line.nearest;
    }
    drawing.texts.push_back(
        {{line.centre_mm->x, y}, text, TextAlign::centre, Paint::text, 12.0, mark});
  }
  const double below = lower.y - row;
  add_dimension(drawing, {0.0, below}, {inner.x, below}, length_text(inner.x, unit),
                {0.5 * inner.x, below - 0.55 * row});
  const double beside = upper.x + row;
  add_dimension(drawing, {beside, 0.0}, {beside, inner.y}, length_text(inner.y, unit),
                {beside + 1.6 * row, 0.5 * inner.y});
  drawing.lower = {lower.x - row, below - row};
  drawing.upper = {beside + 3.2 * row, upper.y + 3.6 * row};
  return drawing;
}

}  // namespace bight::picture
