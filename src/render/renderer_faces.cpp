// Backdrop, solids, chains, tubes, shadows, maps and translucent boxes.

#include <algorithm>
#include <cmath>

#include "render/renderer_detail.h"
#include "scene/visibility.h"

namespace bight::render {
namespace {

void set_vector(GLuint index, const Vec3& v) {
  glVertexAttrib3f(index, static_cast<float>(v.x), static_cast<float>(v.y),
                   static_cast<float>(v.z));
}

void set_color(const scene::Color& color) {
  glVertexAttrib4f(5, color.r, color.g, color.b, color.a);
}

scene::Color mixed(const scene::Color& a, const scene::Color& b, float t) {
  return {a.r + t * (b.r - a.r), a.g + t * (b.g - a.g), a.b + t * (b.b - a.b), a.a};
}

scene::Color surface_color(const Pass& pass, scene::Paint paint, scene::Emphasis emphasis,
                           scene::Mark mark) {
  scene::Color color = pass.color(paint);
  if (mark != scene::Mark::none) color = mixed(color, pass.color(paint_of(mark)), 0.42F);
  switch (emphasis) {
    case scene::Emphasis::selected:
      return mixed(color, pass.color(scene::Paint::selection), 0.50F);
    case scene::Emphasis::hovered:
      return mixed(color, pass.color(scene::Paint::hover), 0.35F);
    case scene::Emphasis::faded:
      return mixed(color, pass.color(scene::Paint::background_bottom), 0.65F);
    case scene::Emphasis::normal:
      break;
  }
  return color;
}

/// Light of a scheme; `even` of it, 0 to 1, is taken out of the shading.
scene::Color shade_of(scene::Scheme scheme, float even) {
  const bool light = scheme == scene::Scheme::light;
  const float keep = 1.0F - even;
  const float below = light ? 0.54F : 0.44F;
  const float above = light ? 0.78F : 0.70F;
  const float key = light ? 0.30F : 0.38F;
  return {keep * below + even, keep * above + even, keep * key, keep * 0.06F};
}

/// Colour carries a number on tubes, so they are shaded less than parts.
constexpr scene::Color k_tube_shade{0.62F, 0.82F, 0.22F, 0.0F};

PlainVertex plain_vertex(const Vec3& p, const PackedColor& color) {
  PlainVertex vertex{};
  for (int c = 0; c < 3; ++c) vertex.position[c] = static_cast<float>(p[c]);
  vertex.color = color;
  return vertex;
}

/// What rests on the ground or stands near to it throws a soft shadow; the rest is too far.
struct Footprint {
  Vec2 middle{0.0};
  Vec2 half{0.0};
  double blur = 0.0;
  double strength = 0.0;
};

}  // namespace

void Renderer::Parts::draw_backdrop(const Pass& pass) {
  backdrop.use();
  backdrop.set("top", pass.color(scene::Paint::background_top));
  backdrop.set("bottom", pass.color(scene::Paint::background_bottom));
  glDisable(GL_DEPTH_TEST);
  glDepthMask(GL_FALSE);
  glBindVertexArray(empty_array);
  glDrawArrays(GL_TRIANGLES, 0, 3);
  glDepthMask(GL_TRUE);
  glEnable(GL_DEPTH_TEST);
}

void Renderer::Parts::draw_solids(Pass& pass) {
  solid.use();
  const bool sliced = pass.scene.section.has_value();
  solid.set("cut", scene::faded(pass.color(scene::Paint::cut), sliced ? 1.0F : 0.0F));
  set_vector(3, {1.0, 0.0, 0.0});
  set_vector(4, {0.0, 0.0, 1.0});
  for (const scene::Solid& one : pass.scene.solids) {
    if (!scene::is_shown(one, pass.frame, pass.camera)) continue;
    const GpuMesh& mesh = gpu(pass, one.mesh);
    set_vector(2, mesh.origin() + one.translation - pass.frame.eye);
    set_color(surface_color(pass, one.paint, one.emphasis, one.mark));
    constexpr float k_wall = 0.8F;
    solid.set("shade", shade_of(pass.scheme, one.inward ? k_wall : 0.0F));
    mesh.draw_faces();
    pass.triangles += mesh.triangles();
  }
}

GLuint Renderer::Parts::copies(const Pass& pass, const scene::Instances& instances) {
  const Vec3 origin = meshes.of(instances.mesh).full->origin();
  std::vector<float> numbers;
  numbers.reserve(9 * instances.places.size());
  for (const scene::Placement& place : instances.places) {
    const Vec3 y = glm::cross(place.z, place.x);
    const Vec3 at = place.origin + origin.x * place.x + origin.y * y + origin.z * place.z;
    for (const Vec3& v : {at - pass.frame.eye, place.x, place.z}) {
      for (int c = 0; c < 3; ++c) numbers.push_back(static_cast<float>(v[c]));
    }
  }
  return stream.filled(numbers);
}

void Renderer::Parts::draw_instances(Pass& pass) {
  solid.use();
  solid.set("shade", shade_of(pass.scheme, 0.0F));
  for (const scene::Instances& one : pass.scene.instances) {
    if (one.places.empty()) continue;
    set_color(surface_color(pass, one.paint, one.emphasis, one.mark));
    const GpuMesh& mesh = *meshes.of(one.mesh).full;
    mesh.draw_faces(copies(pass, one), one.places.size());
    pass.triangles += mesh.triangles() * one.places.size();
  }
}

void Renderer::Parts::draw_tubes(Pass& pass) {
  tube.use();
  tube.set("least", pass.px(1.4));
  for (const scene::Tube& one : pass.scene.tubes) {
    if (one.points.size() < 2) continue;
    std::vector<PackedColor> colors;
    for (const double v : one.value) {
      colors.push_back(packed_color(ramp_color(scene::Ramp::use, v, pass.scheme)));
    }
    if (colors.empty()) colors.push_back(packed_color(pass.color(one.paint)));
    TubeFaces faces;
    add_tube(faces, one.points, colors, pass.frame.eye);
    tube.set("radius", static_cast<float>(one.radius_mm));
    // Seen through the back of a slightly larger tube, its outline is as crisp as an edge.
    const bool chosen = one.emphasis != scene::Emphasis::normal;
    scene::Color outline = pass.color(chosen ? scene::Paint::selection : scene::Paint::edge);
    outline.a = 1.0F;
    glEnable(GL_CULL_FACE);
    glCullFace(GL_FRONT);
    tube.set("grow", pass.px(chosen ? 2.2 : 0.8));
    tube.set("overlay", outline);
    stream.draw(faces.vertices, faces.triangles);
    glCullFace(GL_BACK);
    tube.set("grow", 0.0F);
    tube.set("overlay", scene::faded(outline, 0.0F));
    tube.set("shade", k_tube_shade);
    stream.draw(faces.vertices, faces.triangles);
    glDisable(GL_CULL_FACE);
    pass.triangles += 2 * faces.triangles.size() / 3;
  }
}

void Renderer::Parts::draw_shadows(const Pass& pass) {
  if (!pass.scene.grid || !(pass.frame.forward.z < -0.01)) return;
  const double level = pass.scene.grid->level_mm;
  constexpr double k_reach_mm = 900.0;  // higher up nothing darkens the ground visibly
  constexpr double k_blur_mm = 22.0;
  constexpr double k_blur_per_height = 0.28;
  constexpr double k_half_strength_mm = 260.0;
  std::vector<Footprint> prints;
  for (const scene::Solid& one : pass.scene.solids) {
    if (one.inward || one.paint == scene::Paint::floor) continue;
    const Box box = scene::kept_of(pass.scene, one.box());
    const double height = box.lower.z - level;
    if (box.empty() || height < -1.0 || height > k_reach_mm) continue;
    const Vec3 half = 0.5 * box.size();
    prints.push_back({{box.center().x, box.center().y},
                      {half.x, half.y},
                      k_blur_mm + k_blur_per_height * height,
                      0.34 / (1.0 + height / k_half_strength_mm)});
  }
  shadow.use();
  for (const Footprint& print : prints) {
    const Vec2 reach = print.half + Vec2(3.0 * print.blur);
    std::vector<ShadowVertex> faces;
    constexpr double k_corner[6][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, -1}, {1, 1}, {-1, 1}};
    for (const auto& corner : k_corner) {
      const Vec2 at(corner[0] * reach.x, corner[1] * reach.y);
      const Vec3 p = Vec3(print.middle + at, level) - pass.frame.eye;
      faces.push_back({{static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)},
                       {static_cast<float>(at.x), static_cast<float>(at.y)}});
    }
    shadow.set("half_size", static_cast<float>(print.half.x), static_cast<float>(print.half.y));
    shadow.set("soft", scene::Color{static_cast<float>(print.blur),
                                    static_cast<float>(print.strength), 0.07F, 0.0F});
    stream.draw(faces);
  }
}

void Renderer::Parts::draw_maps(const Pass& pass) {
  plain.use();
  plain.set("lift", 4e-4F);
  for (const scene::HeatMap& map : pass.scene.maps) {
    std::vector<PlainVertex> faces;
    faces.reserve(6 * map.cells.size());
    for (const scene::HeatCell& cell : map.cells) {
      if (std::isnan(cell.value)) continue;
      const PackedColor color = packed_color(scene::faded(
          ramp_color(map.ramp, cell.value, pass.scheme), static_cast<float>(map.opacity)));
      const Vec3 a = cell.corner - pass.frame.eye;
      for (const Vec3& p : {a, a + cell.across, a + cell.across + cell.up, a,
                            a + cell.across + cell.up, a + cell.up}) {
        faces.push_back(plain_vertex(p, color));
      }
    }
    stream.draw(faces);
  }
}

void Renderer::Parts::draw_clouds(const Pass& pass) {
  for (const scene::BoxCloud& cloud : pass.scene.clouds) {
    if (cloud.boxes.empty()) continue;
    plain.use();
    plain.set("lift", 1.5e-4F);
    scene::Color color = pass.color(cloud.paint);
    const PackedColor packed = packed_color(scene::faded(color, static_cast<float>(cloud.opacity)));
    std::vector<PlainVertex> faces;
    faces.reserve(36 * cloud.boxes.size());
    for (const Box& box : cloud.boxes) add_box(faces, box, packed, pass.frame.eye);
    if (cloud.boxes.size() > 1) {
      // Depth alone first: then only the nearest faces are blended, once.
      glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
      glDepthMask(GL_TRUE);
      stream.draw(faces);
      glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
      glDepthMask(GL_FALSE);
    }
    stream.draw(faces);
    if (!cloud.outlined) continue;
    color.a = 0.9F;
    std::vector<LineVertex> lines;
    for (const Box& box : cloud.boxes) {
      const Vec3 ends[2] = {box.lower - pass.frame.eye, box.upper - pass.frame.eye};
      for (int axis = 0; axis < 3; ++axis) {
        for (unsigned k = 0; k < 4; ++k) {
          LineVertex edge{};
          for (int c = 0; c < 3; ++c) {
            const unsigned bit = c == (axis + 1) % 3 ? 1U : 2U;
            const int side = (k & bit) != 0 ? 1 : 0;
            edge.from[c] = static_cast<float>(c == axis ? ends[0][c] : ends[side][c]);
            edge.to[c] = static_cast<float>(c == axis ? ends[1][c] : ends[side][c]);
          }
          edge.color = packed_color(color);
          lines.push_back(edge);
        }
      }
    }
    line.use();
    line.set("width", pass.px(1.2));
    line.set("dash", 0.0F);
    line.set("lift", 2e-4F);
    stream.draw(lines);
  }
}

}  // namespace bight::render
