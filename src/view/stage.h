#pragma once
// The 3-D picture: what it shows, from where, and when it has to be drawn again. Drawing itself is
// the renderer's; hands on it (orbit, pick, handles) are view/stage_input.h.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/editor.h"
#include "free/hook_map.h"
#include "picture/build_scene.h"
#include "render/renderer.h"
#include "scene/annotate.h"
#include "scene/camera.h"
#include "scene/scene.h"
#include "view/panel_context.h"
#include "view/shown_handles.h"
#include "view/travel_maps.h"

namespace bight::view {

/// A map to be laid over the picture.
struct ShownHookMap {
  std::string hold;
  free::HookMap map;
  free::HookArea area;
};

/// All that the picture depends on besides the editor.
struct StageView {
  scene::Viewport size;
  scene::Scheme scheme = scene::Scheme::light;
  double scale = 1.0;
  bool names = true;
  bool handles = true;
  std::string armed;    ///< handle that was taken last
  double em_px = 15.0;  ///< height of the font
  bool moving = false;  ///< a drag or the tour runs: quicker drawing
  std::shared_ptr<const ShownHookMap> hooks;
  std::vector<std::string> hovered;  ///< names of things
  Layers layers;
  std::shared_ptr<const TravelMaps> maps;  ///< for the layers that need them; null: not known
  bool operator==(const StageView& other) const;
};

/// How things are brought into the picture.
enum class Framing {
  all,    ///< the whole machine, and the things
  close,  ///< the things with a little around them
  seen,   ///< not at all when they are in the picture, else with the whole machine
};

class Stage {
 public:
  Stage();
  ~Stage();
  Stage(const Stage&) = delete;
  Stage& operator=(const Stage&) = delete;

  /// Draws the picture when it changed. A current context is needed; leaves the window's
  /// framebuffer bound. True when it was drawn.
  bool update(const editor::Editor& editor, const StageView& view,
              const scene::MeasureText& measure);
  /// Puts the last picture into the window, lower left corner at x, y.
  void present(int x, int y);

  const scene::Scene& scene() const { return scene_; }
  const scene::Annotations& annotations() const { return annotations_; }
  /// Where they stand on the picture.
  const std::vector<ShownHandle>& handles() const { return handles_; }
  const scene::Camera& camera() const { return camera_; }
  /// By hand: what the camera was fitted to no longer holds.
  void set_camera(const scene::Camera& camera);
  const scene::Viewport& size() const { return view_.size; }

  /// What is at a pixel of the picture; asked again of the same picture it is known.
  std::optional<scene::Thing> thing_at(const Vec2& pixel);
  /// A wall, the floor or the ceiling.
  bool is_room(const scene::Thing& thing) const;
  /// Moves the camera when the picture is drawn next, and again when its size changes, until the
  /// camera is moved by hand. What is not drawn gives all, or nothing when it was only to be seen.
  void frame(Framing how, std::vector<std::string> things = {});
  bool turn_to(const std::string& named_view);
  std::size_t drawn() const { return drawn_; }  ///< pictures so far
  bool is_rough() const { return rough_; }      ///< the last one is a draft: draw more frames

 private:
  struct Framed {
    Framing how = Framing::all;
    std::vector<std::string> things;
  };
  void rebuild(const editor::Editor& editor);
  void add_layers(const editor::Editor& editor);
  void mark_hovered();
  void place_handles(const editor::Editor& editor);
  scene::AnnotateOptions text_options() const;
  Box box_of_things(const std::vector<std::string>& things) const;
  void fit(Framed wanted, const scene::MeasureText& measure);
  std::unique_ptr<render::Renderer> renderer_;
  picture::SceneMeshes meshes_;
  std::shared_ptr<const editor::Model> model_;  ///< that shapes_ refers to
  std::optional<picture::PoseShapes> shapes_;
  std::shared_ptr<const study::StudyResult> study_;
  scene::Scene scene_;
  scene::Camera camera_;
  scene::Annotations annotations_;
  std::vector<ShownHandle> handles_;
  StageView view_;
  std::uint64_t revision_ = 0;
  std::vector<double> pose_;
  bool built_ = false;
  bool camera_moved_ = true;
  std::optional<Framed> asked_ = Framed{};  ///< to be fitted when the picture is drawn next
  std::optional<Framed> framed_;            ///< what the camera was fitted to last
  int calm_ = 0;                            ///< frames without a change since the last draft
  bool rough_ = false;                      ///< the last picture is a draft
  std::size_t drawn_ = 0;
  Vec2 picked_at_{-1.0};  ///< of the last pick, which holds for the picture of this number
  std::size_t picked_in_ = 0;
  std::optional<scene::Thing> picked_;
};

}  // namespace bight::view
