#include "render/target.h"

#include <algorithm>

#include "base/check.h"

namespace bight::render {

Target::~Target() {
  free();
}

void Target::free() {
  if (drawn_ != 0) glDeleteFramebuffers(1, &drawn_);
  if (resolved_ != 0) glDeleteFramebuffers(1, &resolved_);
  if (buffers_[0] != 0) glDeleteRenderbuffers(3, buffers_);
}

void Target::begin(int width, int height, int samples) {
  GLint most = 0;
  glGetIntegerv(GL_MAX_SAMPLES, &most);
  samples = std::clamp(samples, 0, most);
  if (width != width_ || height != height_ || samples != samples_) {
    free();
    width_ = width;
    height_ = height;
    samples_ = samples;
    glGenRenderbuffers(3, buffers_);
    glGenFramebuffers(1, &drawn_);
    glGenFramebuffers(1, &resolved_);
    glBindRenderbuffer(GL_RENDERBUFFER, buffers_[0]);
    glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, GL_RGBA8, width, height);
    glBindRenderbuffer(GL_RENDERBUFFER, buffers_[1]);
    glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, GL_DEPTH_COMPONENT32F, width,
                                     height);
    glBindRenderbuffer(GL_RENDERBUFFER, buffers_[2]);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, width, height);
    glBindFramebuffer(GL_FRAMEBUFFER, resolved_);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, buffers_[2]);
    glBindFramebuffer(GL_FRAMEBUFFER, drawn_);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, buffers_[0]);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, buffers_[1]);
    BIGHT_CHECK(glCheckFramebufferStatus(GL_FRAMEBUFFER) == GL_FRAMEBUFFER_COMPLETE);
  }
  glBindFramebuffer(GL_FRAMEBUFFER, drawn_);
  glViewport(0, 0, width, height);
}

void Target::end() {
  glBindFramebuffer(GL_READ_FRAMEBUFFER, drawn_);
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, resolved_);
  glBlitFramebuffer(0, 0, width_, height_, 0, 0, width_, height_, GL_COLOR_BUFFER_BIT, GL_NEAREST);
}

void Target::copy_to(GLuint framebuffer, int x, int y, int width, int height) const {
  glBindFramebuffer(GL_READ_FRAMEBUFFER, resolved_);
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, framebuffer);
  const bool same = width == width_ && height == height_;
  glDisable(GL_SCISSOR_TEST);
  glBlitFramebuffer(0, 0, width_, height_, x, y, x + width, y + height, GL_COLOR_BUFFER_BIT,
                    same ? GL_NEAREST : GL_LINEAR);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
}

}  // namespace bight::render
