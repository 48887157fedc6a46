#pragma once
// Everything of a picture that is text or keeps its size in pixels, laid out in 2-D: grid numbers,
// rulers of straight views, dimensions, signs, names, legends, title. No OpenGL and no fonts: text
// is measured by a function.

#include <functional>
#include <string>
#include <vector>

#include "scene/camera.h"
#include "scene/label_layout.h"
#include "scene/scene.h"

namespace bight::scene {

/// Width and height of a text in pixels at size `px`.
using MeasureText = std::function<Vec2(const std::string& text, double px)>;

struct PlacedText {
  Vec2 corner{0.0};  ///< upper left, whole pixels
  std::string text;
  double size_px = 15.0;
  Paint paint = Paint::text;
  bool halo = false;  ///< a plate behind it, so that it reads on everything
  Vec2 size{0.0};     ///< as measured
};

struct PlacedLine {
  Vec2 from{0.0};
  Vec2 to{0.0};
  Paint paint = Paint::text;
  double width_px = 1.0;
  double opacity = 1.0;
};

/// Filled or outlined polygon (convex).
struct PlacedPolygon {
  std::vector<Vec2> points;
  Color fill;
};

struct PlacedSign {
  Vec2 at{0.0};
  Mark mark = Mark::note;
  double radius_px = 8.0;
  Id id = 0;
};

struct Annotations {
  std::vector<PlacedPolygon> polygons;  ///< drawn first
  std::vector<PlacedLine> lines;
  std::vector<PlacedSign> signs;
  std::vector<PlacedText> texts;  ///< drawn last
};

struct AnnotateOptions {
  Scheme scheme = Scheme::light;
  double scale = 1.0;  ///< of all sizes, for screens with small pixels
  bool labels = true;
  bool legends = true;
  bool title = true;
  bool rulers = true;       ///< along the border of straight views
  Rect clear;               ///< kept free of all text (a panel lies there); empty: nothing
  double inset_left = 0.0;  ///< pixels of the picture that are covered by panels
  double inset_right = 0.0;
  double inset_top = 0.0;
  double inset_bottom = 0.0;
};

Annotations annotate(const Scene& scene, const Camera& camera, const Viewport& viewport,
                     const MeasureText& measure, const AnnotateOptions& options = {});

/// Step of a grid: 1, 2 or 5 x 10^n of the unit, the smallest that spans at least `least_px`.
/// Returned in mm. Inches go by 1, 2, 6, 12 x 2^n or 1/2^n.
double grid_step(LengthUnit unit, double mm_per_px, double least_px);

}  // namespace bight::scene
