#include "picture/overlays.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

#include "machine/machine.h"
#include "study/check_clearance.h"
#include "study/context.h"
#include "study/mover.h"
#include "study/tool_travel.h"

namespace bight::picture {
namespace {

using scene::Mark;
using scene::Paint;

Mark mark_of(study::Severity severity) {
  switch (severity) {
    case study::Severity::stop:
      return Mark::stop;
    case study::Severity::act:
      return Mark::act;
    case study::Severity::note:
      break;
  }
  return Mark::note;
}

bool is_about(const study::Finding& finding, const std::string& name) {
  return std::find(finding.things.begin(), finding.things.end(), name) != finding.things.end();
}

/// A pair's name is that of the thing, or of a piece of a chain: "X chain bend".
bool is_of(const std::string& piece, const std::string& owner) {
  return piece == owner || piece.rfind(owner + " ", 0) == 0;
}

const study::ClearancePair* pair_of(const study::StudyResult& result,
                                    const study::Finding& finding) {
  if (finding.check != "clearance" || finding.things.size() < 2) return nullptr;
  for (const study::ClearancePair& pair : result.clearance) {
    if (is_of(pair.a, finding.things[0]) && is_of(pair.b, finding.things[1])) return &pair;
  }
  return nullptr;
}

/// Boxes that share a whole face become one, along each axis in turn.
std::vector<Box> merged_boxes(std::vector<Box> boxes) {
  using Face = std::array<double, 4>;
  for (int axis = 0; axis < 3; ++axis) {
    const int b = (axis + 1) % 3;
    const int c = (axis + 2) % 3;
    const auto face = [&](const Box& box) {
      return Face{box.lower[b], box.upper[b], box.lower[c], box.upper[c]};
    };
    std::sort(boxes.begin(), boxes.end(), [&](const Box& p, const Box& q) {
      const Face fp = face(p);
      const Face fq = face(q);
      return fp != fq ? fp < fq : p.lower[axis] < q.lower[axis];
    });
    std::vector<Box> joined;
    for (const Box& box : boxes) {
      if (!joined.empty() && face(joined.back()) == face(box) &&
          joined.back().upper[axis] >= box.lower[axis]) {
        joined.back().upper[axis] = std::max(joined.back().upper[axis], box.upper[axis]);
      } else {
        joined.push_back(box);
      }
    }
    boxes = std::move(joined);
  }
  return boxes;
}

}  // namespace

Vec3 tip_at(const machine::Machine& machine, const std::vector<double>& pose) {
  if (machine.tool.body.empty()) return Vec3(0.0);
  return machine.tool.tip +
         machine::translation(machine.bodies[machine.body_index(machine.tool.body)], pose);
}

Vec3 work_translation(const machine::Machine& machine, const std::vector<double>& pose) {
  Vec3 sum(0.0);
  const auto tool = study::tool_travel(machine);
  if (!tool) return sum;
  const auto& motion = machine.bodies[machine.body_index(machine.tool.body)].motion;
  for (std::size_t j = 0; j < motion.size(); ++j) {
    sum += pose[j] * (motion[j] - tool->directions[j]);
  }
  return sum;
}

double work_level(const plan::Plan& plan, const machine::Machine& machine) {
  double level = -std::numeric_limits<double>::infinity();
  for (const machine::PlacedPart& part : machine.parts) {
    if (part.role == plan::Role::stock && part.solid) {
      level = std::max(level, shape::bounds(part.solid->mesh).upper.z);
    }
  }
  if (std::isfinite(level)) return level;
  for (const plan::WorkArea& area : plan.work_areas) {
    level = std::max(level, std::min(area.from.z, area.to.z));
  }
  if (std::isfinite(level)) return level;
  level = machine.tool.tip.z;
  const auto tool = study::tool_travel(machine);
  if (!tool) return level;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    const auto& travel = machine.joints[j].travel;
    level += std::min(travel[0] * tool->directions[j].z, travel[1] * tool->directions[j].z);
  }
  return level;
}

void add_witness(scene::Scene& scene, const study::ClearancePair& pair) {
  const bool contact = !(pair.lower_mm > 0.0);
  const Mark mark = contact ? Mark::stop : pair.upper_mm < pair.wanted_mm ? Mark::act : Mark::clear;
  const std::string text = contact ? "contact" : length_text(pair.upper_mm, scene.unit, 2);
  scene.dimensions.push_back({pair.point_a, pair.point_b, text, mark});
}

void add_finding(scene::Scene& scene, const plan::Plan& plan, const machine::Machine& machine,
                 const study::StudyResult& result, const study::Finding& finding) {
  study::Finding named = finding;
  for (const plan::Line& line : plan.lines) {
    if (line.present && is_about(finding, line.run)) named.things.push_back(line.name);
  }
  add_finding(scene, machine, result, named);
}

void add_finding(scene::Scene& scene, const machine::Machine& machine,
                 const study::StudyResult& result, const study::Finding& finding) {
  const Mark mark = mark_of(finding.severity);
  Box about;
  const auto concerns = [&](scene::Id id) {
    const scene::Thing* thing = scene.thing_of(id);
    return thing != nullptr && is_about(finding, thing->name);
  };
  for (scene::Solid& solid : scene.solids) {
    if (!concerns(solid.id)) continue;
    solid.mark = mark;
    about.extend(solid.box());
  }
  for (scene::Instances& instances : scene.instances) {
    if (!concerns(instances.id)) continue;
    instances.mark = mark;
    for (const scene::Placement& place : instances.places) about.extend(place.origin);
  }
  for (scene::Tube& tube : scene.tubes) {
    if (!concerns(tube.id)) continue;
    tube.emphasis = scene::Emphasis::selected;
    for (const Vec3& p : tube.points) about.extend(p);
  }
  // The sign stands at the named place of a thing where it has one, else in the middle of it all.
  std::optional<Vec3> place;
  for (scene::Label& label : scene.labels) {
    constexpr int k_first = 100;
    if (!concerns(label.id)) continue;
    label.priority += k_first;
    const scene::Thing* thing = scene.thing_of(label.id);
    if (!place || thing->kind == scene::ThingKind::line) place = label.at;
  }
  scene.subtitle = finding.what + (finding.what.empty() || finding.what.back() == '.' ? "" : ".");
  const study::ClearancePair* pair = pair_of(result, finding);
  if (pair != nullptr) {
    add_witness(scene, *pair);
    scene.dimensions.back().mark = mark;
  } else if (!about.empty()) {
    scene.signs.push_back({place.value_or(about.center()), mark, 0});
  } else if (!finding.pose.empty()) {
    scene.signs.push_back({tip_at(machine, finding.pose), mark, 0});
  }
}

void add_reach_map(scene::Scene& scene, const study::ReachMap& map, double level_mm,
                   const Vec3& work_translation) {
  const clearance::BedMap& bed = map.map;
  if (!bed.defined) return;
  double lowest = std::numeric_limits<double>::infinity();
  double highest = -lowest;
  for (const clearance::BedHeight& cell : bed.cells) {
    if (!cell.covered || !std::isfinite(cell.upper_mm)) continue;
    lowest = std::min(lowest, cell.upper_mm);
    highest = std::max(highest, cell.upper_mm);
  }
  if (!(lowest <= highest)) return;
  const double span = std::max(highest - lowest, 1e-9);
  const scene::Id id = scene.id_of({scene::ThingKind::map, "reach over the bed"});
  scene::HeatMap heat{{}, scene::Ramp::depth, 0.82, id};
  scene::BoxCloud blocked{{}, Paint::blocked, 0.45, false, id};
  const double cell_mm = bed.grid.cell_mm;
  for (std::size_t row = 0; row < bed.rows; ++row) {
    for (std::size_t column = 0; column < bed.columns; ++column) {
      const clearance::BedHeight& cell = bed.cells[row * bed.columns + column];
      if (!cell.covered) continue;
      const Vec3 corner =
          work_translation + Vec3(bed.grid.from.x + cell_mm * static_cast<double>(column),
                                  bed.grid.from.y + cell_mm * static_cast<double>(row), level_mm);
      const Vec3 end(std::min(corner.x + cell_mm, bed.grid.to.x + work_translation.x),
                     std::min(corner.y + cell_mm, bed.grid.to.y + work_translation.y), level_mm);
      if (!std::isfinite(cell.upper_mm)) {
        constexpr double k_thickness_mm = 0.5;
        blocked.boxes.push_back({corner, end + Vec3(0.0, 0.0, k_thickness_mm)});
        continue;
      }
      heat.cells.push_back({corner,
                            {end.x - corner.x, 0.0, 0.0},
                            {0.0, end.y - corner.y, 0.0},
                            (highest - cell.upper_mm) / span});
    }
  }
  scene.maps.push_back(std::move(heat));
  if (!blocked.boxes.empty()) {
    blocked.boxes = merged_boxes(std::move(blocked.boxes));
    scene.clouds.push_back(std::move(blocked));
  }
  const std::string low = length_text(lowest, scene.unit);
  const std::string high = length_text(highest, scene.unit);
  scene.legends.push_back({"Lowest tool tip, Z", scene::Ramp::depth,
                           low == high ? low + " everywhere" : high, low == high ? "" : low, ""});
}

void add_blocked_region(scene::Scene& scene, const machine::Machine& machine,
                        const clearance::BlockedRegion& region) {
  const auto tool = study::tool_travel(machine);
  if (!tool) return;
  std::vector<Box> blocked;
  std::vector<Box> undecided;
  for (const clearance::BlockedCell& cell : region.cells) {
    // The box around the places of the tip: the cell itself while joints run along the axes.
    Box box{tool->tip, tool->tip};
    for (std::size_t j = 0; j < cell.box.size(); ++j) {
      const Vec3 a = cell.box[j].lower * tool->directions[j];
      const Vec3 b = cell.box[j].upper * tool->directions[j];
      box.lower += glm::min(a, b);
      box.upper += glm::max(a, b);
    }
    (cell.state == clearance::CellState::blocked ? blocked : undecided).push_back(box);
  }
  const scene::Id id = scene.id_of({scene::ThingKind::map, "blocked region"});
  if (!blocked.empty()) {
    scene.clouds.insert(scene.clouds.begin(),
                        {merged_boxes(std::move(blocked)), Paint::blocked, 0.42, false, id});
  }
  if (!undecided.empty()) {
    scene.clouds.insert(scene.clouds.begin(),
                        {merged_boxes(std::move(undecided)), Paint::undecided, 0.30, false, id});
  }
}

clearance::BlockedRegion blocked_region_of(const plan::Plan& plan, const machine::Machine& machine,
                                           const study::StudyOptions& options) {
  const study::Context context{plan, machine, options, LengthUnit::mm};
  return study::check_clearance(context, study::make_movers(context)).blocked;
}

void add_hook_map(scene::Scene& scene, const std::string& hold, const free::HookMap& map,
                  const free::HookArea& area) {
  if (!map.valid) return;
  double most = 0.0;
  for (const free::HookPlaceWindow& place : map.places) {
    if (place.works && std::isfinite(place.margin_mm)) most = std::max(most, place.margin_mm);
  }
  const auto value_of = [&](const free::HookPlaceWindow& place) {
    if (!place.works) return 0.0;
    return std::isfinite(place.margin_mm) && most > 0.0 ? place.margin_mm / most : 1.0;
  };
  const scene::Id id = scene.id_of({scene::ThingKind::map, "places of the hook"});
  scene::HeatMap heat{{}, scene::Ramp::window, 0.80, id};
  for (const free::HookCell& cell : map.cells) {
    if (cell.kind == free::HookCellKind::fails) continue;
    double value = 0.0;
    for (const std::size_t corner : cell.corner) value += 0.25 * value_of(map.places[corner]);
    const Vec2 from = map.places[cell.corner[0]].at;
    const Vec2 to = map.places[cell.corner[3]].at;
    heat.cells.push_back({area.corner + from.x * area.across + from.y * area.up,
                          (to.x - from.x) * area.across, (to.y - from.y) * area.up, value});
  }
  scene.maps.push_back(std::move(heat));
  scene.legends.push_back({"Room for the length, " + hold, scene::Ramp::window,
                           length_text(0.0, scene.unit, 0), length_text(most, scene.unit, 0), ""});
  if (map.best) {
    const free::HookPlaceWindow& best = map.places[*map.best];
    scene.signs.push_back({best.place, Mark::clear, id});
    constexpr int k_first = 50;
    scene.labels.push_back({best.place, "best: " + length_text(best.recommended_mm, scene.unit, 0),
                            k_first, Paint::text, id});
  }
}

void add_path(scene::Scene& scene, const machine::Machine& machine,
              std::span<const std::vector<double>> poses) {
  scene::Stroke stroke;
  stroke.paint = Paint::path;
  stroke.width_px = 2.0;
  stroke.on_top = true;
  for (const std::vector<double>& pose : poses) stroke.points.push_back(tip_at(machine, pose));
  if (stroke.points.size() >= 2) scene.strokes.push_back(std::move(stroke));
}

}  // namespace bight::picture
