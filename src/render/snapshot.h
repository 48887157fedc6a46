#pragma once
// A whole picture of a scene, text included, in memory.

#include "render/image.h"
#include "scene/annotate.h"
#include "scene/camera.h"
#include "scene/scene.h"

namespace bight::render {

struct SnapshotOptions {
  scene::Viewport size{1280, 800};
  scene::Scheme scheme = scene::Scheme::light;
  double text_px = 15.0;
  int samples = 4;
  scene::AnnotateOptions annotate;  ///< its scheme is set from the above
};

/// Needs a current context (render/offscreen.h). The same scene gives the same bytes on one
/// machine.
Image snapshot(const scene::Scene& scene, const scene::Camera& camera,
               const SnapshotOptions& options = {});

}  // namespace bight::render
