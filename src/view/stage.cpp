#include "view/stage.h"

#include <algorithm>

#include "picture/overlays.h"

namespace bight::view {
namespace {

/// Frames after a change, without another one, before its picture is drawn in full. The window
/// draws a few more frames after each change than this.
constexpr int k_calm_frames = 2;

const study::Finding* selected_finding(const editor::Editor& editor) {
  const std::string& id = editor.selected_finding();
  if (id.empty()) return nullptr;
  for (const study::Finding& finding : editor.findings()) {
    if (editor::finding_id(finding) == id) return &finding;
  }
  return nullptr;
}

/// The things of a picture that are named so; a line may be drawn in several legs.
std::vector<scene::Id> ids_of(const scene::Scene& scene, const std::string& name) {
  std::vector<scene::Id> ids;
  for (std::size_t i = 0; i < scene.things.size(); ++i) {
    if (scene.things[i].name == name) ids.push_back(static_cast<scene::Id>(i + 1));
  }
  return ids;
}

void emphasise(scene::Scene& scene, scene::Id id, scene::Emphasis emphasis) {
  const auto set = [&](auto& drawables) {
    for (auto& d : drawables) {
      if (d.id == id) d.emphasis = emphasis;
    }
  };
  set(scene.solids);
  set(scene.instances);
  set(scene.tubes);
}

template <class Drawables>
void drop(Drawables& drawables, scene::Id id) {
  std::erase_if(drawables, [id](const auto& d) { return d.id == id; });
}

void hide(scene::Scene& scene, scene::Id id) {
  drop(scene.solids, id);
  drop(scene.instances, id);
  drop(scene.tubes, id);
  drop(scene.labels, id);
}

}  // namespace

bool StageView::operator==(const StageView& o) const {
  return size.width == o.size.width && size.height == o.size.height && scheme == o.scheme &&
         scale == o.scale && names == o.names && moving == o.moving && hooks == o.hooks &&
         hovered == o.hovered;
}

Stage::Stage() : renderer_(std::make_unique<render::Renderer>()) {}

Stage::~Stage() = default;

void Stage::set_camera(const scene::Camera& camera) {
  camera_ = camera;
  camera_moved_ = true;
}

void Stage::rebuild(const editor::Editor& editor) {
  scene_ = scene::Scene();
  const auto& model = editor.model();
  if (!model) return;
  if (model != model_) {
    shapes_.reset();
    model_ = model;
    shapes_.emplace(model_->plan, model_->machine);
  }
  pose_ = editor.pose();
  picture::SceneOptions options{.unit = editor.unit(), .names = view_.names, .title = false};
  if (view_.hovered) options.hovered = view_.hovered;
  const picture::PoseShape shape = view_.moving ? shapes_->next(pose_) : shapes_->at(pose_);
  scene_ = picture::build_scene(model_->plan, model_->machine, shape, meshes_, options);
  for (const std::string& name : editor.hidden()) {
    for (const scene::Id id : ids_of(scene_, name)) hide(scene_, id);
  }
  study_ = editor.result().checked.study;
  if (const study::Finding* finding = selected_finding(editor); finding != nullptr && study_) {
    picture::add_finding(scene_, model_->machine, *study_, *finding);
  }
  for (const std::string& name : editor.highlighted()) {
    for (const scene::Id id : ids_of(scene_, name)) {
      emphasise(scene_, id, scene::Emphasis::selected);
    }
  }
  if (view_.hooks) {
    picture::add_hook_map(scene_, view_.hooks->map, view_.hooks->area);
    // The machine stays in sight behind it.
    constexpr double k_map_opacity = 0.5;
    for (scene::HeatMap& map : scene_.maps) map.opacity = k_map_opacity;
  }
}

bool Stage::update(const editor::Editor& editor, const StageView& view,
                   const scene::MeasureText& measure) {
  if (view.size.width < 1 || view.size.height < 1) return false;
  const bool view_changed = !(view == view_);
  const bool scene_changed = !built_ || view.names != view_.names || view.hooks != view_.hooks ||
                             view.hovered != view_.hovered || editor.revision() != revision_;
  const bool changed = view_changed || scene_changed || camera_moved_ || fit_asked_;
  calm_ = changed ? 0 : calm_ + 1;
  const bool finish = rough_ && calm_ >= k_calm_frames;
  if (!changed && !finish) return false;
  view_ = view;
  if (scene_changed) {
    rebuild(editor);
    revision_ = editor.revision();
    built_ = true;
  }
  if (fit_asked_ && editor.model()) {
    camera_ =
        scene::fitted(camera_, scene_.focus.empty() ? scene_.bounds : scene_.focus, view_.size);
    fit_asked_ = false;
  }
  camera_moved_ = false;
  rough_ = changed && renderer_->is_software();
  renderer_->draw(scene_, camera_, view_.size,
                  {.scheme = view_.scheme, .moving = view_.moving, .draft = rough_});
  annotations_ = scene::annotate(scene_, camera_, view_.size, measure,
                                 {.scheme = view_.scheme,
                                  .scale = view_.scale,
                                  .labels = view_.names,
                                  .legends = view_.size.width > 380.0 * view_.scale,
                                  .title = false,
                                  .rulers = camera_.straight,
                                  .inset_top = 32.0 * view_.scale});
  ++drawn_;
  return true;
}

void Stage::present(int x, int y) {
  if (drawn_ > 0) renderer_->present(0, x, y);
}

std::optional<scene::Thing> Stage::thing_at(const Vec2& pixel) {
  if (!built_ || view_.size.width < 1 || view_.size.height < 1) return {};
  const auto hit = renderer_->pick(scene_, camera_, view_.size, pixel);
  if (!hit) return {};
  const scene::Thing* thing = scene_.thing_of(hit->id);
  return thing != nullptr ? std::optional(*thing) : std::nullopt;
}

void Stage::frame(const std::vector<std::string>& things) {
  Box box;
  for (const std::string& name : things) {
    for (const scene::Id id : ids_of(scene_, name)) {
      const Box of_thing = scene::box_of(scene_, id);
      if (!of_thing.empty()) box.extend(of_thing);
    }
  }
  if (box.empty()) box = scene_.focus.empty() ? scene_.bounds : scene_.focus;
  if (box.empty()) {
    fit_asked_ = true;
    return;
  }
  // A small thing is shown with what is around it.
  constexpr double k_around_mm = 250.0;
  const double margin = things.empty() ? 0.06 : 0.16;
  if (!things.empty()) box = grown(box, k_around_mm);
  set_camera(scene::fitted(camera_, box, view_.size, margin));
}

bool Stage::turn_to(const std::string& named_view) {
  const auto turned = scene::turned_to(camera_, named_view);
  if (!turned) return false;
  set_camera(*turned);
  frame();
  return true;
}

}  // namespace bight::view
