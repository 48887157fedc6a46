#pragma once
// What changes from picture to picture and is sent anew each time: lines, tubes, plain faces.

#include <epoxy/gl.h>

#include <array>
#include <cstdint>
#include <vector>

#include "base/vec.h"
#include "scene/scene.h"

namespace bight::render {

using PackedColor = std::array<std::uint8_t, 4>;
PackedColor packed_color(const scene::Color& color);

/// Positions relative to the eye.
struct LineVertex {
  float from[3];
  float to[3];
  float phase[2];
  PackedColor color;
};
struct TubeVertex {
  float center[3];
  float outward[3];
  PackedColor color;
};
struct PlainVertex {
  float position[3];
  PackedColor color;
};
struct ShadowVertex {
  float position[3];
  float place[2];
};

/// A vertex array over one buffer that is filled and drawn at once.
class Stream {
 public:
  Stream();
  ~Stream();
  Stream(const Stream&) = delete;
  Stream& operator=(const Stream&) = delete;

  void draw(const std::vector<LineVertex>& lines);
  void draw(const std::vector<TubeVertex>& vertices, const std::vector<std::uint32_t>& triangles);
  void draw(const std::vector<PlainVertex>& triangles);
  void draw(const std::vector<ShadowVertex>& triangles);
  /// The buffer filled with numbers, for copies of a mesh.
  GLuint filled(const std::vector<float>& numbers);

 private:
  void fill(GLenum target, GLuint buffer, std::size_t bytes, const void* data);
  /// Float attributes of the given sizes, then a packed colour when `colored`.
  void layout(std::initializer_list<int> sizes, bool colored, std::size_t stride, GLuint divisor);
  GLuint array_ = 0;
  GLuint buffers_[2] = {0, 0};
};

/// Faces of a tube around a polyline: rings of `sides` corners, turned as little as possible from
/// ring to ring, flat caps.
struct TubeFaces {
  std::vector<TubeVertex> vertices;
  std::vector<std::uint32_t> triangles;
};
void add_tube(TubeFaces& faces, const std::vector<Vec3>& points,
              const std::vector<PackedColor>& colors, const Vec3& eye, int sides = 12);

/// Twelve triangles of a box.
void add_box(std::vector<PlainVertex>& faces, const Box& box, const PackedColor& color,
             const Vec3& eye);

}  // namespace bight::render
