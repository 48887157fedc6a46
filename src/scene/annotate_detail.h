#pragma once
// Steps of annotate(), shared by its sources only.

#include "scene/annotate.h"

namespace bight::scene::annotate_detail {

/// A picture being annotated: what is placed so far and where nothing more may go.
struct Page {
  const Scene& scene;
  const Camera& camera;
  const Viewport& viewport;
  const MeasureText& measure;
  const AnnotateOptions& options;
  Rect area;  ///< free of panels; shrinks by rulers
  std::vector<Rect> taken;
  std::vector<Rect> covers;  ///< legends: what lies under them is not seen and has no name
  Annotations out;

  double px(double size) const { return size * options.scale; }
  /// Adds a text at its upper left corner and takes its room.
  void add_text(const Vec2& corner, const std::string& text, TextRole role, Paint paint, bool halo);
  /// The same unless it would overlap something or stick out.
  bool add_text_if_free(const Vec2& corner, const std::string& text, TextRole role, Paint paint,
                        bool halo);
  void add_plate(const Rect& box);
};

void add_title(Page& page);
/// One below the other in the lower right corner, all equally wide.
std::vector<Rect> legend_plates(const Page& page);
void add_legends(Page& page);
void add_rulers(Page& page);
void add_grid_numbers(Page& page);
void add_axes(Page& page);

/// True when picture right and up are along plan axes, so that rulers read true.
bool is_along_axes(const Camera& camera);

}  // namespace bight::scene::annotate_detail
