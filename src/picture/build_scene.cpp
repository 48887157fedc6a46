#include "picture/build_scene.h"

#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "machine/limits.h"
#include "picture/link_mesh.h"
#include "picture/overlays.h"
#include "picture/support_bars.h"
#include "study/context.h"
#include "study/lookup.h"
#include "study/tool_travel.h"

namespace bight::picture {
namespace {

using scene::Emphasis;
using scene::Id;
using scene::Paint;
using scene::Thing;
using scene::ThingKind;

bool is_same(const std::optional<Thing>& wanted, const Thing& thing) {
  return wanted && wanted->kind == thing.kind && wanted->name == thing.name &&
         (wanted->leg == 0 || thing.leg == 0 || wanted->leg == thing.leg);
}

class Builder {
 public:
  Builder(const plan::Plan& plan, const machine::Machine& machine, const PoseShape& shapes,
          SceneMeshes& meshes, const SceneOptions& options)
      : plan_(plan), machine_(machine), shapes_(shapes), meshes_(meshes), options_(options) {}

  scene::Scene build() {
    scene_.unit = options_.unit;
    add_parts();
    if (options_.chains) add_chains();
    if (options_.lines) {
      add_legs();
      add_holds();
    }
    if (options_.switches) add_switches();
    scene_.bounds = drawn_box(scene_);
    if (options_.work_areas) add_work_areas();
    if (options_.travel_box) add_travel();
    if (options_.grid) add_grid();
    if (options_.title) add_title();
    return std::move(scene_);
  }

 private:
  Emphasis emphasis(const Thing& thing) const {
    if (is_same(options_.selected, thing)) return Emphasis::selected;
    return is_same(options_.hovered, thing) ? Emphasis::hovered : Emphasis::normal;
  }

  Vec3 moved(const std::string& body) const {
    return machine::translation(machine_.bodies[machine_.body_index(body)], shapes_.pose);
  }

  Paint paint_of(const machine::PlacedPart& part) const {
    switch (part.role) {
      case plan::Role::tool:
        return Paint::tool;
      case plan::Role::stock:
        return Paint::stock;
      case plan::Role::clamp:
        return Paint::clamp;
      case plan::Role::surroundings:
        return Paint::surroundings;
      case plan::Role::machine:
        break;
    }
    const auto& motion = machine_.bodies[part.body].motion;
    const auto joints = std::count_if(motion.begin(), motion.end(),
                                      [](const Vec3& v) { return glm::length(v) > 0.0; });
    return joints == 0   ? Paint::fixed
           : joints == 1 ? Paint::moving_one
           : joints == 2 ? Paint::moving_two
                         : Paint::moving_three;
  }

  /// Direction into the room of a wall, floor or ceiling: a thin part of the surroundings that
  /// spans most of it.
  static std::optional<Vec3> inward_of(const Box& part, const Box& room, const Vec3& middle) {
    constexpr double k_thin = 0.05;
    constexpr double k_spans = 0.5;
    const Vec3 size = part.size();
    int axis = 0;
    for (int i = 1; i < 3; ++i) {
      if (size[i] < size[axis]) axis = i;
    }
    for (int i = 0; i < 3; ++i) {
      if (i == axis) continue;
      if (size[axis] > k_thin * size[i] || size[i] < k_spans * room.size()[i]) return {};
    }
    Vec3 inward(0.0);
    inward[axis] = middle[axis] >= part.center()[axis] ? 1.0 : -1.0;
    return inward;
  }

  void add_parts() {
    Box machine_box;
    Box room;
    std::vector<Box> boxes;
    for (const machine::PlacedPart& part : machine_.parts) {
      const Vec3 at = machine::translation(machine_.bodies[part.body], shapes_.pose);
      Box box;
      if (part.solid) {
        box = meshes_.box_of(std::shared_ptr<const shape::Mesh>(part.solid, &part.solid->mesh));
        if (!box.empty()) box = translated(box, at);
      }
      boxes.push_back(box);
      room.extend(box);
      if (part.role != plan::Role::surroundings) machine_box.extend(box);
    }
    for (std::size_t i = 0; i < machine_.parts.size(); ++i) {
      const machine::PlacedPart& part = machine_.parts[i];
      if (!part.solid || boxes[i].empty()) continue;
      const bool around = part.role == plan::Role::surroundings;
      if (around && !options_.surroundings) continue;
      const Thing thing{ThingKind::part, part.name};
      scene::Solid solid;
      // The mesh lives in its solid: one owner, the mesh's own address.
      solid.mesh = std::shared_ptr<const shape::Mesh>(part.solid, &part.solid->mesh);
      solid.translation = machine::translation(machine_.bodies[part.body], shapes_.pose);
      solid.mesh_box = meshes_.box_of(solid.mesh);
      solid.paint = paint_of(part);
      solid.id = scene_.id_of(thing);
      solid.emphasis = emphasis(thing);
      if (around && !machine_box.empty()) {
        solid.inward = inward_of(boxes[i], room, machine_box.center());
        if (solid.inward && solid.inward->z > 0.0) {
          solid.paint = Paint::floor;
          floor_ = boxes[i];
        }
      }
      scene_.solids.push_back(std::move(solid));
    }
    scene_.focus = machine_box.empty() ? room : machine_box;
  }

  std::shared_ptr<const shape::Mesh> made(const std::string& key,
                                          shape::Mesh (*make)(const plan::Chain&),
                                          const plan::Chain& chain) {
    std::string name = key;
    for (const double d : {chain.pitch, chain.inner_width, chain.inner_height, chain.outer_width,
                           chain.outer_height}) {
      name += " " + shortest(d);
    }
    auto& mesh = meshes_.made[name];
    if (!mesh) mesh = std::make_shared<const shape::Mesh>(make(chain));
    return mesh;
  }

  void add_chains() {
    for (const ChainPoseShape& shape : shapes_.chains) {
      if (shape.links.empty()) continue;
      const plan::Chain& chain = study::by_name(plan_.chains, shape.chain);
      const Thing thing{ThingKind::chain, shape.chain};
      scene::Instances links{made("link", make_link_mesh, chain),
                             {},
                             Paint::chain,
                             scene_.id_of(thing),
                             emphasis(thing)};
      for (const LinkPlace& link : shape.links) {
        links.places.push_back(
            {0.5 * (link.from + link.to), glm::normalize(link.to - link.from), link.inside});
      }
      scene::Instances brackets = links;
      brackets.mesh = made("bracket", make_bracket_mesh, chain);
      brackets.paint = Paint::bracket;
      const LinkPlace& first = shape.links.front();
      const LinkPlace& last = shape.links.back();
      brackets.places = {
          {first.from, glm::normalize(first.to - first.from), first.inside},
          {last.to, glm::normalize(last.from - last.to), last.inside},
      };
      for (const LinkPlace& link : shape.links) {
        scene_.focus.extend(link.from);
        scene_.focus.extend(link.to);
      }
      scene_.instances.push_back(std::move(links));
      scene_.instances.push_back(std::move(brackets));
      if (options_.names) {
        scene_.labels.push_back({shape.links[shape.links.size() / 2].from, shape.chain, 4,
                                 Paint::text, scene_.id_of(thing)});
      }
    }
  }

  void add_legs() {
    bool ramp = false;
    for (const LegShape& leg : shapes_.legs) {
      const Thing thing{ThingKind::line, leg.line, leg.leg};
      scene::Tube tube{leg.points,          leg.use,        leg.radius_mm, Paint::support,
                       scene_.id_of(thing), emphasis(thing)};
      ramp = ramp || !leg.use.empty();
      if (leg.way == plan::LegWay::free) {
        for (const Vec3& p : leg.points) scene_.focus.extend(p);
        if (options_.names) {
          scene_.labels.push_back(
              {leg.points[leg.points.size() / 2], leg.line, 3, Paint::text, tube.id});
        }
      }
      scene_.tubes.push_back(std::move(tube));
    }
    if (ramp) {
      scene_.legends.push_back({"Bend limit used", scene::Ramp::use, "0 %", "100 %", "over"});
    }
  }

  /// Anchors and supports that a present line hangs on.
  void add_holds() {
    std::vector<std::string> used;
    double thickest = 0.0;
    for (const plan::Line& line : plan_.lines) {
      if (!line.present) continue;
      for (const plan::Leg& leg : study::by_name(plan_.runs, line.run).legs) {
        if (leg.way != plan::LegWay::free) continue;
        used.push_back(leg.from);
        used.push_back(leg.to);
        thickest =
            std::max(thickest, study::by_name(plan_.articles, line.article).outside_diameter);
      }
    }
    const auto is_used = [&](const std::string& name) {
      return std::find(used.begin(), used.end(), name) != used.end();
    };
    for (const plan::Anchor& anchor : plan_.anchors) {
      if (is_used(anchor.name)) add_anchor(anchor);
    }
    for (const plan::Support& support : plan_.supports) {
      if (support.present && is_used(support.name)) add_support(support);
    }
  }

  /// Where the lines hang on a support at this pose: a trolley or boom goes where they pull it.
  Vec3 carried_at(const plan::Support& support) const {
    Vec3 sum(0.0);
    double count = 0.0;
    for (const LegShape& shape : shapes_.legs) {
      if (shape.way != plan::LegWay::free || shape.points.empty()) continue;
      const plan::Leg& leg = study::by_name(plan_.runs, shape.run).legs[shape.leg - 1];
      if (leg.from != support.name && leg.to != support.name) continue;
      sum += leg.from == support.name ? shape.points.front() : shape.points.back();
      count += 1.0;
    }
    return count > 0.0 ? sum / count : support.at + moved(support.body);
  }

  /// The end of the row of loops that its line pulls at.
  Vec3 tow_of(const plan::Support& support, const Vec3& at) const {
    Vec3 tow = at;
    for (const LegShape& shape : shapes_.legs) {
      if (shape.way != plan::LegWay::free || shape.points.empty()) continue;
      const plan::Leg& leg = study::by_name(plan_.runs, shape.run).legs[shape.leg - 1];
      if (leg.from == support.name) tow = shape.points.back();
      if (leg.to == support.name) tow = shape.points.front();
    }
    return tow;
  }

  /// What a line of given length has left beyond the pulley, with its radius.
  std::optional<RoundBar> left_beyond(const plan::Support& support, const Vec3& at) const {
    for (const LegShape& shape : shapes_.legs) {
      if (shape.way != plan::LegWay::free) continue;
      const plan::Leg& leg = study::by_name(plan_.runs, shape.run).legs[shape.leg - 1];
      if ((leg.from != support.name && leg.to != support.name) || !leg.length) continue;
      double used = 0.0;
      for (std::size_t i = 1; i < shape.points.size(); ++i) {
        used += glm::length(shape.points[i] - shape.points[i - 1]);
      }
      return RoundBar{{at, at - Vec3(0.0, 0.0, std::max(*leg.length - used, 0.0))},
                      shape.radius_mm};
    }
    return {};
  }

  void add_support(const plan::Support& support) {
    const Thing thing{ThingKind::support, support.name};
    const Id id = scene_.id_of(thing);
    SupportPlace place;
    place.at = support.at + moved(support.body);
    place.carried = carried_at(support);
    place.tow = tow_of(support, place.at);
    if (!floor_.empty()) place.floor_z = floor_.upper.z;
    place.ceiling_z = ceiling_over(place.at);
    if (support.tie_off) place.tie_off = *support.tie_off + moved(support.body);
    if (support.weight) place.beyond_pulley = left_beyond(support, place.at);
    for (RoundBar& bar : support_bars(support, place)) {
      for (const Vec3& p : bar.points) scene_.focus.extend(p);
      scene_.tubes.push_back(
          {std::move(bar.points), {}, bar.radius_mm, Paint::support, id, emphasis(thing)});
    }
    if (options_.names) scene_.labels.push_back({place.carried, support.name, 5, Paint::text, id});
  }

  void add_anchor(const plan::Anchor& anchor) {
    const Vec3 at = anchor.at + moved(anchor.body);
    const Vec3 along = anchor.direction.value_or(Vec3(0.0, 0.0, 1.0));
    constexpr double k_half_mm = 9.0;
    constexpr double k_radius_mm = 9.0;
    const Thing thing{ThingKind::anchor, anchor.name};
    scene_.tubes.push_back({{at - k_half_mm * along, at + k_half_mm * along},
                            {},
                            k_radius_mm,
                            Paint::anchor,
                            scene_.id_of(thing),
                            emphasis(thing)});
    scene_.focus.extend(at);
  }

  /// Underside of the lowest part of the surroundings over a point, if any.
  std::optional<double> ceiling_over(const Vec3& at) const {
    std::optional<double> lowest;
    for (const machine::PlacedPart& part : machine_.parts) {
      if (part.role != plan::Role::surroundings || !part.solid) continue;
      const Box box =
          meshes_.box_of(std::shared_ptr<const shape::Mesh>(part.solid, &part.solid->mesh));
      const bool over = box.lower.x <= at.x && at.x <= box.upper.x && box.lower.y <= at.y &&
                        at.y <= box.upper.y && box.lower.z >= at.z;
      if (over && (!lowest || box.lower.z < *lowest)) lowest = box.lower.z;
    }
    return lowest;
  }

  void add_switches() {
    for (const plan::Switch& one : plan_.switches) {
      const Vec3 at = one.at + moved(one.body);
      const double radius = std::max(one.radius, 2.0);
      constexpr double k_half_mm = 4.0;
      const Thing thing{ThingKind::limit_switch, one.name};
      scene_.tubes.push_back({{at - Vec3(0.0, 0.0, k_half_mm), at + Vec3(0.0, 0.0, k_half_mm)},
                              {},
                              radius,
                              Paint::limit_switch,
                              scene_.id_of(thing),
                              emphasis(thing)});
    }
  }

  void add_travel() {
    const auto tool = study::tool_travel(machine_);
    if (!tool) return;
    Box box;
    for (const auto& corner : machine::corner_poses(machine::soft_travel(machine_.joints))) {
      Vec3 p = tool->tip;
      for (std::size_t j = 0; j < corner.size(); ++j) p += corner[j] * tool->directions[j];
      box.extend(p);
    }
    const Thing thing{ThingKind::travel, "travel of the tool"};
    scene_.clouds.push_back({{translated(box, work_translation(machine_, shapes_.pose))},
                             Paint::travel,
                             0.07,
                             true,
                             scene_.id_of(thing)});
  }

  void add_work_areas() {
    const Vec3 at = work_translation(machine_, shapes_.pose);
    for (const plan::WorkArea& area : plan_.work_areas) {
      Box box;
      box.extend(area.from + at);
      box.extend(area.to + at);
      const Thing thing{ThingKind::work_area, area.name};
      scene_.clouds.push_back({{box}, Paint::work_area, 0.10, true, scene_.id_of(thing)});
    }
  }

  void add_grid() {
    if (scene_.focus.empty()) return;
    scene::Grid grid;
    grid.level_mm = floor_.empty() ? scene_.focus.lower.z : floor_.upper.z;
    constexpr double k_margin = 0.12;
    const double tile = options_.unit == LengthUnit::inch ? 12.0 * k_mm_per_inch : 200.0;
    const Vec3 size = scene_.focus.size();
    const double margin = k_margin * std::max(size.x, size.y);
    for (int i = 0; i < 2; ++i) {
      grid.from[i] = tile * std::floor((scene_.focus.lower[i] - margin) / tile);
      grid.to[i] = tile * std::ceil((scene_.focus.upper[i] + margin) / tile);
    }
    scene_.grid = grid;
  }

  void add_title() {
    scene_.title = plan_.name;
    scene_.subtitle = plan_.chosen_option.empty() ? "" : plan_.chosen_option + "   ";
    for (std::size_t j = 0; j < machine_.joints.size(); ++j) {
      scene_.subtitle += (j == 0 ? "" : "  ") + machine_.joints[j].name + " " +
                         length_text(shapes_.pose[j], options_.unit);
    }
  }

  const plan::Plan& plan_;
  const machine::Machine& machine_;
  const PoseShape& shapes_;
  SceneMeshes& meshes_;
  const SceneOptions& options_;
  scene::Scene scene_;
  Box floor_;
};

}  // namespace

Box SceneMeshes::box_of(const std::shared_ptr<const shape::Mesh>& mesh) {
  auto& [owner, box] = boxes[mesh.get()];
  if (owner.lock() != mesh) {
    std::erase_if(boxes, [&](const auto& entry) {
      return entry.first != mesh.get() && entry.second.first.expired();
    });
    owner = mesh;
    box = shape::bounds(*mesh);
  }
  return box;
}

scene::Scene build_scene(const plan::Plan& plan, const machine::Machine& machine,
                         const PoseShape& shapes, SceneMeshes& meshes,
                         const SceneOptions& options) {
  return Builder(plan, machine, shapes, meshes, options).build();
}

std::optional<std::vector<double>> pose_of(
    const machine::Machine& machine, const std::vector<std::pair<std::string, double>>& values,
    LengthUnit unit, std::string& problem) {
  std::vector<double> pose = machine::home_pose(machine.joints);
  for (const std::pair<std::string, double>& wanted : values) {
    const auto it =
        std::find_if(machine.joints.begin(), machine.joints.end(),
                     [&](const plan::Joint& joint) { return joint.name == wanted.first; });
    if (it == machine.joints.end()) {
      problem = "there is no joint " + wanted.first + "; the plan has";
      for (const plan::Joint& joint : machine.joints) problem += " " + joint.name;
      return {};
    }
    const auto [low, high] = it->travel;
    if (!(wanted.second >= low && wanted.second <= high)) {
      const double per_unit = unit == LengthUnit::inch ? k_mm_per_inch : 1.0;
      problem = it->name + " goes from " + shortest(low / per_unit) + " to " +
                shortest(high / per_unit) + (unit == LengthUnit::inch ? " in" : " mm") +
                "; found " + shortest(wanted.second / per_unit);
      return {};
    }
    pose[static_cast<std::size_t>(it - machine.joints.begin())] = wanted.second;
  }
  return pose;
}

}  // namespace bight::picture
