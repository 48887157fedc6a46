#pragma once
// Where a picture is drawn: a multisampled framebuffer and the plain texture that it is resolved
// into.

#include <epoxy/gl.h>

#include "render/program.h"

namespace bight::render {

class Target {
 public:
  Target();
  ~Target();
  Target(const Target&) = delete;
  Target& operator=(const Target&) = delete;

  /// Makes it of this size when it is not; `samples` is limited to what the driver has. Leaves the
  /// multisampled framebuffer bound.
  void begin(int width, int height, int samples);

  /// Resolves the samples. Leaves depth test, depth writes and blending off.
  void end();

  /// Draws the picture, stretched to width x height, with its lower left corner at x, y of a
  /// framebuffer and leaves that bound.
  void copy_to(GLuint framebuffer, int x, int y, int width, int height) const;

  int width() const { return width_; }
  int height() const { return height_; }

 private:
  void make();
  void free();
  void cover(int x, int y, int width, int height) const;

  Program resolve_{"screen.vert", "resolve.frag"};
  Program copy_{"screen.vert", "copy.frag"};
  GLuint empty_array_ = 0;
  int width_ = 0;
  int height_ = 0;
  int samples_ = 0;  ///< 1: drawn into the plain texture at once
  GLuint drawn_ = 0;
  GLuint resolved_ = 0;
  GLuint depth_ = 0;
  GLuint textures_[2] = {0, 0};  ///< multisampled, plain
};

}  // namespace bight::render
