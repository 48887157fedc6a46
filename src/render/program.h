#pragma once
// A linked pair of shaders.

#include <epoxy/gl.h>

#include <string_view>

#include "scene/palette.h"

namespace bight::render {

/// Owns a program object; a context must be current while it lives. Shaders are part of the
/// program, so one that does not compile is a programming error: checked.
class Program {
 public:
  Program(std::string_view vertex, std::string_view fragment);
  ~Program();
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  void use() const { glUseProgram(program_); }
  void set(const char* name, float value) const;
  void set(const char* name, float x, float y) const;
  void set(const char* name, unsigned value) const;
  void set(const char* name, const scene::Color& value) const;

 private:
  GLuint program_ = 0;
};

/// Binding point of the uniform block `Frame`.
inline constexpr GLuint k_frame_binding = 0;

}  // namespace bight::render
