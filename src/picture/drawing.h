#pragma once
// A flat drawing as plain data, for the window, SVG and PDF alike: mm, x right, y up.

#include <string>
#include <vector>

#include "base/vec.h"
#include "scene/palette.h"

namespace bight::picture {

/// A closed outline, filled or not. Opacity 0 leaves the fill out; width 0 the outline.
struct DrawnPolygon {
  std::vector<Vec2> points;
  scene::Paint fill = scene::Paint::surroundings;
  double fill_opacity = 0.0;
  scene::Paint stroke = scene::Paint::edge;
  double stroke_px = 1.0;
};

struct DrawnCircle {
  Vec2 centre{0.0};
  double radius_mm = 0.0;
  scene::Paint fill = scene::Paint::surroundings;
  double fill_opacity = 0.0;
  scene::Paint stroke = scene::Paint::edge;
  double stroke_px = 1.0;
  bool dashed = false;
};

struct DrawnLine {
  Vec2 from{0.0};
  Vec2 to{0.0};
  scene::Paint stroke = scene::Paint::edge;
  double width_px = 1.0;
  bool arrows = false;  ///< at both ends: a dimension
};

enum class TextAlign : std::uint8_t { left, centre, right };

/// Text of constant size on the page; `at` is its middle in height.
struct DrawnText {
  Vec2 at{0.0};
  std::string text;
  TextAlign align = TextAlign::centre;
  scene::Paint paint = scene::Paint::text;
  double size_px = 13.0;
  scene::Mark mark = scene::Mark::none;  ///< drawn before the text
};

/// Drawn in this order: polygons, circles, lines, texts.
struct Drawing {
  std::vector<DrawnPolygon> polygons;
  std::vector<DrawnCircle> circles;
  std::vector<DrawnLine> lines;
  std::vector<DrawnText> texts;
  Vec2 lower{0.0};  ///< extent with texts left out, mm
  Vec2 upper{0.0};
};

}  // namespace bight::picture
