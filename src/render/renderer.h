#pragma once
// Draws a scene with OpenGL (3.3 core or later) into the framebuffer that is bound. A context must
// be current on the thread; text and signs are not drawn here (render/draw_annotations.h).

#include <cstddef>
#include <memory>
#include <optional>

#include "render/ready_meshes.h"
#include "scene/camera.h"
#include "scene/scene.h"

namespace bight::render {

struct DrawOptions {
  scene::Scheme scheme = scene::Scheme::light;
  int samples = 4;  ///< wanted; the driver's most if that is less
  /// While a person drags, by a software driver: large meshes as a stand-in of fewer triangles, and
  /// half the resolution above so many triangles of the scene. A graphics card draws all of it.
  bool moving = false;
  /// A picture that is soon drawn again in full, by a software driver: one sample a pixel.
  bool draft = false;
  std::size_t half_resolution_above = 60'000;
};

struct DrawFigures {
  std::size_t triangles = 0;  ///< sent in this frame
  std::size_t uploads = 0;    ///< meshes that were new
  bool half_resolution = false;
};

struct PickResult {
  scene::Id id = 0;
  Vec3 point{0.0};  ///< on the surface that was hit
};

/// Keeps what was uploaded, by the address of each mesh; meshes that are gone are freed. Must be
/// destroyed while the context is current.
class Renderer {
 public:
  Renderer();
  ~Renderer();
  Renderer(const Renderer&) = delete;
  Renderer& operator=(const Renderer&) = delete;

  /// True when the processor draws: then drafts are worth their while.
  bool is_software() const;

  /// Draws into an own picture of the size of the viewport, kept until the next draw.
  DrawFigures draw(const scene::Scene& scene, const scene::Camera& camera,
                   const scene::Viewport& viewport, const DrawOptions& options = {});

  /// Uploads the meshes of a scene that is drawn next, from buffers made elsewhere.
  void upload(const scene::Scene& scene, ReadyMeshes ready);

  /// Copies the last picture into a framebuffer (0: the window) with its lower left corner at x, y.
  /// Cheap: redraw panels over it as often as needed. Leaves that framebuffer bound.
  void present(unsigned framebuffer, int x, int y);

  /// What is nearest within `radius_px` of a pixel; nothing over the background.
  std::optional<PickResult> pick(const scene::Scene& scene, const scene::Camera& camera,
                                 const scene::Viewport& viewport, const Vec2& pixel,
                                 int radius_px = 3);

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace bight::render
