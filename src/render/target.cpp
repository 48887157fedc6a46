#include "render/target.h"

#include <algorithm>

#include "base/check.h"

namespace bight::render {

Target::Target() {
  glGenVertexArrays(1, &empty_array_);
}

Target::~Target() {
  free();
  glDeleteVertexArrays(1, &empty_array_);
}

void Target::free() {
  if (drawn_ != 0) glDeleteFramebuffers(1, &drawn_);
  if (resolved_ != 0) glDeleteFramebuffers(1, &resolved_);
  if (depth_ != 0) glDeleteRenderbuffers(1, &depth_);
  if (textures_[0] != 0) glDeleteTextures(2, textures_);
}

void Target::make() {
  glGenTextures(2, textures_);
  glGenRenderbuffers(1, &depth_);
  glGenFramebuffers(1, &drawn_);
  glGenFramebuffers(1, &resolved_);
  glBindTexture(GL_TEXTURE_2D, textures_[1]);
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width_, height_, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAX_LEVEL, 0);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  glBindFramebuffer(GL_FRAMEBUFFER, resolved_);
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, textures_[1], 0);
  glBindFramebuffer(GL_FRAMEBUFFER, drawn_);
  glBindRenderbuffer(GL_RENDERBUFFER, depth_);
  if (samples_ > 1) {
    glBindTexture(GL_TEXTURE_2D_MULTISAMPLE, textures_[0]);
    glTexImage2DMultisample(GL_TEXTURE_2D_MULTISAMPLE, samples_, GL_RGBA8, width_, height_,
                            GL_TRUE);
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D_MULTISAMPLE,
                           textures_[0], 0);
    glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples_, GL_DEPTH_COMPONENT32F, width_,
                                     height_);
  } else {
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, textures_[1], 0);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT32F, width_, height_);
  }
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, depth_);
  BIGHT_CHECK(glCheckFramebufferStatus(GL_FRAMEBUFFER) == GL_FRAMEBUFFER_COMPLETE);
}

void Target::begin(int width, int height, int samples) {
  GLint most = 1;
  glGetIntegerv(GL_MAX_COLOR_TEXTURE_SAMPLES, &most);
  samples = std::clamp(samples, 1, std::max(most, 1));
  if (width != width_ || height != height_ || samples != samples_) {
    free();
    width_ = width;
    height_ = height;
    samples_ = samples;
    make();
  }
  glBindFramebuffer(GL_FRAMEBUFFER, drawn_);
  glViewport(0, 0, width, height);
}

/// Draws over a rectangle of the framebuffer with the program in use.
void Target::cover(int x, int y, int width, int height) const {
  glDisable(GL_SCISSOR_TEST);
  glDisable(GL_DEPTH_TEST);
  glDisable(GL_BLEND);
  glDepthMask(GL_FALSE);
  glViewport(x, y, width, height);
  glBindVertexArray(empty_array_);
  glDrawArrays(GL_TRIANGLES, 0, 3);
  glBindVertexArray(0);
  glUseProgram(0);
  glDepthMask(GL_TRUE);
}

void Target::end() {
  if (samples_ <= 1) return;
  glBindFramebuffer(GL_FRAMEBUFFER, resolved_);
  glActiveTexture(GL_TEXTURE0);
  glBindTexture(GL_TEXTURE_2D_MULTISAMPLE, textures_[0]);
  resolve_.use();
  resolve_.set("samples", static_cast<float>(samples_));
  cover(0, 0, width_, height_);
}

void Target::copy_to(GLuint framebuffer, int x, int y, int width, int height) const {
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
  glActiveTexture(GL_TEXTURE0);
  glBindTexture(GL_TEXTURE_2D, textures_[1]);
  const bool same = width == width_ && height == height_;
  const GLint filter = same ? GL_NEAREST : GL_LINEAR;
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, filter);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, filter);
  copy_.use();
  copy_.set("place", {static_cast<float>(x), static_cast<float>(y), static_cast<float>(width),
                      static_cast<float>(height)});
  cover(x, y, width, height);
  glBindTexture(GL_TEXTURE_2D, 0);
}

}  // namespace bight::render
