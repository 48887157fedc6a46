#pragma once
// A picture as plain data: solids, links, tubes, strokes, boxes, heat maps, marks, dimensions and
// labels, each with what it stands for. No OpenGL, no fonts; picture fills it, render draws it.
//
// Positions are mm in the frame of the plan (X right, Y away, Z up).

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/box.h"
#include "base/units.h"
#include "scene/palette.h"
#include "scene/thing.h"
#include "shape/mesh.h"

namespace bight::scene {

enum class Emphasis : std::uint8_t { normal, faded, hovered, selected };

/// A mesh moved by `translation`. The mesh's address is its identity: what was uploaded for it is
/// used again as long as the pointer lives, so hand the same pointer for a part that only moves.
struct Solid {
  std::shared_ptr<const shape::Mesh> mesh;
  Vec3 translation{0.0};
  Paint paint = Paint::fixed;
  Id id = 0;
  Emphasis emphasis = Emphasis::normal;
  Mark mark = Mark::none;  ///< tints what a finding is about
  /// A wall, floor or ceiling: drawn only while the camera looks against this direction (from
  /// inside the room), else left out so that it never hides the machine.
  std::optional<Vec3> inward;
  Box mesh_box;  ///< of the mesh, without the translation; empty: not told, taken from the mesh

  /// Where it is.
  Box box() const {
    const Box b = mesh_box.empty() ? shape::bounds(*mesh) : mesh_box;
    return b.empty() ? b : translated(b, translation);
  }
};

/// Where one copy of a mesh is: its origin and the images of its X and Z axes (unit, at right
/// angles).
struct Placement {
  Vec3 origin{0.0};
  Vec3 x{1.0, 0.0, 0.0};
  Vec3 z{0.0, 0.0, 1.0};
};

/// Many copies of a mesh: the links of a chain.
struct Instances {
  std::shared_ptr<const shape::Mesh> mesh;
  std::vector<Placement> places;
  Paint paint = Paint::chain;
  Id id = 0;
  Emphasis emphasis = Emphasis::normal;
  Mark mark = Mark::none;
};

/// A cable or hose: a round tube true to scale (never thinner than a few pixels). `value` has one
/// number a point, in [0, 1] of its bend limit, above 1 beyond it; empty: drawn in `paint`.
struct Tube {
  std::vector<Vec3> points;
  std::vector<double> value;
  double radius_mm = 1.0;
  Paint paint = Paint::support;
  Id id = 0;
  Emphasis emphasis = Emphasis::normal;
};

/// A polyline of constant width on the picture.
struct Stroke {
  std::vector<Vec3> points;
  Paint paint = Paint::path;
  double width_px = 1.5;
  double dash_px = 0.0;  ///< 0: solid
  double opacity = 1.0;
  bool on_top = false;  ///< not hidden by solids
  Id id = 0;
};

/// Translucent boxes that are drawn as one body: where they lie behind each other only the nearest
/// face shows.
struct BoxCloud {
  std::vector<Box> boxes;
  Paint paint = Paint::travel;
  double opacity = 0.12;
  bool outlined = false;  ///< edges of each box drawn
  Id id = 0;
};

/// A parallelogram of a heat map. NaN: left out.
struct HeatCell {
  Vec3 corner{0.0};
  Vec3 across{0.0};
  Vec3 up{0.0};
  double value = 0.0;  ///< [0, 1] along the ramp
};

/// A heat map: reach over the bed, hook places under the ceiling.
struct HeatMap {
  std::vector<HeatCell> cells;
  Ramp ramp = Ramp::depth;
  double opacity = 0.85;
  Id id = 0;
};

/// A sign that keeps its size on the picture and tells severity by its shape.
struct Sign {
  Vec3 at{0.0};
  Mark mark = Mark::note;
  Id id = 0;
};

/// Two points, a line between them with arrow heads, and the number between them.
struct Dimension {
  Vec3 from{0.0};
  Vec3 to{0.0};
  std::string text;  ///< with its unit
  Mark mark = Mark::none;
};

/// A name at a point. Labels that would overlap are moved, then left out, lowest priority first.
struct Label {
  Vec3 at{0.0};
  std::string text;
  int priority = 0;
  Paint paint = Paint::text;
  Id id = 0;
};

/// A ramp with the values at its ends, drawn in a corner.
struct Legend {
  std::string title;
  Ramp ramp = Ramp::use;
  std::string at_low;
  std::string at_high;
  std::string beyond;  ///< what lies above the ramp; empty: nothing
};

/// True-scale grid on a level plane: lines at multiples of 1, 2 or 5 x 10^n of the unit.
struct Grid {
  double level_mm = 0.0;
  Vec2 from{0.0};  ///< mm, X and Y
  Vec2 to{0.0};
};

/// Everything beyond the plane (on the side of its normal) is cut away.
struct Section {
  Vec3 point{0.0};
  Vec3 normal{0.0};  ///< unit
};

struct Scene {
  std::vector<Thing> things;  ///< Id - 1 is the index
  std::vector<Solid> solids;
  std::vector<Instances> instances;
  std::vector<Tube> tubes;
  std::vector<Stroke> strokes;
  std::vector<BoxCloud> clouds;
  std::vector<HeatMap> maps;
  std::vector<Sign> signs;
  std::vector<Dimension> dimensions;
  std::vector<Label> labels;
  std::vector<Legend> legends;
  std::optional<Grid> grid;
  std::optional<Section> section;
  std::string title;  ///< upper left corner; empty: none
  std::string subtitle;
  LengthUnit unit = LengthUnit::mm;
  Box focus;   ///< what a view is fitted to when nothing else is asked: the machine
  Box bounds;  ///< all that is drawn

  /// Id of a thing, added when it is new.
  Id id_of(const Thing& thing);
  /// Nothing for 0 or an id that is not of this scene.
  const Thing* thing_of(Id id) const;
};

/// Box of the drawables of a thing; empty when it has none. For "focus on selection".
Box box_of(const Scene& scene, Id id);

/// Box of all solids, links and tubes.
Box drawn_box(const Scene& scene);

}  // namespace bight::scene
