#pragma once
// The parts of a renderer, shared by its sources only.

#include "render/gpu_mesh.h"
#include "render/program.h"
#include "render/renderer.h"
#include "render/streams.h"
#include "render/target.h"

namespace bight::render {

/// One picture being drawn.
struct Pass {
  const scene::Scene& scene;
  const scene::Camera& camera;
  scene::Viewport viewport;  ///< in pixels that are really drawn
  scene::Scheme scheme = scene::Scheme::light;
  double pixel = 1.0;  ///< drawn pixels for one pixel of the picture
  bool stand_ins = false;
  scene::CameraFrame frame;
  std::size_t triangles = 0;
  double pixel_mm = 1.0;  ///< mm of a pixel at a depth of 1 mm; in straight views at any depth

  scene::Color color(scene::Paint paint) const { return scene::color(paint, scheme); }
  float px(double width) const { return static_cast<float>(width * pixel); }
};

struct Renderer::Parts {
  Parts();
  ~Parts();
  Parts(const Parts&) = delete;
  Parts& operator=(const Parts&) = delete;

  void set_frame(const Pass& pass, const scene::CameraMatrices& matrices) const;

  // renderer_faces.cpp: what is solid.
  void draw_backdrop(const Pass& pass);
  void draw_solids(Pass& pass);
  void draw_instances(Pass& pass);
  void draw_tubes(Pass& pass);
  void draw_shadows(const Pass& pass);
  void draw_maps(const Pass& pass);
  void draw_clouds(const Pass& pass);

  // renderer_lines.cpp: what keeps its width.
  void draw_grid(const Pass& pass);
  void draw_edges(const Pass& pass);
  void draw_strokes(const Pass& pass, bool on_top);

  const GpuMesh& gpu(const Pass& pass, const std::shared_ptr<const shape::Mesh>& mesh);
  GLuint copies(const Pass& pass, const scene::Instances& instances);

  Program solid{"solid.vert", "surface.frag"};
  Program line{"line.vert", "line.frag"};
  Program tube{"tube.vert", "surface.frag"};
  Program plain{"plain.vert", "surface.frag"};
  Program shadow{"shadow.vert", "shadow.frag"};
  Program backdrop{"backdrop.vert", "surface.frag"};
  Program solid_id{"solid.vert", "id.frag"};
  Program tube_id{"tube.vert", "id.frag"};
  MeshCache meshes;
  Stream stream;
  Target full;
  Target draft;  ///< of its own, since making room for samples costs as much as drawing
  Target* last = nullptr;
  scene::Viewport shown;  ///< size that the last picture stands for
  bool software = true;   ///< the processor draws, not a graphics card
  GLuint frame_block = 0;
  GLuint empty_array = 0;
  GLuint pick_framebuffer = 0;
  GLuint pick_buffers[2] = {0, 0};
};

/// Below this many triangles a mesh needs no stand-in.
inline constexpr std::size_t k_stand_in_above = 20'000;

}  // namespace bight::render
