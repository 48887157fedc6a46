#include "render/renderer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "render/renderer_detail.h"
#include "scene/visibility.h"

namespace bight::render {
namespace {

/// Everything that may be drawn, so that nothing is cut off by the near or far plane.
Box visible_box(const scene::Scene& scene) {
  Box box = scene.bounds;
  for (const scene::BoxCloud& cloud : scene.clouds) {
    for (const Box& one : cloud.boxes) box.extend(one);
  }
  for (const scene::HeatMap& map : scene.maps) {
    for (const scene::HeatCell& cell : map.cells) {
      box.extend(cell.corner);
      box.extend(cell.corner + cell.across + cell.up);
    }
  }
  for (const scene::Stroke& stroke : scene.strokes) {
    for (const Vec3& p : stroke.points) box.extend(p);
  }
  if (scene.grid) {
    box.extend(Vec3(scene.grid->from, scene.grid->level_mm));
    box.extend(Vec3(scene.grid->to, scene.grid->level_mm));
  }
  return box;
}

std::size_t triangles_of(const scene::Scene& scene) {
  std::size_t count = 0;
  for (const scene::Solid& solid : scene.solids) count += solid.mesh->triangles.size();
  return count;
}

/// Mesa's drivers that draw with the processor.
bool is_software_driver() {
  const GLubyte* name = glGetString(GL_RENDERER);
  if (name == nullptr) return true;
  const std::string_view text = reinterpret_cast<const char*>(name);
  return text.find("llvmpipe") != std::string_view::npos ||
         text.find("softpipe") != std::string_view::npos;
}

void set_plain_state() {
  glDisable(GL_SCISSOR_TEST);
  glDisable(GL_STENCIL_TEST);
  glDisable(GL_CULL_FACE);
  glDisable(GL_BLEND);
  glEnable(GL_DEPTH_TEST);
  glDepthFunc(GL_LEQUAL);
  glDepthMask(GL_TRUE);
  glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
  glBlendEquation(GL_FUNC_ADD);
  glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
  glPolygonMode(GL_FRONT_AND_BACK, GL_FILL);
  glEnable(GL_MULTISAMPLE);
}

}  // namespace

Renderer::Parts::Parts() : software(is_software_driver()) {
  glGenVertexArrays(1, &empty_array);
  glGenBuffers(1, &frame_block);
  glGenFramebuffers(1, &pick_framebuffer);
  glGenRenderbuffers(2, pick_buffers);
}

Renderer::Parts::~Parts() {
  glDeleteVertexArrays(1, &empty_array);
  glDeleteBuffers(1, &frame_block);
  glDeleteFramebuffers(1, &pick_framebuffer);
  glDeleteRenderbuffers(2, pick_buffers);
}

void Renderer::Parts::set_frame(const Pass& pass, const scene::CameraMatrices& matrices) const {
  std::array<float, 44> block{};  // std140: two matrices, three vectors
  float* next = block.data();
  for (const scene::Mat4& matrix : {matrices.view, matrices.projection}) {
    for (int c = 0; c < 4; ++c) {
      for (int r = 0; r < 4; ++r) *next++ = static_cast<float>(matrix[c][r]);
    }
  }
  float* section = &block[32];
  section[3] = 1.0F;
  if (pass.scene.section) {
    const Vec3 n = pass.scene.section->normal;
    for (int c = 0; c < 3; ++c) section[c] = static_cast<float>(n[c]);
    section[3] = static_cast<float>(glm::dot(n, pass.scene.section->point - pass.frame.eye));
  }
  float* viewport = &block[36];
  viewport[0] = static_cast<float>(pass.viewport.width);
  viewport[1] = static_cast<float>(pass.viewport.height);
  viewport[2] = static_cast<float>(pass.pixel_mm);
  viewport[3] = static_cast<float>(pass.camera.distance_mm);
  block[40] = pass.camera.straight ? 1.0F : 0.0F;
  glBindBuffer(GL_UNIFORM_BUFFER, frame_block);
  glBufferData(GL_UNIFORM_BUFFER, sizeof(block), block.data(), GL_STREAM_DRAW);
  glBindBufferBase(GL_UNIFORM_BUFFER, k_frame_binding, frame_block);
}

const GpuMesh& Renderer::Parts::gpu(const Pass& pass,
                                    const std::shared_ptr<const shape::Mesh>& mesh) {
  CachedMesh& cached = meshes.of(mesh);
  const bool light = pass.stand_ins && mesh->triangles.size() > k_stand_in_above;
  return light ? meshes.stand_in(cached) : *cached.full;
}

Renderer::Renderer() : parts_(std::make_unique<Parts>()) {}
Renderer::~Renderer() = default;

bool Renderer::is_software() const {
  return parts_->software;
}

DrawFigures Renderer::draw(const scene::Scene& scene, const scene::Camera& camera,
                           const scene::Viewport& viewport, const DrawOptions& options) {
  DrawFigures figures;
  Parts& parts = *parts_;
  parts.shown = viewport;
  if (viewport.width < 1 || viewport.height < 1) return figures;
  figures.uploads = parts.meshes.prepare(scene);
  const bool light = options.moving && parts.software;
  figures.half_resolution = light && triangles_of(scene) > options.half_resolution_above;
  const double pixel = figures.half_resolution ? 0.5 : 1.0;
  const scene::Viewport drawn{std::max(1, static_cast<int>(viewport.width * pixel)),
                              std::max(1, static_cast<int>(viewport.height * pixel))};
  Pass pass{scene, camera, drawn, options.scheme, pixel, light, frame_of(camera)};
  // Depth 1: a perspective picture's pixels grow with the depth, those of a straight one do not.
  pass.pixel_mm = mm_per_pixel(camera, drawn, 1.0);

  set_plain_state();
  const bool draft = parts.software && (options.draft || options.moving);
  parts.last = draft ? &parts.draft : &parts.full;
  parts.last->begin(drawn.width, drawn.height, draft ? 1 : options.samples);
  parts.set_frame(pass, matrices_of(camera, drawn, visible_box(scene)));
  glClear(GL_DEPTH_BUFFER_BIT);
  // A line is as deep as its middle to its borders: faces that lean step back by that much. For the
  // backdrop it makes no difference, but spares a software driver one more piece of code.
  glPolygonOffset(1.5F, 1.0F);
  glEnable(GL_POLYGON_OFFSET_FILL);
  parts.draw_backdrop(pass);
  if (scene.section) glEnable(GL_CLIP_DISTANCE0);  // clipping costs each vertex
  parts.draw_solids(pass);
  parts.draw_instances(pass);
  parts.draw_tubes(pass);
  glDisable(GL_POLYGON_OFFSET_FILL);

  glEnable(GL_BLEND);
  glDepthMask(GL_FALSE);
  parts.draw_shadows(pass);
  parts.draw_grid(pass);
  parts.draw_maps(pass);
  parts.draw_edges(pass);
  parts.draw_strokes(pass, false);
  parts.draw_clouds(pass);
  glDisable(GL_DEPTH_TEST);
  parts.draw_strokes(pass, true);
  glDisable(GL_CLIP_DISTANCE0);
  glDisable(GL_BLEND);
  glDepthMask(GL_TRUE);
  parts.last->end();
  glBindVertexArray(0);
  glUseProgram(0);
  figures.triangles = pass.triangles;
  return figures;
}

void Renderer::upload(const scene::Scene& scene, ReadyMeshes ready) {
  parts_->meshes.prepare(scene, std::move(ready));
}

void Renderer::present(unsigned framebuffer, int x, int y) {
  if (parts_->last == nullptr) return;
  parts_->last->copy_to(framebuffer, x, y, parts_->shown.width, parts_->shown.height);
}

std::optional<PickResult> Renderer::pick(const scene::Scene& scene, const scene::Camera& camera,
                                         const scene::Viewport& viewport, const Vec2& pixel,
                                         int radius_px) {
  Parts& parts = *parts_;
  if (viewport.width < 1 || viewport.height < 1) return {};
  parts.meshes.prepare(scene);
  const int size = 2 * std::max(radius_px, 0) + 1;
  Pass pass{scene, camera, {size, size}, scene::Scheme::light, 1.0, false, frame_of(camera)};
  pass.pixel_mm = mm_per_pixel(camera, viewport, 1.0);
  // The window around the pixel becomes the whole picture.
  scene::CameraMatrices matrices = matrices_of(camera, viewport, visible_box(scene));
  const double scale_x = static_cast<double>(viewport.width) / size;
  const double scale_y = static_cast<double>(viewport.height) / size;
  const double ndc_x = 2.0 * pixel.x / viewport.width - 1.0;
  const double ndc_y = 1.0 - 2.0 * pixel.y / viewport.height;
  scene::Mat4 crop(1.0);
  crop[0][0] = scale_x;
  crop[1][1] = scale_y;
  crop[3][0] = -scale_x * ndc_x;
  crop[3][1] = -scale_y * ndc_y;
  const scene::Mat4 whole = matrices.projection;
  matrices.projection = crop * whole;

  set_plain_state();
  glBindFramebuffer(GL_FRAMEBUFFER, parts.pick_framebuffer);
  glBindRenderbuffer(GL_RENDERBUFFER, parts.pick_buffers[0]);
  glRenderbufferStorage(GL_RENDERBUFFER, GL_RG32UI, size, size);
  glBindRenderbuffer(GL_RENDERBUFFER, parts.pick_buffers[1]);
  glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT32F, size, size);
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER,
                            parts.pick_buffers[0]);
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER,
                            parts.pick_buffers[1]);
  glViewport(0, 0, size, size);
  parts.set_frame(pass, matrices);
  constexpr GLuint k_none[4] = {0, 0, 0, 0};
  constexpr GLfloat k_far = 1.0F;
  glClearBufferuiv(GL_COLOR, 0, k_none);
  glClearBufferfv(GL_DEPTH, 0, &k_far);
  if (scene.section) glEnable(GL_CLIP_DISTANCE0);  // clipping costs each vertex

  const scene::Ray ray = ray_through(camera, viewport, pixel);
  parts.solid_id.use();
  for (const scene::Solid& solid : scene.solids) {
    if (!scene::is_shown(solid, pass.frame, camera)) continue;
    // Far from the pointer's ray nothing of it can be hit.
    const Box box = solid.box();
    const Vec3 to = box.center() - ray.origin;
    const double along = glm::dot(to, ray.direction);
    const double off = glm::length(to - along * ray.direction);
    const double reach = 0.5 * glm::length(box.size());
    const double slack =
        mm_per_pixel(camera, viewport, std::max(along + reach, camera.distance_mm)) * size;
    if (off > reach + slack) continue;
    const GpuMesh& mesh = *parts.meshes.of(solid.mesh).full;
    const Vec3 at = mesh.origin() + solid.translation - pass.frame.eye;
    glVertexAttrib3f(2, static_cast<float>(at.x), static_cast<float>(at.y),
                     static_cast<float>(at.z));
    glVertexAttrib3f(3, 1.0F, 0.0F, 0.0F);
    glVertexAttrib3f(4, 0.0F, 0.0F, 1.0F);
    parts.solid_id.set("id", solid.id);
    mesh.draw_faces();
  }
  for (const scene::Instances& instances : scene.instances) {
    if (instances.places.empty()) continue;
    parts.solid_id.set("id", instances.id);
    const GLuint places = parts.copies(pass, instances);
    parts.meshes.of(instances.mesh).full->draw_faces(places, instances.places.size());
  }
  parts.tube_id.use();
  parts.tube_id.set("least", 1.5F);
  parts.tube_id.set("grow", 1.0F);
  for (const scene::Tube& tube : scene.tubes) {
    TubeFaces faces;
    add_tube(faces, tube.points, {PackedColor{}}, pass.frame.eye);
    parts.tube_id.set("radius", static_cast<float>(tube.radius_mm));
    parts.tube_id.set("id", tube.id);
    parts.stream.draw(faces.vertices, faces.triangles);
  }
  glDisable(GL_CLIP_DISTANCE0);
  glBindVertexArray(0);
  glUseProgram(0);

  const auto cells = static_cast<std::size_t>(size) * static_cast<std::size_t>(size);
  std::vector<std::array<GLuint, 2>> ids(cells);
  std::vector<float> depths(cells);
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(0, 0, size, size, GL_RG_INTEGER, GL_UNSIGNED_INT, ids.data());
  glReadPixels(0, 0, size, size, GL_DEPTH_COMPONENT, GL_FLOAT, depths.data());
  // The nearest pixel to the pointer that hit something with an id; what has none hides it.
  const int middle = size / 2;
  std::optional<std::size_t> best;
  Vec2 best_way(0.0);
  int best_off = size * size;
  std::size_t i = 0;
  for (int y = -middle; y < size - middle; ++y) {
    for (int x = -middle; x < size - middle; ++x, ++i) {
      const int off = x * x + y * y;
      if (ids[i][0] == 0 || off >= best_off) continue;
      best = i;
      best_way = {x, -y};  // rows are read from below
      best_off = off;
    }
  }
  if (!best) return {};
  const double ndc_z = 2.0 * static_cast<double>(depths[*best]) - 1.0;
  // Back from clip space to the distance along forward.
  const double depth =
      camera.straight ? (whole[3][2] - ndc_z) / whole[2][2] : whole[3][2] / (ndc_z + whole[2][2]);
  const scene::Ray through = ray_through(camera, viewport, pixel + best_way);
  const double s = (depth - glm::dot(through.origin - pass.frame.eye, pass.frame.forward)) /
                   glm::dot(through.direction, pass.frame.forward);
  return PickResult{ids[*best][0], through.origin + s * through.direction};
}

}  // namespace bight::render
