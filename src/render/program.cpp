#include "render/program.h"

#include <string>

#include "base/check.h"
#include "render/shader_source.h"

namespace bight::render {
namespace {

GLuint compiled(GLenum kind, std::string_view name) {
  const std::string_view body = shader_source(name);
  BIGHT_CHECK(!body.empty());
  const std::string text = "#version 330 core\n" + std::string(shader_source("common.glsl")) +
                           "#line 1\n" + std::string(body);
  const char* source = text.c_str();
  const GLuint shader = glCreateShader(kind);
  glShaderSource(shader, 1, &source, nullptr);
  glCompileShader(shader);
  GLint compiles = GL_FALSE;
  glGetShaderiv(shader, GL_COMPILE_STATUS, &compiles);
  BIGHT_CHECK(compiles == GL_TRUE);
  return shader;
}

}  // namespace

Program::Program(std::string_view vertex, std::string_view fragment) : program_(glCreateProgram()) {
  const GLuint shaders[2] = {compiled(GL_VERTEX_SHADER, vertex),
                             compiled(GL_FRAGMENT_SHADER, fragment)};
  for (const GLuint shader : shaders) glAttachShader(program_, shader);
  glLinkProgram(program_);
  GLint links = GL_FALSE;
  glGetProgramiv(program_, GL_LINK_STATUS, &links);
  BIGHT_CHECK(links == GL_TRUE);
  for (const GLuint shader : shaders) {
    glDetachShader(program_, shader);
    glDeleteShader(shader);
  }
  const GLuint block = glGetUniformBlockIndex(program_, "Frame");
  if (block != GL_INVALID_INDEX) glUniformBlockBinding(program_, block, k_frame_binding);
}

Program::~Program() {
  glDeleteProgram(program_);
}

void Program::set(const char* name, float value) const {
  glUniform1f(glGetUniformLocation(program_, name), value);
}

void Program::set(const char* name, float x, float y) const {
  glUniform2f(glGetUniformLocation(program_, name), x, y);
}

void Program::set(const char* name, unsigned value) const {
  glUniform1ui(glGetUniformLocation(program_, name), value);
}

void Program::set(const char* name, const scene::Color& value) const {
  glUniform4f(glGetUniformLocation(program_, name), value.r, value.g, value.b, value.a);
}

}  // namespace bight::render
