// Title, legends, rulers, grid numbers and axes.

#include <algorithm>
#include <array>
#include <cmath>

#include "scene/annotate_detail.h"
#include "scene/grid.h"
#include "scene/visibility.h"
#include "scene/wrapped_text.h"

namespace bight::scene::annotate_detail {
namespace {

constexpr double k_margin_px = 14.0;

/// The plan axis along which a unit vector lies, as index and sense; nothing when it leans.
struct AlongAxis {
  int axis = -1;
  double sense = 1.0;
};
AlongAxis axis_of(const Vec3& v) {
  constexpr double k_along = 0.9999;
  for (int i = 0; i < 3; ++i) {
    if (std::abs(v[i]) > k_along) return {i, v[i] > 0.0 ? 1.0 : -1.0};
  }
  return {};
}

const char* axis_name(int axis) {
  constexpr std::array<const char*, 3> k_names{"X", "Y", "Z"};
  return k_names[static_cast<std::size_t>(axis)];
}

std::string axis_title(int axis, LengthUnit unit) {
  return std::string(axis_name(axis)) + (unit == LengthUnit::inch ? ", in" : ", mm");
}

std::string numbered(double value, double step, LengthUnit unit) {
  return grid_text(value, step, unit);
}

/// Measures of a legend, pixels: its texts, what stands right of the ramp, and all within its edge.
struct LegendSize {
  Vec2 title{0.0};
  Vec2 low{0.0};
  Vec2 high{0.0};
  Vec2 beyond{0.0};
  double extra = 0.0;
  Vec2 inner{0.0};
};

constexpr double k_legend_pad_px = 10.0;
constexpr double k_legend_bar_px = 10.0;
constexpr double k_legend_gap_px = 6.0;

LegendSize size_of(const Page& page, const Legend& legend) {
  constexpr double k_widest_px = 176.0;
  constexpr double k_share = 0.2;  // of a narrow picture
  const double ramp = std::min(page.px(k_widest_px), k_share * page.viewport.width);
  const double bar = page.px(k_legend_bar_px);
  const double gap = page.px(k_legend_gap_px);
  LegendSize size;
  size.title = page.measure(legend.title, TextRole::small);
  size.low = page.measure(legend.at_low, TextRole::small);
  size.high = page.measure(legend.at_high, TextRole::small);
  if (!legend.beyond.empty()) {
    size.beyond = page.measure(legend.beyond, TextRole::small);
    size.extra = 2.0 * gap + std::max(2.0 * bar, size.beyond.x);
  }
  size.inner = {std::max({size.title.x, ramp + size.extra,
                          size.low.x + size.high.x + 2.0 * gap + size.extra}),
                size.title.y + gap + bar + gap + std::max(size.low.y, size.high.y)};
  return size;
}

void add_legend(Page& page, const Legend& legend, const Rect& plate) {
  const LegendSize size = size_of(page, legend);
  const double bar = page.px(k_legend_bar_px);
  const double gap = page.px(k_legend_gap_px);
  const double pad = page.px(k_legend_pad_px);
  page.add_plate(plate);
  page.taken.push_back(plate);
  page.covers.push_back(plate);
  const Vec2 at = plate.lower + Vec2(pad);
  page.out.texts.push_back(
      {glm::round(at), legend.title, TextRole::small, Paint::text, false, size.title});
  const double top = std::round(at.y + size.title.y + gap);
  const double bar_width = plate.upper.x - plate.lower.x - 2.0 * pad - size.extra;
  constexpr int k_steps = 44;
  for (int i = 0; i < k_steps; ++i) {
    // Whole pixels, or the blended edges of the steps would show as stripes.
    const double x0 = std::round(at.x + bar_width * i / k_steps);
    const double x1 = std::round(at.x + bar_width * (i + 1) / k_steps);
    page.out.polygons.push_back(
        {{{x0, top}, {x1, top}, {x1, top + bar}, {x0, top + bar}},
         ramp_color(legend.ramp, (i + 0.5) / k_steps, page.options.scheme)});
  }
  const double below = top + bar + gap;
  page.out.texts.push_back({glm::round(Vec2(at.x, below)), legend.at_low, TextRole::small,
                            Paint::text_quiet, false, size.low});
  page.out.texts.push_back({glm::round(Vec2(at.x + bar_width - size.high.x, below)), legend.at_high,
                            TextRole::small, Paint::text_quiet, false, size.high});
  if (!legend.beyond.empty()) {
    const double x = at.x + bar_width + 2.0 * gap;
    page.out.polygons.push_back(
        {{{x, top}, {x + 2.0 * bar, top}, {x + 2.0 * bar, top + bar}, {x, top + bar}},
         color(Paint::stop, page.options.scheme)});
    page.out.texts.push_back({glm::round(Vec2(x, below)), legend.beyond, TextRole::small,
                              Paint::text_quiet, false, size.beyond});
  }
}

/// Ticks and numbers along one border. `horizontal`: along the lower border, else the left one.
void add_ruler(Page& page, bool horizontal, int axis, const GridSteps& steps) {
  const CameraFrame frame = frame_of(page.camera);
  const Vec3 along = horizontal ? frame.right : frame.up;
  const double scale = 1.0 / mm_per_pixel(page.camera, page.viewport, page.camera.distance_mm);
  const double sense = along[axis];
  const double middle = page.camera.target[axis];
  const double size = horizontal ? page.viewport.width : page.viewport.height;
  // Pixel of a value: right of the middle for larger ones along the axis; up counts backwards.
  const auto pixel = [&](double value) {
    const double p = scale * sense * (value - middle);
    return horizontal ? 0.5 * size + p : 0.5 * size - p;
  };
  const double reach = 0.5 * size / scale;
  const double border = horizontal ? page.area.upper.y : page.area.lower.x;
  const double inward = horizontal ? -1.0 : 1.0;
  const auto tick = [&](double value, double length, double opacity) {
    const double p = std::round(pixel(value)) + 0.5;
    const Vec2 from = horizontal ? Vec2(p, border) : Vec2(border, p);
    const Vec2 to =
        horizontal ? Vec2(p, border + inward * length) : Vec2(border + inward * length, p);
    page.out.lines.push_back({from, to, Paint::text_quiet, page.px(1.0), opacity});
  };
  const double most = (horizontal ? page.area.upper.x : page.area.upper.y) - page.px(4.0);
  const double least = (horizontal ? page.area.lower.x : page.area.lower.y) + page.px(4.0);
  const auto seen = [&](double value) { return pixel(value) >= least && pixel(value) <= most; };
  for (const double v : grid_values(middle - reach, middle + reach, steps.fine_mm)) {
    if (seen(v)) tick(v, page.px(4.0), 0.6);
  }
  const std::string title = axis_title(axis, page.scene.unit);
  const Vec2 title_size = page.measure(title, TextRole::small);
  const double offset = page.px(10.0);
  // The name stands at the right or upper end; numbers that would touch it stay away.
  const Vec2 corner = horizontal ? Vec2(page.area.upper.x - title_size.x - page.px(6.0),
                                        border - offset - title_size.y)
                                 : Vec2(border + offset, page.area.lower.y + page.px(4.0));
  page.add_text_if_free(corner, title, TextRole::small, Paint::text, true);
  for (const double v : grid_values(middle - reach, middle + reach, steps.strong_mm)) {
    if (!seen(v)) continue;
    tick(v, page.px(8.0), 1.0);
    const std::string text = numbered(v, steps.strong_mm, page.scene.unit);
    const Vec2 number = page.measure(text, TextRole::small);
    const Vec2 at = horizontal ? Vec2(pixel(v) - 0.5 * number.x, border - offset - number.y)
                               : Vec2(border + offset, pixel(v) - 0.5 * number.y);
    page.add_text_if_free(at, text, TextRole::small, Paint::text_quiet, true);
  }
}

/// True when something stands between the eye and the point: numbers on the ground must not seem to
/// lie on it.
bool is_hidden(const Page& page, const Vec3& point) {
  const CameraFrame frame = frame_of(page.camera);
  const Vec3 to_eye =
      page.camera.straight ? -2.0 * page.camera.distance_mm * frame.forward : frame.eye - point;
  constexpr double k_clear_of = 1e-3;  // of the way: the ground itself does not count
  for (const Solid& solid : page.scene.solids) {
    if (solid.inward) continue;
    const Box box = solid.box();
    double enter = k_clear_of;
    double leave = 1.0;
    for (int i = 0; i < 3; ++i) {
      const double a = (box.lower[i] - point[i]) / to_eye[i];
      const double b = (box.upper[i] - point[i]) / to_eye[i];
      enter = std::max(enter, std::min(a, b));
      leave = std::min(leave, std::max(a, b));
    }
    if (enter < leave) return true;
  }
  return false;
}

/// Numbers of one axis along the edge of the grid that is nearest to the viewer.
void add_numbers_along(Page& page, int axis, const GridSteps& steps) {
  const Grid& grid = *page.scene.grid;
  const CameraFrame frame = frame_of(page.camera);
  const int other = 1 - axis;
  const double edge = frame.forward[other] > 0.0 ? grid.from[other] : grid.to[other];
  const double outward = frame.forward[other] > 0.0 ? -1.0 : 1.0;
  const auto at_value = [&](double v) {
    Vec3 p(0.0, 0.0, grid.level_mm);
    p[axis] = v;
    p[other] = edge;
    return p;
  };
  const auto put = [&](const Vec3& p, const std::string& text, TextRole role, Paint paint) {
    Vec3 beyond = p;
    beyond[other] += outward * 0.02 * (grid.to[other] - grid.from[other]);
    const auto a = project(page.camera, page.viewport, p);
    const auto b = project(page.camera, page.viewport, beyond);
    if (!a || !b || is_cut_away(page.scene, p) || is_hidden(page, beyond)) return;
    const Vec2 d = b->pixel - a->pixel;
    const double length = glm::length(d);
    if (!(length > 0.1)) return;
    const Vec2 size = page.measure(text, role);
    const Vec2 middle = a->pixel + d / length *
                                       (page.px(6.0) + 0.5 * (std::abs(d.x / length) * size.x +
                                                              std::abs(d.y / length) * size.y));
    page.add_text_if_free(middle - 0.5 * size, text, role, paint, false);
  };
  const double from = grid.from[axis];
  const double to = grid.to[axis];
  // The name first, so that it never yields to a number.
  const double name_at = frame.right[axis] > 0.0 ? to : from;
  put(at_value(name_at), axis_title(axis, page.scene.unit), TextRole::small, Paint::text);
  for (const double v : grid_values(from, to, steps.strong_mm)) {
    put(at_value(v), numbered(v, steps.strong_mm, page.scene.unit), TextRole::small,
        Paint::text_quiet);
  }
}

}  // namespace

bool is_along_axes(const Camera& camera) {
  const CameraFrame frame = frame_of(camera);
  return camera.straight && axis_of(frame.right).axis >= 0 && axis_of(frame.up).axis >= 0;
}

void add_title(Page& page) {
  if (!page.options.title || page.scene.title.empty()) return;
  Vec2 at = page.area.lower + Vec2(page.px(k_margin_px), page.px(k_margin_px));
  const auto add = [&](const std::string& text, TextRole role, Paint paint) {
    const double width = page.area.upper.x - page.px(k_margin_px) - at.x;
    const auto width_of = [&](const std::string& line) { return page.measure(line, role).x; };
    for (const std::string& line : wrapped_text(text, width, width_of)) {
      page.add_text(at, line, role, paint, true);
      at.y += page.measure(line, role).y + page.px(3.0);
    }
  };
  add(page.scene.title, TextRole::strong, Paint::text);
  if (!page.scene.subtitle.empty()) add(page.scene.subtitle, TextRole::small, Paint::text_quiet);
}

std::vector<Rect> legend_plates(const Page& page) {
  if (!page.options.legends) return {};
  std::vector<LegendSize> sizes;
  double widest = 0.0;
  for (const Legend& legend : page.scene.legends) {
    sizes.push_back(size_of(page, legend));
    widest = std::max(widest, sizes.back().inner.x);
  }
  const double pad = page.px(k_legend_pad_px);
  Vec2 corner = page.area.upper - Vec2(page.px(k_margin_px));
  std::vector<Rect> plates;
  for (const LegendSize& size : sizes) {
    const Vec2 at = glm::round(corner);
    plates.push_back({at - Vec2(widest, size.inner.y) - Vec2(2.0 * pad), at});
    corner.y -= size.inner.y + 2.0 * pad + page.px(8.0);
  }
  return plates;
}

void add_legends(Page& page) {
  const std::vector<Rect> plates = legend_plates(page);
  for (std::size_t i = 0; i < plates.size(); ++i) {
    add_legend(page, page.scene.legends[i], plates[i]);
  }
}

void add_rulers(Page& page) {
  if (!page.options.rulers || !is_along_axes(page.camera)) return;
  const CameraFrame frame = frame_of(page.camera);
  const GridSteps steps =
      grid_steps(page.scene.unit, page.camera, page.viewport, page.options.scale);
  add_ruler(page, true, axis_of(frame.right).axis, steps);
  add_ruler(page, false, axis_of(frame.up).axis, steps);
}

void add_grid_numbers(Page& page) {
  if (!page.scene.grid || is_along_axes(page.camera)) return;
  // Seen nearly from the side the numbers would lie on one another.
  constexpr double k_least_tilt = 0.05;
  if (std::abs(frame_of(page.camera).forward.z) < k_least_tilt) return;
  const GridSteps steps =
      grid_steps(page.scene.unit, page.camera, page.viewport, page.options.scale);
  add_numbers_along(page, 0, steps);
  add_numbers_along(page, 1, steps);
}

void add_axes(Page& page) {
  if (!page.options.axes || is_along_axes(page.camera)) return;
  const CameraFrame frame = frame_of(page.camera);
  const double length = page.px(26.0);
  const Vec2 origin = Vec2(page.area.lower.x + page.px(50.0), page.area.upper.y - page.px(46.0));
  for (int axis = 0; axis < 3; ++axis) {
    Vec3 unit(0.0);
    unit[axis] = 1.0;
    const Vec2 d(glm::dot(unit, frame.right), -glm::dot(unit, frame.up));
    const Vec2 tip = origin + length * d;
    page.out.lines.push_back({origin, tip, Paint::text_quiet, page.px(1.5), 1.0});
    constexpr double k_seen = 0.15;
    if (glm::length(d) < k_seen) continue;
    const Vec2 size = page.measure(axis_name(axis), TextRole::small);
    const Vec2 middle = tip + glm::normalize(d) * page.px(9.0);
    page.add_text_if_free(middle - 0.5 * size, axis_name(axis), TextRole::small, Paint::text,
                          false);
  }
  const double reach = length + page.px(18.0);
  page.taken.push_back({origin - Vec2(reach), origin + Vec2(reach)});
}

}  // namespace bight::scene::annotate_detail
