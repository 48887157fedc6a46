#pragma once
// Small pictures of the options for the comparison, drawn once each and kept as textures.

#include <imgui.h>

#include <map>
#include <memory>
#include <string>

#include "editor/model.h"
#include "picture/build_scene.h"
#include "render/renderer.h"

namespace bight::view {

class OptionPictures {
 public:
  OptionPictures();
  ~OptionPictures();
  OptionPictures(const OptionPictures&) = delete;
  OptionPictures& operator=(const OptionPictures&) = delete;

  /// The picture of an option, drawn now when it is new or its model or look changed and none was
  /// drawn in this frame yet; 0 while there is none. A current context is needed.
  ImTextureID of(const std::string& option, const std::shared_ptr<const editor::Model>& model,
                 int width, int height, scene::Scheme scheme);
  void begin_frame();
  /// One or more could not be drawn in this frame: ask for another one.
  bool more_to_draw() const { return more_; }

 private:
  struct Entry {
    std::shared_ptr<const editor::Model> model;
    unsigned texture = 0;
    unsigned framebuffer = 0;
    int width = 0;
    int height = 0;
    scene::Scheme scheme = scene::Scheme::light;
  };
  void draw(Entry& entry);
  void release(Entry& entry);
  render::Renderer renderer_;
  picture::SceneMeshes meshes_;
  std::map<std::string, Entry> entries_;
  bool drawn_ = false;
  bool more_ = false;
};

}  // namespace bight::view
