#pragma once
// Everything of a picture that is text or keeps its size in pixels, laid out in 2-D: grid numbers,
// rulers of straight views, dimensions, signs, names, legends, title. No OpenGL and no fonts: text
// is measured by a function. Texts never overlap each other.

#include <functional>
#include <string>
#include <vector>

#include "scene/camera.h"
#include "scene/label_layout.h"
#include "scene/scene.h"

namespace bight::scene {

enum class TextRole : std::uint8_t { text, small, strong };

/// Width and height of a text in pixels.
using MeasureText = std::function<Vec2(const std::string& text, TextRole role)>;

struct PlacedText {
  Vec2 corner{0.0};  ///< upper left, whole pixels
  std::string text;
  TextRole role = TextRole::text;
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

/// Filled convex polygon.
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

/// Drawn in this order; the plates of texts under their texts.
struct Annotations {
  std::vector<PlacedPolygon> polygons;
  std::vector<PlacedLine> lines;
  std::vector<PlacedText> texts;
  std::vector<PlacedSign> signs;
};

struct AnnotateOptions {
  Scheme scheme = Scheme::light;
  double scale = 1.0;  ///< of all sizes, for screens with small pixels
  bool labels = true;
  bool legends = true;
  bool title = true;
  bool rulers = true;           ///< along the border of straight views
  bool axes = true;             ///< the small cross that names X, Y and Z, in other views
  Insets insets;                ///< covered by panels
  std::vector<Rect> keep_free;  ///< pixels of handles: names and numbers stay off them
};

Annotations annotate(const Scene& scene, const Camera& camera, const Viewport& viewport,
                     const MeasureText& measure, const AnnotateOptions& options = {});

/// What rulers leave of the picture, besides the panels.
Insets insets_within_rulers(const Camera& camera, const AnnotateOptions& options);

/// Where annotate() puts the legends, for a view that is to keep clear of them.
std::vector<Rect> legend_boxes(const Scene& scene, const Camera& camera, const Viewport& viewport,
                               const MeasureText& measure, const AnnotateOptions& options);

/// Steps of the scene's grid at this zoom, mm. `strong` ones carry numbers.
struct GridSteps {
  double fine_mm = 0.0;
  double strong_mm = 0.0;
};
GridSteps grid_steps(LengthUnit unit, const Camera& camera, const Viewport& viewport,
                     double scale = 1.0);

}  // namespace bight::scene
