#include "render/streams.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bight::render {
namespace {

void put(float (&to)[3], const Vec3& p) {
  for (int c = 0; c < 3; ++c) to[c] = static_cast<float>(p[c]);
}

}  // namespace

PackedColor packed_color(const scene::Color& color) {
  const auto level = [](float v) {
    return static_cast<std::uint8_t>(std::lround(std::clamp(v, 0.0F, 1.0F) * 255.0F));
  };
  return {level(color.r), level(color.g), level(color.b), level(color.a)};
}

Stream::Stream() {
  glGenVertexArrays(1, &array_);
  glGenBuffers(2, buffers_);
}

Stream::~Stream() {
  glDeleteVertexArrays(1, &array_);
  glDeleteBuffers(2, buffers_);
}

void Stream::fill(GLenum target, GLuint buffer, std::size_t bytes, const void* data) {
  glBindBuffer(target, buffer);
  glBufferData(target, static_cast<GLsizeiptr>(bytes), data, GL_STREAM_DRAW);
}

void Stream::layout(std::initializer_list<int> sizes, bool colored, std::size_t stride,
                    GLuint divisor) {
  constexpr GLuint k_attributes = 5;
  GLuint index = 0;
  std::size_t offset = 0;
  const auto enable = [&](int size, GLenum type, GLboolean normalized, std::size_t bytes) {
    glEnableVertexAttribArray(index);
    // OpenGL's way to name an offset.
    const void* place = reinterpret_cast<const void*>(offset);  // NOLINT(performance-no-int-to-ptr)
    glVertexAttribPointer(index, size, type, normalized, static_cast<GLsizei>(stride), place);
    glVertexAttribDivisor(index, divisor);
    ++index;
    offset += bytes;
  };
  for (const int size : sizes) {
    enable(size, GL_FLOAT, GL_FALSE, sizeof(float) * static_cast<std::size_t>(size));
  }
  if (colored) enable(4, GL_UNSIGNED_BYTE, GL_TRUE, 4);
  for (; index < k_attributes; ++index) glDisableVertexAttribArray(index);
}

void Stream::draw(const std::vector<LineVertex>& lines) {
  if (lines.empty()) return;
  glBindVertexArray(array_);
  fill(GL_ARRAY_BUFFER, buffers_[0], lines.size() * sizeof(LineVertex), lines.data());
  layout({3, 3, 2}, true, sizeof(LineVertex), 1);
  glVertexAttrib3f(4, 0.0F, 0.0F, 0.0F);
  glDrawArraysInstanced(GL_TRIANGLE_STRIP, 0, 4, static_cast<GLsizei>(lines.size()));
}

void Stream::draw(const std::vector<TubeVertex>& vertices,
                  const std::vector<std::uint32_t>& triangles) {
  if (triangles.empty()) return;
  glBindVertexArray(array_);
  fill(GL_ARRAY_BUFFER, buffers_[0], vertices.size() * sizeof(TubeVertex), vertices.data());
  fill(GL_ELEMENT_ARRAY_BUFFER, buffers_[1], triangles.size() * sizeof(std::uint32_t),
       triangles.data());
  layout({3, 3}, true, sizeof(TubeVertex), 0);
  glDrawElements(GL_TRIANGLES, static_cast<GLsizei>(triangles.size()), GL_UNSIGNED_INT, nullptr);
}

void Stream::draw(const std::vector<PlainVertex>& triangles) {
  if (triangles.empty()) return;
  glBindVertexArray(array_);
  fill(GL_ARRAY_BUFFER, buffers_[0], triangles.size() * sizeof(PlainVertex), triangles.data());
  layout({3}, true, sizeof(PlainVertex), 0);
  glDrawArrays(GL_TRIANGLES, 0, static_cast<GLsizei>(triangles.size()));
}

void Stream::draw(const std::vector<ShadowVertex>& triangles) {
  if (triangles.empty()) return;
  glBindVertexArray(array_);
  fill(GL_ARRAY_BUFFER, buffers_[0], triangles.size() * sizeof(ShadowVertex), triangles.data());
  layout({3, 2}, false, sizeof(ShadowVertex), 0);
  glDrawArrays(GL_TRIANGLES, 0, static_cast<GLsizei>(triangles.size()));
}

GLuint Stream::filled(const std::vector<float>& numbers) {
  fill(GL_ARRAY_BUFFER, buffers_[0], numbers.size() * sizeof(float), numbers.data());
  return buffers_[0];
}

void add_tube(TubeFaces& faces, const std::vector<Vec3>& points,
              const std::vector<PackedColor>& colors, const Vec3& eye, int sides) {
  std::vector<Vec3> line;
  std::vector<PackedColor> tint;
  constexpr double k_same_mm = 1e-6;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!line.empty() && glm::length(points[i] - line.back()) < k_same_mm) continue;
    line.push_back(points[i]);
    tint.push_back(colors[std::min(i, colors.size() - 1)]);
  }
  if (line.size() < 2) return;
  const auto direction = [&](std::size_t i) {
    const Vec3 before = i > 0 ? glm::normalize(line[i] - line[i - 1]) : Vec3(0.0);
    const Vec3 after = i + 1 < line.size() ? glm::normalize(line[i + 1] - line[i]) : Vec3(0.0);
    const Vec3 sum = before + after;
    return glm::length(sum) > 1e-9 ? glm::normalize(sum) : (i > 0 ? before : after);
  };
  Vec3 d = direction(0);
  Vec3 u = glm::normalize(
      glm::cross(d, std::abs(d.z) < 0.9 ? Vec3(0.0, 0.0, 1.0) : Vec3(1.0, 0.0, 0.0)));
  const auto n = static_cast<std::uint32_t>(sides);
  const auto ring = [&](std::size_t i, const Vec3& along, bool cap) {
    const auto first = static_cast<std::uint32_t>(faces.vertices.size());
    const Vec3 v = glm::cross(along, u);
    for (std::uint32_t k = 0; k < n; ++k) {
      const double a = 2.0 * std::numbers::pi * k / n;
      TubeVertex vertex{};
      put(vertex.center, line[i] - eye);
      put(vertex.outward, std::cos(a) * u + std::sin(a) * v);
      vertex.color = tint[i];
      faces.vertices.push_back(vertex);
    }
    if (cap) {
      for (std::uint32_t k = 2; k < n; ++k) {
        if (i == 0) {
          faces.triangles.insert(faces.triangles.end(), {first, first + k, first + k - 1});
        } else {
          faces.triangles.insert(faces.triangles.end(), {first, first + k - 1, first + k});
        }
      }
    }
    return first;
  };
  std::uint32_t last = ring(0, d, true);
  for (std::size_t i = 1; i < line.size(); ++i) {
    d = direction(i);
    const Vec3 level = u - glm::dot(u, d) * d;
    if (glm::length(level) > 1e-6) u = glm::normalize(level);
    const std::uint32_t here = ring(i, d, i + 1 == line.size());
    for (std::uint32_t k = 0; k < n; ++k) {
      const std::uint32_t m = (k + 1) % n;
      faces.triangles.insert(faces.triangles.end(),
                             {last + k, last + m, here + m, last + k, here + m, here + k});
    }
    last = here;
  }
}

void add_box(std::vector<PlainVertex>& faces, const Box& box, const PackedColor& color,
             const Vec3& eye) {
  const Vec3 ends[2] = {box.lower - eye, box.upper - eye};
  for (int axis = 0; axis < 3; ++axis) {
    const int b = (axis + 1) % 3;
    const int c = (axis + 2) % 3;
    for (int side = 0; side < 2; ++side) {
      constexpr int k_order[6][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 0}, {1, 1}, {0, 1}};
      for (const auto& corner : k_order) {
        Vec3 p(0.0);
        p[axis] = ends[side][axis];
        p[b] = ends[corner[side == 1 ? 0 : 1]][b];
        p[c] = ends[corner[side == 1 ? 1 : 0]][c];
        PlainVertex vertex{};
        put(vertex.position, p);
        vertex.color = color;
        faces.push_back(vertex);
      }
    }
  }
}

}  // namespace bight::render
