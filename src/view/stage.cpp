#include "view/stage.h"

#include <algorithm>
#include <array>
#include <utility>

#include "base/box_corners.h"
#include "editor/drawn_things.h"
#include "picture/overlays.h"
#include "scene/fit_view.h"

namespace bight::view {
namespace {

/// Frames after a change, without another one, before its picture is drawn in full. The window
/// draws a few more frames after each change than this.
constexpr int k_calm_frames = 2;

/// Of the buttons above the picture, pixels.
double bar_height(const StageView& view) {
  return 32.0 * view.scale;
}

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

/// The edges of a box, not hidden by anything.
void outline(scene::Scene& scene, const Box& box) {
  if (box.empty()) return;
  const std::array<Vec3, 8> corner = corners(box);
  const auto draw = [&](std::vector<Vec3> points) {
    scene.strokes.push_back({.points = std::move(points),
                             .paint = scene::Paint::hover,
                             .width_px = 1.6,
                             .on_top = true});
  };
  draw({corner[0], corner[1], corner[3], corner[2], corner[0]});
  draw({corner[4], corner[5], corner[7], corner[6], corner[4]});
  for (std::size_t i = 0; i < 4; ++i) draw({corner[i], corner[i + 4]});
}

/// Everything on the viewer's side of the plane goes.
std::optional<scene::Section> section_of(const Layers& layers, const scene::Camera& camera) {
  if (layers.cut_axis < 0 || layers.cut_axis > 2) return {};
  scene::Section section;
  section.point[layers.cut_axis] = layers.cut_at_mm;
  section.normal[layers.cut_axis] =
      scene::frame_of(camera).forward[layers.cut_axis] > 0.0 ? -1.0 : 1.0;
  return section;
}

}  // namespace

bool StageView::operator==(const StageView& o) const {
  return size.width == o.size.width && size.height == o.size.height && scheme == o.scheme &&
         scale == o.scale && names == o.names && handles == o.handles && armed == o.armed &&
         em_px == o.em_px && moving == o.moving && hooks == o.hooks && hovered == o.hovered &&
         layers == o.layers && maps == o.maps;
}

Stage::Stage() : renderer_(std::make_unique<render::Renderer>()) {}

Stage::~Stage() = default;

void Stage::set_camera(const scene::Camera& camera) {
  camera_ = camera;
  camera_moved_ = true;
  framed_.reset();
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
  const picture::SceneOptions options{.unit = editor.unit(),
                                      .travel_box = view_.layers.travel,
                                      .names = view_.names,
                                      .title = false};
  const picture::PoseShape shape = view_.moving ? shapes_->next(pose_) : shapes_->at(pose_);
  scene_ = picture::build_scene(model_->plan, model_->machine, shape, meshes_, options);
  for (const std::string& name : editor.hidden()) {
    for (const scene::Id id : ids_of(scene_, name)) hide(scene_, id);
  }
  study_ = editor.result().checked.study;
  if (const study::Finding* finding = selected_finding(editor); finding != nullptr && study_) {
    picture::add_finding(scene_, model_->plan, model_->machine, *study_, *finding);
  }
  for (const std::string& name : editor::drawn_things(model_->plan, editor.highlighted())) {
    for (const scene::Id id : ids_of(scene_, name)) {
      emphasise(scene_, id, scene::Emphasis::selected);
    }
  }
  if (view_.hooks) {
    picture::add_hook_map(scene_, view_.hooks->hold, view_.hooks->map, view_.hooks->area);
    // The machine stays in sight behind it.
    constexpr double k_map_opacity = 0.5;
    for (scene::HeatMap& map : scene_.maps) map.opacity = k_map_opacity;
  }
  add_layers(editor);
}

void Stage::add_layers(const editor::Editor& editor) {
  const Layers& layers = view_.layers;
  if (layers.path) {
    std::vector<std::vector<double>> poses;
    for (const editor::TourStop& stop : editor.tour().stops) poses.push_back(stop.pose);
    picture::add_path(scene_, model_->machine, poses);
  }
  const TravelMaps* maps = view_.maps.get();
  if (layers.reach && maps != nullptr && maps->reach) {
    picture::add_reach_map(scene_, *maps->reach,
                           picture::work_level(maps->model->plan, maps->model->machine),
                           picture::work_translation(model_->machine, pose_));
  }
  if (layers.blocked && maps != nullptr && maps->blocked) {
    picture::add_blocked_region(scene_, maps->model->machine, *maps->blocked);
  }
}

/// Things under the pointer, unless they are chosen or marked already.
void Stage::mark_hovered() {
  using scene::Emphasis;
  if (!model_) return;
  const auto hovered = editor::drawn_things(model_->plan, view_.hovered);
  const auto mark = [this, &hovered](auto& drawables) {
    for (auto& d : drawables) {
      const scene::Thing* thing = scene_.thing_of(d.id);
      const bool on = thing != nullptr && std::ranges::find(hovered, thing->name) != hovered.end();
      if (on && d.emphasis == Emphasis::normal) d.emphasis = Emphasis::hovered;
      if (!on && d.emphasis == Emphasis::hovered) d.emphasis = Emphasis::normal;
    }
  };
  mark(scene_.solids);
  mark(scene_.instances);
  mark(scene_.tubes);
  // A small part, or one behind another, is found by the box around it.
  std::erase_if(scene_.strokes, [](const auto& s) { return s.paint == scene::Paint::hover; });
  for (const scene::Solid& solid : scene_.solids) {
    if (solid.emphasis == Emphasis::hovered && !solid.inward) outline(scene_, solid.box());
  }
}

bool Stage::update(const editor::Editor& editor, const StageView& view,
                   const scene::MeasureText& measure) {
  if (view.size.width < 1 || view.size.height < 1) return false;
  const bool view_changed = !(view == view_);
  const bool scene_changed = !built_ || view.names != view_.names || view.hooks != view_.hooks ||
                             view.layers != view_.layers || view.maps != view_.maps ||
                             editor.revision() != revision_;
  const bool resized = view.size.width != view_.size.width || view.size.height != view_.size.height;
  if (resized && !asked_) asked_ = framed_;
  const bool to_fit = asked_ && editor.model() != nullptr;  // else it waits for a plan
  const bool changed = view_changed || scene_changed || camera_moved_ || to_fit;
  calm_ = changed ? 0 : calm_ + 1;
  const bool finish = rough_ && calm_ >= k_calm_frames;
  if (!changed && !finish) return false;
  view_ = view;
  if (scene_changed) {
    rebuild(editor);
    revision_ = editor.revision();
    built_ = true;
  }
  mark_hovered();
  scene_.section = section_of(view_.layers, camera_);
  if (to_fit) fit(*std::exchange(asked_, std::nullopt), measure);
  camera_moved_ = false;
  rough_ = changed && renderer_->is_software();
  renderer_->draw(scene_, camera_, view_.size,
                  {.scheme = view_.scheme, .moving = view_.moving, .draft = rough_});
  place_handles(editor);
  scene::AnnotateOptions texts = text_options();
  texts.keep_free = rooms_of(handles_, view_.em_px);
  annotations_ = scene::annotate(scene_, camera_, view_.size, measure, texts);
  ++drawn_;
  return true;
}

void Stage::place_handles(const editor::Editor& editor) {
  handles_.clear();
  if (!view_.handles) return;
  const scene::Rect area{{0.0, bar_height(view_)}, {view_.size.width, view_.size.height}};
  handles_ =
      shown_handles(editor.handles(), {editor.selected_thing(), view_.armed, editor.hidden()},
                    scene_, camera_, view_.size, area, view_.em_px);
}

scene::AnnotateOptions Stage::text_options() const {
  return {.scheme = view_.scheme,
          .scale = view_.scale,
          .labels = view_.names,
          .legends = view_.size.width > 380.0 * view_.scale,
          .title = false,
          .rulers = camera_.straight,
          .insets = {.top = bar_height(view_)}};
}

void Stage::present(int x, int y) {
  if (drawn_ > 0) renderer_->present(0, x, y);
}

std::optional<scene::Thing> Stage::thing_at(const Vec2& pixel) {
  if (!built_ || view_.size.width < 1 || view_.size.height < 1) return {};
  if (picked_at_ == pixel && picked_in_ == drawn_) return picked_;
  picked_at_ = pixel;
  picked_in_ = drawn_;
  const auto hit = renderer_->pick(scene_, camera_, view_.size, pixel);
  const scene::Thing* thing = hit ? scene_.thing_of(hit->id) : nullptr;
  picked_ = thing != nullptr ? std::optional(*thing) : std::nullopt;
  return picked_;
}

bool Stage::is_room(const scene::Thing& thing) const {
  return std::ranges::any_of(scene_.solids, [&](const scene::Solid& solid) {
    const scene::Thing* of = scene_.thing_of(solid.id);
    return solid.inward && of != nullptr && of->kind == thing.kind && of->name == thing.name;
  });
}

void Stage::frame(Framing how, std::vector<std::string> things) {
  asked_ = Framed{how, std::move(things)};
}

Box Stage::box_of_things(const std::vector<std::string>& things) const {
  Box box;
  const auto drawn = model_ ? editor::drawn_things(model_->plan, things) : things;
  for (const std::string& name : drawn) {
    for (const scene::Id id : ids_of(scene_, name)) box.extend(scene::box_of(scene_, id));
  }
  return box;
}

void Stage::fit(Framed wanted, const scene::MeasureText& measure) {
  const scene::AnnotateOptions texts = text_options();
  const scene::Insets insets = scene::insets_within_rulers(camera_, texts);
  Box box = box_of_things(wanted.things);
  if (wanted.how == Framing::seen) {
    if (box.empty() || scene::is_in_view(box, camera_, view_.size, insets)) return;
    wanted.how = Framing::all;
  }
  const bool close = wanted.how == Framing::close && !box.empty();
  if (close) {
    // A small thing is shown with what is around it, and a finding with its nearest points.
    constexpr double k_around_mm = 250.0;
    for (const scene::Dimension& dimension : scene_.dimensions) {
      box.extend(dimension.from);
      box.extend(dimension.to);
    }
    box = grown(box, k_around_mm);
  } else {
    box.extend(scene_.focus.empty() ? scene_.bounds : scene_.focus);
  }
  constexpr double k_margin = 0.06;
  constexpr double k_margin_close = 0.16;
  camera_ =
      scene::fitted_beside(camera_, box, view_.size, close ? k_margin_close : k_margin, insets,
                           scene::legend_boxes(scene_, camera_, view_.size, measure, texts));
  framed_ = std::move(wanted);
}

bool Stage::turn_to(const std::string& named_view) {
  const auto turned = scene::turned_to(camera_, named_view);
  if (!turned) return false;
  set_camera(*turned);
  frame(Framing::all);
  return true;
}

}  // namespace bight::view
