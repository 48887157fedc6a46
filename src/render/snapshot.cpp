#include "render/snapshot.h"

#include <backends/imgui_impl_opengl3.h>
#include <epoxy/gl.h>
#include <imgui.h>

#include "render/draw_annotations.h"
#include "render/renderer.h"

namespace bight::render {
namespace {

/// ImGui without a platform, just for texts. An own context; the caller's is put back.
class TextPainter {
 public:
  TextPainter(const scene::Viewport& size, double text_px)
      : before_(ImGui::GetCurrentContext()), own_(ImGui::CreateContext()) {
    ImGui::SetCurrentContext(own_);
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.LogFilename = nullptr;
    io.DisplaySize = {static_cast<float>(size.width), static_cast<float>(size.height)};
    io.DeltaTime = 1.0F / 60.0F;
    fonts_ = load_fonts(*io.Fonts, {.size_px = text_px, .preferred = {}});
    ImGui_ImplOpenGL3_Init("#version 330 core");
  }
  ~TextPainter() {
    ImGui_ImplOpenGL3_Shutdown();
    ImGui::DestroyContext(own_);
    ImGui::SetCurrentContext(before_);
  }
  TextPainter(const TextPainter&) = delete;
  TextPainter& operator=(const TextPainter&) = delete;

  const Fonts& fonts() const { return fonts_; }

  void paint(const scene::Annotations& annotations, scene::Scheme scheme) {
    ImGui_ImplOpenGL3_NewFrame();
    ImGui::NewFrame();
    draw_annotations(*ImGui::GetForegroundDrawList(), annotations, fonts_, scheme);
    ImGui::Render();
    ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
  }

 private:
  ImGuiContext* before_;
  ImGuiContext* own_;
  Fonts fonts_;
};

/// A plain framebuffer to put the picture and its texts together.
class Canvas {
 public:
  explicit Canvas(const scene::Viewport& size) {
    glGenRenderbuffers(1, &color_);
    glBindRenderbuffer(GL_RENDERBUFFER, color_);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, size.width, size.height);
    glGenFramebuffers(1, &framebuffer_);
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, color_);
  }
  ~Canvas() {
    glBindFramebuffer(GL_FRAMEBUFFER, 0);
    glDeleteFramebuffers(1, &framebuffer_);
    glDeleteRenderbuffers(1, &color_);
  }
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;
  GLuint framebuffer() const { return framebuffer_; }

 private:
  GLuint color_ = 0;
  GLuint framebuffer_ = 0;
};

Image read_back(const scene::Viewport& size) {
  Image image{size.width, size.height, {}};
  const std::size_t row = 3 * static_cast<std::size_t>(size.width);
  image.rgb.resize(row * static_cast<std::size_t>(size.height));
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  for (int y = 0; y < size.height; ++y) {
    // OpenGL counts rows from below.
    glReadPixels(0, size.height - 1 - y, size.width, 1, GL_RGB, GL_UNSIGNED_BYTE,
                 image.rgb.data() + row * static_cast<std::size_t>(y));
  }
  return image;
}

}  // namespace

Image snapshot(const scene::Scene& scene, const scene::Camera& camera,
               const SnapshotOptions& options) {
  Renderer renderer;
  renderer.draw(scene, camera, options.size,
                {.scheme = options.scheme, .samples = options.samples});
  const Canvas canvas(options.size);
  renderer.present(canvas.framebuffer(), 0, 0);
  TextPainter painter(options.size, options.text_px);
  scene::AnnotateOptions annotate_options = options.annotate;
  annotate_options.scheme = options.scheme;
  painter.paint(
      scene::annotate(scene, camera, options.size, text_measure(painter.fonts()), annotate_options),
      options.scheme);
  return read_back(options.size);
}

}  // namespace bight::render
