#include "render/snapshot.h"

#include <backends/imgui_impl_opengl3.h>
#include <epoxy/gl.h>
#include <imgui.h>

#include <algorithm>

#include "render/draw_annotations.h"
#include "render/renderer.h"
#include "shape/mesh.h"

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
    request_.size_px = text_px;
    fonts_ = load_fonts(*io.Fonts, request_);
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

  /// Letters of other scripts that the texts to come need.
  void need(const std::string& letters) {
    if (letters == request_.letters) return;
    request_.letters = letters;
    fonts_ = load_fonts(*ImGui::GetIO().Fonts, request_);
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
  }

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
  FontRequest request_;
  Fonts fonts_;
};

std::string all_texts(const scene::Scene& scene) {
  std::string all = scene.title + scene.subtitle;
  for (const scene::Label& label : scene.labels) all += label.text;
  for (const scene::Dimension& dimension : scene.dimensions) all += dimension.text;
  for (const scene::Legend& legend : scene.legends) all += legend.title;
  return all;
}

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

/// Read as the driver keeps it, since a conversion costs a software driver a shader of its own;
/// OpenGL counts rows from below.
Image read_back(const scene::Viewport& size) {
  const auto width = static_cast<std::size_t>(size.width);
  const auto height = static_cast<std::size_t>(size.height);
  std::vector<std::uint8_t> rgba(4 * width * height);
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(0, 0, size.width, size.height, GL_RGBA, GL_UNSIGNED_BYTE, rgba.data());
  Image image{size.width, size.height, std::vector<std::uint8_t>(3 * width * height)};
  for (std::size_t y = 0; y < height; ++y) {
    const std::uint8_t* from = rgba.data() + 4 * width * (height - 1 - y);
    std::uint8_t* to = image.rgb.data() + 3 * width * y;
    for (std::size_t x = 0; x < width; ++x) std::copy_n(from + 4 * x, 3, to + 3 * x);
  }
  return image;
}

/// Something of every kind, small: drawn once so that a software driver has compiled what the real
/// picture needs.
scene::Scene rehearsal() {
  scene::Scene scene;
  shape::Mesh mesh;
  mesh.vertices = {{0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 1.0}};
  mesh.triangles = {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};
  const auto shared = std::make_shared<const shape::Mesh>(std::move(mesh));
  scene::Solid solid;
  solid.mesh = shared;
  scene.solids.push_back(solid);
  scene.instances.push_back({shared, {{}}});
  scene.tubes.push_back({{{0.0, 0.0, 0.0}, {1.0, 1.0, 1.0}}, {}, 0.1});
  scene.clouds.push_back({{{Vec3(0.0), Vec3(1.0)}}, scene::Paint::travel, 0.1, true});
  scene.grid = scene::Grid{0.0, {0.0, 0.0}, {1.0, 1.0}};
  scene.bounds = drawn_box(scene);
  return scene;
}

}  // namespace

struct SnapshotMaker::Parts {
  explicit Parts(const SnapshotOptions& given)
      : options(given), canvas(given.size), painter(given.size, given.text_px) {
    options.annotate.scheme = options.scheme;
  }
  SnapshotOptions options;
  Renderer renderer;
  Canvas canvas;
  TextPainter painter;
};

SnapshotMaker::SnapshotMaker(const SnapshotOptions& options)
    : parts_(std::make_unique<Parts>(options)) {
  const scene::Scene scene = rehearsal();
  constexpr scene::Viewport k_small{64, 64};
  parts_->renderer.draw(scene, scene::fitted({}, scene.bounds, k_small), k_small,
                        {.scheme = options.scheme, .samples = options.samples});
  parts_->renderer.present(parts_->canvas.framebuffer(), 0, 0);
  scene::Annotations texts;
  texts.texts.push_back({Vec2(0.0), "0"});
  parts_->painter.paint(texts, options.scheme);
}

SnapshotMaker::~SnapshotMaker() = default;

Image SnapshotMaker::take(const scene::Scene& scene, const scene::Camera& camera,
                          ReadyMeshes ready) {
  const SnapshotOptions& options = parts_->options;
  parts_->renderer.upload(scene, std::move(ready));
  parts_->renderer.draw(scene, camera, options.size,
                        {.scheme = options.scheme, .samples = options.samples});
  parts_->renderer.present(parts_->canvas.framebuffer(), 0, 0);
  parts_->painter.need(further_letters(all_texts(scene)));
  parts_->painter.paint(scene::annotate(scene, camera, options.size,
                                        text_measure(parts_->painter.fonts()), options.annotate),
                        options.scheme);
  return read_back(options.size);
}

Image snapshot(const scene::Scene& scene, const scene::Camera& camera,
               const SnapshotOptions& options) {
  return SnapshotMaker(options).take(scene, camera);
}

}  // namespace bight::render
