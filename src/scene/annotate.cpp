#include "scene/annotate.h"

#include <algorithm>
#include <cmath>

#include "scene/annotate_detail.h"
#include "scene/grid.h"
#include "scene/visibility.h"

namespace bight::scene {
namespace annotate_detail {

void Page::add_text(const Vec2& corner, const std::string& text, TextRole role, Paint paint,
                    bool halo) {
  const Vec2 size = measure(text, role);
  const Vec2 at = glm::round(corner);
  out.texts.push_back({at, text, role, paint, halo, size});
  taken.push_back({at - Vec2(px(2.0)), at + size + Vec2(px(2.0))});
}

bool Page::add_text_if_free(const Vec2& corner, const std::string& text, TextRole role, Paint paint,
                            bool halo) {
  const Vec2 at = glm::round(corner);
  const Vec2 size = measure(text, role);
  const Rect box{at - Vec2(px(2.0)), at + size + Vec2(px(2.0))};
  if (!box.inside(area)) return false;
  for (const Rect& other : taken) {
    if (box.overlaps(other)) return false;
  }
  add_text(corner, text, role, paint, halo);
  return true;
}

void Page::add_plate(const Rect& box) {
  out.polygons.push_back(
      {{box.lower, {box.upper.x, box.lower.y}, box.upper, {box.lower.x, box.upper.y}},
       color(Paint::halo, options.scheme)});
}

}  // namespace annotate_detail

namespace {

using annotate_detail::Page;

/// A label that waits for its place.
struct Waiting {
  std::string text;
  Paint paint = Paint::text;
  Mark mark = Mark::none;
  Id id = 0;
  TextRole role = TextRole::small;
  Vec2 at{0.0};
};

constexpr double k_sign_radius_px = 8.0;
constexpr double k_pad_px = 4.0;

void add_signs(Page& page) {
  for (const Sign& sign : page.scene.signs) {
    const auto p = project(page.camera, page.viewport, sign.at);
    if (!p || is_cut_away(page.scene, sign.at)) continue;
    const double r = page.px(k_sign_radius_px);
    Rect box{p->pixel - Vec2(r), p->pixel + Vec2(r)};
    // Signs at one place stand side by side.
    for (const PlacedSign& other : page.out.signs) {
      const Rect theirs{other.at - Vec2(r), other.at + Vec2(r)};
      if (box.overlaps(theirs)) {
        const double shift = theirs.upper.x - box.lower.x + page.px(2.0);
        box.lower.x += shift;
        box.upper.x += shift;
      }
    }
    if (!box.inside(page.area)) continue;
    page.out.signs.push_back({0.5 * (box.lower + box.upper), sign.mark, r, sign.id});
    page.taken.push_back(box);
  }
}

/// Arrow head with its tip at `tip`, pointing along the unit vector `d`.
void add_arrow(Page& page, const Vec2& tip, const Vec2& d, Paint paint) {
  const double length = page.px(9.0);
  const double half = page.px(3.0);
  const Vec2 side(-d.y, d.x);
  page.out.polygons.push_back(
      {{tip, tip - length * d + half * side, tip - length * d - half * side},
       color(paint, page.options.scheme)});
}

/// Points that coincide have no line between them: a cross of four ticks aims at the place.
void add_cross(Page& page, const Vec2& at, Paint paint) {
  for (const Vec2& d : {Vec2(1.0, 0.0), Vec2(-1.0, 0.0), Vec2(0.0, 1.0), Vec2(0.0, -1.0)}) {
    page.out.lines.push_back(
        {at + page.px(6.0) * d, at + page.px(15.0) * d, paint, page.px(2.0), 1.0});
  }
  page.taken.push_back({at - Vec2(page.px(15.0)), at + Vec2(page.px(15.0))});
}

void add_dimension_lines(Page& page, const Vec2& a, const Vec2& b, Paint paint) {
  const double length = glm::length(b - a);
  if (length < 0.5) {
    add_cross(page, 0.5 * (a + b), paint);
    return;
  }
  const Vec2 d = length > 1e-3 ? (b - a) / length : Vec2(1.0, 0.0);
  const double width = page.px(1.5);
  const double room = page.px(26.0);
  if (length >= room) {
    page.out.lines.push_back({a, b, paint, width, 1.0});
    add_arrow(page, a, -d, paint);
    add_arrow(page, b, d, paint);
  } else {
    // Too short for arrows between: they point at it from outside.
    page.out.lines.push_back({a - room * d, a, paint, width, 1.0});
    page.out.lines.push_back({b, b + room * d, paint, width, 1.0});
    add_arrow(page, a, d, paint);
    add_arrow(page, b, -d, paint);
  }
}

void add_placed(Page& page, const std::vector<Waiting>& waiting,
                const std::vector<LabelRequest>& requests) {
  const auto places = place_labels(requests, page.area, page.taken);
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (!places[i]) continue;
    const Rect& box = places[i]->box;
    const Waiting& w = waiting[i];
    if (places[i]->leader) {
      page.out.lines.push_back({w.at, leader_end(w.at, box), Paint::text_quiet, page.px(1.0), 0.8});
    }
    const double pad = page.px(k_pad_px);
    Vec2 at = box.lower + Vec2(pad);
    if (w.mark != Mark::none) {
      const double r = page.px(6.0);
      page.out.signs.push_back({{at.x + r, 0.5 * (box.lower.y + box.upper.y)}, w.mark, r, w.id});
      at.x += 2.0 * r + pad;
    }
    page.add_plate(box);
    page.out.texts.push_back(
        {glm::round(at), w.text, w.role, w.paint, false, page.measure(w.text, w.role)});
    page.taken.push_back(box);
  }
}

/// Everything that looks for a free place, the numbers of dimensions first.
void add_labels(Page& page) {
  std::vector<Waiting> waiting;
  std::vector<LabelRequest> requests;
  const auto ask = [&](const Vec2& at, Waiting w, int priority, double gap, bool must) {
    const double sign = w.mark == Mark::none ? 0.0 : page.px(12.0 + k_pad_px);
    const Vec2 size =
        page.measure(w.text, w.role) + Vec2(2.0 * page.px(k_pad_px)) + Vec2(sign, 0.0);
    w.at = at;
    requests.push_back({at, size, priority, page.px(gap), must});
    waiting.push_back(std::move(w));
  };
  constexpr int k_first = 1'000'000;
  for (const Dimension& dimension : page.scene.dimensions) {
    const auto a = project(page.camera, page.viewport, dimension.from);
    const auto b = project(page.camera, page.viewport, dimension.to);
    if (!a || !b) continue;
    add_dimension_lines(page, a->pixel, b->pixel, Paint::witness);
    const Vec2 middle = 0.5 * (a->pixel + b->pixel);
    page.taken.push_back({middle - Vec2(page.px(5.0)), middle + Vec2(page.px(5.0))});
    ask(middle, {dimension.text, Paint::text, dimension.mark, 0, TextRole::text}, k_first, 14.0,
        true);
  }
  if (page.options.labels) {
    for (const Label& label : page.scene.labels) {
      const auto p = project(page.camera, page.viewport, label.at);
      if (!p || is_cut_away(page.scene, label.at)) continue;
      const bool covered = std::ranges::any_of(
          page.covers, [&](const Rect& cover) { return cover.contains(p->pixel); });
      if (covered) continue;
      ask(p->pixel, {label.text, label.paint, Mark::none, label.id}, label.priority, 8.0, false);
    }
  }
  add_placed(page, waiting, requests);
}

bool has_rulers(const AnnotateOptions& options, const Camera& camera) {
  return options.rulers && annotate_detail::is_along_axes(camera);
}

Rect area_of(const Viewport& viewport, const Insets& insets) {
  return {{insets.left, insets.top},
          {viewport.width - insets.right, viewport.height - insets.bottom}};
}

}  // namespace

Annotations annotate(const Scene& scene, const Camera& camera, const Viewport& viewport,
                     const MeasureText& measure, const AnnotateOptions& options) {
  Page page{scene,
            camera,
            viewport,
            measure,
            options,
            area_of(viewport, options.insets),
            options.keep_free,
            {},
            {}};
  if (has_rulers(options, camera)) annotate_detail::add_rulers(page);
  page.area = area_of(viewport, insets_within_rulers(camera, options));
  annotate_detail::add_title(page);
  annotate_detail::add_legends(page);
  annotate_detail::add_axes(page);
  annotate_detail::add_grid_numbers(page);
  add_signs(page);
  add_labels(page);
  return std::move(page.out);
}

Insets insets_within_rulers(const Camera& camera, const AnnotateOptions& options) {
  Insets insets = options.insets;
  if (has_rulers(options, camera)) {
    insets.left += options.scale * 52.0;
    insets.bottom += options.scale * 32.0;
  }
  return insets;
}

std::vector<Rect> legend_boxes(const Scene& scene, const Camera& camera, const Viewport& viewport,
                               const MeasureText& measure, const AnnotateOptions& options) {
  return annotate_detail::legend_plates({scene,
                                         camera,
                                         viewport,
                                         measure,
                                         options,
                                         area_of(viewport, insets_within_rulers(camera, options)),
                                         {},
                                         {},
                                         {}});
}

GridSteps grid_steps(LengthUnit unit, const Camera& camera, const Viewport& viewport,
                     double scale) {
  constexpr double k_fine_px = 12.0;
  constexpr double k_strong_px = 60.0;
  const double mm = mm_per_pixel(camera, viewport, camera.distance_mm);
  return {grid_step(unit, mm, k_fine_px * scale), grid_step(unit, mm, k_strong_px * scale)};
}

}  // namespace bight::scene
