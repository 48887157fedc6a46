#pragma once
// Where a picture is seen from. Perspective or straight (orthographic); always upright. The same
// camera serves drawing, labels, picking and dragging.

#include <glm/mat4x4.hpp>
#include <optional>
#include <string_view>
#include <vector>

#include "base/box.h"
#include "base/vec.h"

namespace bight::scene {

using Mat4 = glm::dmat4;  ///< column-major, OpenGL clip space: x, y, z in [-w, w]

/// Looks at `target` from `distance_mm` away. Azimuth: 0 looks along +Y (from the operator's side),
/// counted counter-clockwise seen from above; elevation: 90 looks straight down. A straight view
/// shows at the target what the perspective one shows there.
struct Camera {
  Vec3 target{0.0};
  double azimuth_deg = 30.0;
  double elevation_deg = 25.0;
  double distance_mm = 3000.0;
  double field_of_view_deg = 28.0;  ///< vertical
  bool straight = false;
};

/// Size of the picture in pixels, x right, y down from the upper left corner.
struct Viewport {
  int width = 0;
  int height = 0;
};

/// Unit vectors of the picture in the frame of the plan. `forward` points away from the viewer.
struct CameraFrame {
  Vec3 eye{0.0};
  Vec3 right{0.0};
  Vec3 up{0.0};
  Vec3 forward{0.0};
};
CameraFrame frame_of(const Camera& camera);

/// Matrices for positions relative to the eye (so that single precision does). Near and far are put
/// around `bounds`.
struct CameraMatrices {
  Mat4 view{1.0};  ///< turn only: the eye is the origin
  Mat4 projection{1.0};
  double near_mm = 0.0;
  double far_mm = 0.0;
};
CameraMatrices matrices_of(const Camera& camera, const Viewport& viewport, const Box& bounds);

/// A point on the picture; nothing when it is behind the eye. `depth_mm` along forward.
struct Projected {
  Vec2 pixel{0.0};
  double depth_mm = 0.0;
};
std::optional<Projected> project(const Camera& camera, const Viewport& viewport, const Vec3& point);

/// The ray of a pixel (its upper left corner; add 0.5 for its middle).
struct Ray {
  Vec3 origin{0.0};
  Vec3 direction{0.0};  ///< unit
};
Ray ray_through(const Camera& camera, const Viewport& viewport, const Vec2& pixel);

/// Where the ray meets the level plane Z = level; nothing when it runs beside or away from it.
std::optional<Vec3> meet_level(const Ray& ray, double level_mm);
/// Point of the line point + s direction that is nearest to the ray, as s: for dragging along an
/// axis.
double along_line(const Ray& ray, const Vec3& point, const Vec3& direction);

/// mm that one pixel spans at a depth.
double mm_per_pixel(const Camera& camera, const Viewport& viewport, double depth_mm);

/// Pixels along the borders of a picture that something covers.
struct Insets {
  double left = 0.0;
  double right = 0.0;
  double top = 0.0;
  double bottom = 0.0;
};

/// The camera moved and its distance changed so that the box fills the picture within the insets
/// up to `margin` (share of the picture left free on each side). Unchanged for an empty box.
Camera fitted(Camera camera, const Box& box, const Viewport& viewport, double margin = 0.06,
              const Insets& insets = {});

/// Navigation by pixels of mouse motion.
Camera orbited(Camera camera, const Vec2& pixels);
Camera panned(Camera camera, const Viewport& viewport, const Vec2& pixels);
/// Zoom by `factor` (< 1: nearer) keeping what is under `pixel` there.
Camera zoomed(Camera camera, const Viewport& viewport, const Vec2& pixel, double factor);

/// Named directions. `corner` views are in perspective, the others straight.
struct NamedView {
  std::string_view name;
  std::string_view about;
  double azimuth_deg;
  double elevation_deg;
  bool straight;
};
/// front, back, left, right, above, below, corner, left corner, back corner, low.
const std::vector<NamedView>& named_views();
/// The camera turned to a named view; nothing for an unknown name.
std::optional<Camera> turned_to(Camera camera, std::string_view view);

}  // namespace bight::scene
