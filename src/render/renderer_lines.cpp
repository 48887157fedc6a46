// Grid, edges and strokes: what keeps its width on the picture.

#include <algorithm>
#include <cmath>

#include "render/renderer_detail.h"
#include "scene/annotate.h"
#include "scene/grid.h"
#include "scene/visibility.h"

namespace bight::render {
namespace {

constexpr float k_lift = 4e-4F;  // share of the depth: edges win over their own faces

LineVertex segment(const Vec3& from, const Vec3& to, const PackedColor& color) {
  LineVertex line{};
  for (int c = 0; c < 3; ++c) {
    line.from[c] = static_cast<float>(from[c]);
    line.to[c] = static_cast<float>(to[c]);
  }
  line.color = color;
  return line;
}

void set_vector(GLuint index, const Vec3& v) {
  glVertexAttrib3f(index, static_cast<float>(v.x), static_cast<float>(v.y),
                   static_cast<float>(v.z));
}

}  // namespace

void Renderer::Parts::draw_grid(const Pass& pass) {
  if (!pass.scene.grid) return;
  const scene::Grid& grid = *pass.scene.grid;
  // Seen from below or along its plane it would only cross the machine out.
  if (pass.frame.forward.z > -0.02) return;
  const scene::GridSteps steps =
      scene::grid_steps(pass.scene.unit, pass.camera, pass.viewport, pass.pixel);
  line.use();
  line.set("dash", 0.0F);
  line.set("lift", k_lift);
  line.set("width", pass.px(1.0));
  for (const bool strong : {false, true}) {
    const double step = strong ? steps.strong_mm : steps.fine_mm;
    const PackedColor color =
        packed_color(pass.color(strong ? scene::Paint::grid_strong : scene::Paint::grid));
    std::vector<LineVertex> lines;
    for (int axis = 0; axis < 2; ++axis) {
      for (const double v : scene::grid_values(grid.from[axis], grid.to[axis], step)) {
        const bool on_strong = std::abs(std::remainder(v, steps.strong_mm)) < 1e-6 * step;
        if (!strong && on_strong) continue;
        Vec3 a(grid.from, grid.level_mm);
        Vec3 b(grid.to, grid.level_mm);
        a[axis] = v;
        b[axis] = v;
        lines.push_back(segment(a - pass.frame.eye, b - pass.frame.eye, color));
      }
    }
    stream.draw(lines);
  }
}

void Renderer::Parts::draw_edges(const Pass& pass) {
  line.use();
  line.set("dash", 0.0F);
  line.set("lift", k_lift);
  glVertexAttrib2f(2, 0.0F, 0.0F);
  const scene::Color edge = pass.color(scene::Paint::edge);
  for (const scene::Solid& one : pass.scene.solids) {
    if (one.paint == scene::Paint::floor || !scene::is_shown(one, pass.frame, pass.camera))
      continue;
    const GpuMesh& mesh = gpu(pass, one.mesh);
    const bool chosen = one.emphasis == scene::Emphasis::selected;
    scene::Color color = chosen ? pass.color(scene::Paint::selection) : edge;
    const bool quiet = one.inward || one.emphasis == scene::Emphasis::faded;
    if (quiet) color.a *= 0.35F;
    // Where edges lie closer than pixels they would blacken the part: then only the longest are
    // drawn, and fainter.
    const Box box = one.box();
    const double depth = std::max(glm::dot(box.center() - pass.frame.eye, pass.frame.forward), 1.0);
    const double across = glm::length(box.size()) / mm_per_pixel(pass.camera, pass.viewport, depth);
    constexpr double k_most = 12.0;  // edges for each pixel of its size
    constexpr double k_calm = 4.0;
    const double most = k_most * std::max(across, 4.0);
    const double drawn = std::min(most, static_cast<double>(mesh.edges()));
    color.a *= static_cast<float>(
        std::clamp(k_calm * std::max(across, 4.0) / std::max(drawn, 1.0), 0.45, 1.0));
    line.set("width", pass.px(chosen ? 2.2 : 1.1));
    glVertexAttrib4f(3, color.r, color.g, color.b, color.a);
    set_vector(4, mesh.origin() + one.translation - pass.frame.eye);
    mesh.draw_edges(static_cast<std::size_t>(most));
  }
  line.set("width", pass.px(1.0));
  for (const scene::Instances& one : pass.scene.instances) {
    const CachedMesh& cached = meshes.of(one.mesh);
    const bool chosen = one.emphasis == scene::Emphasis::selected;
    const scene::Color link_edge =
        chosen ? pass.color(scene::Paint::selection) : scene::faded(edge, 0.8F);
    const PackedColor color = packed_color(link_edge);
    std::vector<LineVertex> lines;
    lines.reserve(cached.edges.size() * one.places.size());
    for (const scene::Placement& place : one.places) {
      const Vec3 y = glm::cross(place.z, place.x);
      const auto in_place = [&](const float(&p)[3]) {
        const Vec3 local = cached.full->origin() + Vec3(p[0], p[1], p[2]);
        return place.origin + local.x * place.x + local.y * y + local.z * place.z - pass.frame.eye;
      };
      for (const MeshEdge& e : cached.edges) {
        lines.push_back(segment(in_place(e.from), in_place(e.to), color));
      }
    }
    stream.draw(lines);
  }
}

void Renderer::Parts::draw_strokes(const Pass& pass, bool on_top) {
  line.use();
  line.set("lift", k_lift);
  for (const scene::Stroke& stroke : pass.scene.strokes) {
    if (stroke.on_top != on_top || stroke.points.size() < 2) continue;
    const PackedColor color =
        packed_color(scene::faded(pass.color(stroke.paint), static_cast<float>(stroke.opacity)));
    std::vector<LineVertex> lines;
    float along = 0.0F;
    for (std::size_t i = 1; i < stroke.points.size(); ++i) {
      LineVertex one =
          segment(stroke.points[i - 1] - pass.frame.eye, stroke.points[i] - pass.frame.eye, color);
      one.phase[0] = along;
      if (stroke.dash_px > 0.0) {
        const auto a = project(pass.camera, pass.viewport, stroke.points[i - 1]);
        const auto b = project(pass.camera, pass.viewport, stroke.points[i]);
        if (a && b) along += static_cast<float>(glm::length(b->pixel - a->pixel));
      }
      one.phase[1] = along;
      lines.push_back(one);
    }
    line.set("width", pass.px(stroke.width_px));
    line.set("dash", pass.px(stroke.dash_px));
    stream.draw(lines);
  }
}

}  // namespace bight::render
