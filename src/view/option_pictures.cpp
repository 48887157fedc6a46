#include "view/option_pictures.h"

#include <epoxy/gl.h>

#include <cstdint>

#include "machine/limits.h"
#include "scene/camera.h"

namespace bight::view {

OptionPictures::OptionPictures() = default;

OptionPictures::~OptionPictures() {
  for (auto& [name, entry] : entries_) release(entry);
}

void OptionPictures::release(Entry& entry) {
  if (entry.framebuffer != 0) glDeleteFramebuffers(1, &entry.framebuffer);
  if (entry.texture != 0) glDeleteTextures(1, &entry.texture);
  entry.framebuffer = entry.texture = 0;
}

void OptionPictures::begin_frame() {
  drawn_ = false;
  more_ = false;
}

void OptionPictures::draw(Entry& entry) {
  if (entry.texture == 0) {
    glGenTextures(1, &entry.texture);
    glBindTexture(GL_TEXTURE_2D, entry.texture);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, entry.width, entry.height, 0, GL_RGBA,
                 GL_UNSIGNED_BYTE, nullptr);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
    glBindTexture(GL_TEXTURE_2D, 0);
    glGenFramebuffers(1, &entry.framebuffer);
    glBindFramebuffer(GL_FRAMEBUFFER, entry.framebuffer);
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, entry.texture, 0);
  }
  picture::PoseShapes shapes(entry.model->plan, entry.model->machine);
  const scene::Scene scene = picture::build_scene(
      entry.model->plan, entry.model->machine,
      shapes.at(machine::home_pose(entry.model->machine.joints)), meshes_,
      {.grid = false, .switches = false, .travel_box = false, .names = false, .title = false});
  const scene::Viewport size{entry.width, entry.height};
  const scene::Camera camera = scene::fitted(scene::Camera(), scene.focus, size);
  renderer_.draw(scene, camera, size, {.scheme = entry.scheme});
  renderer_.present(entry.framebuffer, 0, 0);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
}

ImTextureID OptionPictures::of(const std::string& option,
                               const std::shared_ptr<const editor::Model>& model, int width,
                               int height, scene::Scheme scheme) {
  if (!model || width < 8 || height < 8) return nullptr;
  Entry& entry = entries_[option];
  const bool same_size = entry.width == width && entry.height == height;
  if (entry.model != model || !same_size || entry.scheme != scheme) {
    if (drawn_) {
      more_ = true;
    } else {
      if (!same_size) release(entry);
      entry.model = model;
      entry.width = width;
      entry.height = height;
      entry.scheme = scheme;
      draw(entry);
      drawn_ = true;
    }
  }
  // ImGui hands texture names of OpenGL through a pointer.
  // NOLINTNEXTLINE(performance-no-int-to-ptr)
  return reinterpret_cast<ImTextureID>(static_cast<std::uintptr_t>(entry.texture));
}

}  // namespace bight::view
