#pragma once
// An OpenGL context without a window, by EGL: surfaceless, else on a device, else on the display.

#include <memory>
#include <string>

namespace bight::render {

/// Current on the thread that made it as long as it lives. One at a time.
class OffscreenContext {
 public:
  /// Null where no OpenGL is to be had; `problem` then says what was tried, for a person.
  static std::unique_ptr<OffscreenContext> create(std::string& problem);
  ~OffscreenContext();
  OffscreenContext(const OffscreenContext&) = delete;
  OffscreenContext& operator=(const OffscreenContext&) = delete;

  /// "surfaceless, OpenGL 4.5, llvmpipe (LLVM 15.0.6, 256 bits)".
  const std::string& about() const { return about_; }

 private:
  OffscreenContext() = default;
  struct Handles;
  std::unique_ptr<Handles> handles_;
  std::string about_;
};

}  // namespace bight::render
