#pragma once
// A whole picture of a scene, text included, in memory.

#include <memory>

#include "render/image.h"
#include "render/ready_meshes.h"
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

/// Makes pictures in one context. What does not depend on the scene (shaders, fonts) is prepared
/// when it is made, so that it can be made while the scene is still being computed elsewhere.
class SnapshotMaker {
 public:
  /// Needs a current context (render/offscreen.h), for as long as it lives.
  explicit SnapshotMaker(const SnapshotOptions& options);
  ~SnapshotMaker();
  SnapshotMaker(const SnapshotMaker&) = delete;
  SnapshotMaker& operator=(const SnapshotMaker&) = delete;

  /// The same scene gives the same bytes on one machine.
  /// `ready`: buffers of its meshes as far as they are made already.
  Image take(const scene::Scene& scene, const scene::Camera& camera, ReadyMeshes ready = {});

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

/// One picture.
Image snapshot(const scene::Scene& scene, const scene::Camera& camera,
               const SnapshotOptions& options = {});

}  // namespace bight::render
