#include "render/offscreen.h"

#include <epoxy/egl.h>
#include <epoxy/gl.h>

#include <array>
#include <string_view>
#include <vector>

namespace bight::render {

struct OffscreenContext::Handles {
  EGLDisplay display = EGL_NO_DISPLAY;
  EGLContext context = EGL_NO_CONTEXT;
  ~Handles() {
    if (display == EGL_NO_DISPLAY) return;
    eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
    if (context != EGL_NO_CONTEXT) eglDestroyContext(display, context);
    eglTerminate(display);
  }
};

namespace {

bool client_has(std::string_view extension) {
  const char* all = eglQueryString(EGL_NO_DISPLAY, EGL_EXTENSIONS);
  return all != nullptr && std::string_view(all).find(extension) != std::string_view::npos;
}

struct Candidate {
  const char* name;
  EGLDisplay display;
};

/// Displays in the order in which they are tried; asked for one by one, since a later one need not
/// be touched when an earlier one does.
std::vector<Candidate> surfaceless() {
  if (!client_has("EGL_MESA_platform_surfaceless") || !client_has("EGL_EXT_platform_base")) {
    return {};
  }
  return {{"surfaceless",
           eglGetPlatformDisplayEXT(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr)}};
}

std::vector<Candidate> devices() {
  if (!client_has("EGL_EXT_device_enumeration") || !client_has("EGL_EXT_platform_device")) {
    return {};
  }
  std::array<EGLDeviceEXT, 16> found{};
  EGLint count = 0;
  std::vector<Candidate> all;
  if (eglQueryDevicesEXT(static_cast<EGLint>(found.size()), found.data(), &count) != EGL_TRUE) {
    return all;
  }
  for (EGLint i = 0; i < count; ++i) {
    all.push_back(
        {"device", eglGetPlatformDisplayEXT(EGL_PLATFORM_DEVICE_EXT,
                                            found[static_cast<std::size_t>(i)], nullptr)});
  }
  return all;
}

std::vector<Candidate> window_system() {
  return {{"display", eglGetDisplay(EGL_DEFAULT_DISPLAY)}};
}

/// A core context of the version, or none.
EGLContext context_of(EGLDisplay display, EGLint major, EGLint minor) {
  const std::array<EGLint, 7> wanted{EGL_CONTEXT_MAJOR_VERSION,
                                     major,
                                     EGL_CONTEXT_MINOR_VERSION,
                                     minor,
                                     EGL_CONTEXT_OPENGL_PROFILE_MASK,
                                     EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT,
                                     EGL_NONE};
  return eglCreateContext(display, EGL_NO_CONFIG_KHR, EGL_NO_CONTEXT, wanted.data());
}

}  // namespace

OffscreenContext::~OffscreenContext() = default;

std::unique_ptr<OffscreenContext> OffscreenContext::create(std::string& problem) {
  std::string tried;
  const auto note = [&](const char* name, const char* why) {
    tried += (tried.empty() ? "" : "; ") + std::string(name) + ": " + why;
  };
  for (const auto& source : {&surfaceless, &devices, &window_system}) {
    for (const Candidate& candidate : source()) {
      if (candidate.display == EGL_NO_DISPLAY) {
        note(candidate.name, "not there");
        continue;
      }
      EGLint major = 0;
      EGLint minor = 0;
      if (eglInitialize(candidate.display, &major, &minor) != EGL_TRUE) {
        note(candidate.name, "cannot be opened");
        continue;
      }
      std::unique_ptr<OffscreenContext> made(new OffscreenContext);
      made->handles_ = std::make_unique<Handles>();
      made->handles_->display = candidate.display;
      eglBindAPI(EGL_OPENGL_API);
      EGLContext context = context_of(candidate.display, 4, 5);
      if (context == EGL_NO_CONTEXT) context = context_of(candidate.display, 3, 3);
      made->handles_->context = context;
      if (context == EGL_NO_CONTEXT) {
        note(candidate.name, "has no OpenGL 3.3");
        continue;
      }
      if (eglMakeCurrent(candidate.display, EGL_NO_SURFACE, EGL_NO_SURFACE, context) != EGL_TRUE) {
        note(candidate.name, "cannot draw without a window");
        continue;
      }
      const auto text = [](GLenum what) {
        const GLubyte* found = glGetString(what);
        return found == nullptr ? std::string("?")
                                : std::string(reinterpret_cast<const char*>(found));
      };
      made->about_ =
          std::string(candidate.name) + ", OpenGL " + text(GL_VERSION) + ", " + text(GL_RENDERER);
      return made;
    }
  }
  problem = "no OpenGL 3.3 is to be had without a window (" +
            (tried.empty() ? std::string("EGL offers nothing") : tried) +
            "); on Debian install libegl1 and libgl1-mesa-dri";
  return {};
}

}  // namespace bight::render
