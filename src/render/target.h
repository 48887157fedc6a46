#pragma once
// Where a picture is drawn: a multisampled framebuffer and the plain one that it is resolved into.

#include <epoxy/gl.h>

namespace bight::render {

class Target {
 public:
  Target() = default;
  ~Target();
  Target(const Target&) = delete;
  Target& operator=(const Target&) = delete;

  /// Makes it of this size when it is not; `samples` is limited to what the driver has. Leaves the
  /// multisampled framebuffer bound.
  void begin(int width, int height, int samples);
  /// Resolves the samples.
  void end();
  /// Copies the picture, stretched to width x height, to the corner x, y of a framebuffer and
  /// leaves that bound.
  void copy_to(GLuint framebuffer, int x, int y, int width, int height) const;

  int width() const { return width_; }
  int height() const { return height_; }

 private:
  void free();
  int width_ = 0;
  int height_ = 0;
  int samples_ = 0;
  GLuint drawn_ = 0;
  GLuint resolved_ = 0;
  GLuint buffers_[3] = {0, 0, 0};  ///< colour, depth, resolved colour
};

}  // namespace bight::render
