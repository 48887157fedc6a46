#include "machine/parametric.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/box.h"
#include "machine/by_name_detail.h"
#include "machine/frame_check.h"
#include "plan/frame_names.h"

namespace bight::machine {

namespace {

/// mm. The floor reaches this far beyond the bed on every side: room for a cabinet and hanging
/// lines.
constexpr double k_floor_margin = 1500.0;
constexpr double k_floor_thickness = 10.0;

/// Makes the parts of one frame, all at its place in the file.
class PartMaker {
 public:
  explicit PartMaker(const plan::Frame& frame) : place_(frame.place) {}

  void box(const std::string& name, const std::string& body, const Box& box,
           plan::Role role = plan::Role::machine) {
    const Vec3 size = box.size();
    if (!(size.x > 0.0 && size.y > 0.0 && size.z > 0.0)) return;
    plan::Part& part = add(name, body, role);
    part.shape = plan::ShapeKind::box;
    part.at = box.lower;
    part.size = size;
  }

  void upright_cylinder(const std::string& name, const std::string& body, const Vec3& foot,
                        double diameter, double length, plan::Role role = plan::Role::machine) {
    if (!(diameter > 0.0 && length > 0.0)) return;
    plan::Part& part = add(name, body, role);
    part.shape = plan::ShapeKind::cylinder;
    part.at = foot;
    part.diameter = diameter;
    part.length = length;
    part.along = plan::AxisLetter::z;
  }

  std::vector<plan::Part> take() { return std::move(parts_); }

 private:
  plan::Part& add(const std::string& name, const std::string& body, plan::Role role) {
    plan::Part part;
    part.place = place_;
    part.name = name;
    part.body = body;
    part.role = role;
    parts_.push_back(std::move(part));
    return parts_.back();
  }

  Place place_;
  std::vector<plan::Part> parts_;
};

std::vector<plan::Body> frame_bodies(const plan::Frame& frame) {
  std::vector<plan::Body> bodies;
  if (frame.moving_table) {
    bodies.push_back({.place = frame.place, .name = plan::k_frame_table, .joint = "Y"});
  }
  bodies.push_back(
      {.place = frame.place, .name = plan::k_frame_gantry, .joint = frame.moving_table ? "" : "Y"});
  bodies.push_back({.place = frame.place,
                    .name = plan::k_frame_carriage,
                    .carried_by = plan::k_frame_gantry,
                    .joint = "X"});
  bodies.push_back({.place = frame.place,
                    .name = plan::k_frame_head,
                    .carried_by = plan::k_frame_carriage,
                    .joint = "Z"});
  return bodies;
}

std::vector<plan::Part> frame_solids(const plan::Frame& f) {
  PartMaker make(f);
  const Vec2 bed = f.bed_size;
  if (f.bed_height > 0.0) {
    make.box("floor", plan::k_ground,
             {Vec3(-k_floor_margin, -k_floor_margin, -f.bed_height - k_floor_thickness),
              Vec3(bed.x + k_floor_margin, bed.y + k_floor_margin, -f.bed_height)},
             plan::Role::surroundings);
  }
  make.box("bed", f.moving_table ? plan::k_frame_table : plan::k_ground,
           {Vec3(0.0, 0.0, -f.bed_thickness), Vec3(bed, 0.0)});

  // From the tip backwards (+Y): router, head plate, carriage plate, beam.
  const double head_front = f.tip.y + 0.5 * f.router_diameter;
  const double carriage_front = head_front + f.head_size.y + f.running_gap;
  const double beam_front = carriage_front + f.carriage_size.y + f.running_gap;
  const double beam_middle_y = beam_front + 0.5 * f.beam_depth;
  const double beam_middle_z = f.clear_height + 0.5 * f.beam_height;
  const double beam_top = f.clear_height + f.beam_height;
  const double left = -f.side_gap;
  const double right = bed.x + f.side_gap;

  // The sides of a moving gantry run beside the bed; those of a fixed one stand on the floor.
  const double side_foot =
      -(f.moving_table ? std::max(f.bed_height, f.bed_thickness) : f.bed_thickness);
  const double side_front = beam_middle_y - 0.5 * f.side_depth;
  const double side_back = beam_middle_y + 0.5 * f.side_depth;
  make.box("side left", plan::k_frame_gantry,
           {Vec3(left - f.side_thickness, side_front, side_foot), Vec3(left, side_back, beam_top)});
  make.box(
      "side right", plan::k_frame_gantry,
      {Vec3(right, side_front, side_foot), Vec3(right + f.side_thickness, side_back, beam_top)});
  make.box(
      "beam", plan::k_frame_gantry,
      {Vec3(left, beam_front, f.clear_height), Vec3(right, beam_front + f.beam_depth, beam_top)});

  const Vec3 carriage_middle(f.tip.x, carriage_front + 0.5 * f.carriage_size.y, beam_middle_z);
  make.box("carriage plate", plan::k_frame_carriage,
           {carriage_middle - 0.5 * f.carriage_size, carriage_middle + 0.5 * f.carriage_size});

  // The head plate holds the router at the middle of its length.
  const double collet = f.tip.z + f.tool_length;
  const Vec3 head_middle(f.tip.x, head_front + 0.5 * f.head_size.y, collet + 0.5 * f.router_length);
  make.box("head plate", plan::k_frame_head,
           {head_middle - 0.5 * f.head_size, head_middle + 0.5 * f.head_size});
  make.upright_cylinder("router", plan::k_frame_head, Vec3(f.tip.x, f.tip.y, collet),
                        f.router_diameter, f.router_length);
  make.upright_cylinder("tool", plan::k_frame_head, f.tip, f.tool_diameter, f.tool_length,
                        plan::Role::tool);
  return make.take();
}

std::vector<plan::Touching> frame_guides(const plan::Frame& frame) {
  const auto guide = [&](const char* a, const char* b, const char* joint) {
    return plan::Touching{
        .place = frame.place, .between = {a, b}, .why = fmt::format("linear guide of {}", joint)};
  };
  std::vector<plan::Touching> guides = {guide("beam", "carriage plate", "X"),
                                        guide("carriage plate", "head plate", "Z")};
  // Under a moving table the guides lie out of sight; its sides must keep clear of the gantry.
  if (!frame.moving_table) {
    guides.push_back(guide("bed", "side left", "Y"));
    guides.push_back(guide("bed", "side right", "Y"));
  }
  return guides;
}

/// The generated things that nothing of the plan replaces, then the plan's own.
template <typename Named>
std::vector<Named> joined(const std::vector<Named>& generated, const std::vector<Named>& own) {
  std::vector<Named> result;
  for (const Named& thing : generated) {
    if (find_named(own, thing.name) == nullptr) result.push_back(thing);
  }
  result.insert(result.end(), own.begin(), own.end());
  return result;
}

bool same_pair(const plan::Touching& a, const plan::Touching& b) {
  return (a.between[0] == b.between[0] && a.between[1] == b.between[1]) ||
         (a.between[0] == b.between[1] && a.between[1] == b.between[0]);
}

}  // namespace

FrameParts frame_parts(const plan::Frame& frame) {
  return {.bodies = frame_bodies(frame),
          .parts = frame_solids(frame),
          .touching = frame_guides(frame),
          .tool = {.place = frame.place, .body = plan::k_frame_head, .tip = frame.tip}};
}

std::string frame_keys(const std::string& part) {
  struct Made {
    const char* part;
    const char* keys;
  };
  constexpr std::array made = {Made{"floor", "bed_height"},
                               Made{"bed", "bed_size, bed_thickness"},
                               Made{"side left", "side_gap, side_thickness, side_depth"},
                               Made{"side right", "side_gap, side_thickness, side_depth"},
                               Made{"beam", "clear_height, beam_height, beam_depth"},
                               Made{"carriage plate", "carriage_size, running_gap"},
                               Made{"head plate", "head_size, running_gap"},
                               Made{"router", "router_diameter, router_length, tip"},
                               Made{"tool", "tool_diameter, tool_length, tip"}};
  for (const Made& entry : made) {
    if (part == entry.part) return entry.keys;
  }
  return {};
}

plan::Plan with_frame(plan::Plan plan, Diagnostics& diagnostics) {
  if (!plan.frame) return plan;
  const FrameParts made = frame_parts(*plan.frame);
  check_frame(plan, made, diagnostics);

  for (const plan::Part& part : plan.parts) {
    const plan::Part* generated = find_named(made.parts, part.name);
    if (generated != nullptr && part.present && part.body != generated->body) {
      diagnostics.warning(
          part.place,
          fmt::format("part \"{}\" replaces the frame's, but on another body", part.name),
          part.body, generated->body);
    }
  }
  plan.bodies = joined(made.bodies, plan.bodies);
  plan.parts = joined(made.parts, plan.parts);
  const std::size_t declared = plan.touching.size();
  for (const plan::Touching& guide : made.touching) {
    const auto end = plan.touching.begin() + static_cast<std::ptrdiff_t>(declared);
    const bool already = std::any_of(plan.touching.begin(), end, [&](const plan::Touching& own) {
      return same_pair(own, guide);
    });
    const bool both_there = find_named(plan.parts, guide.between[0]) != nullptr &&
                            find_named(plan.parts, guide.between[1]) != nullptr;
    if (!already && both_there) plan.touching.push_back(guide);
  }
  if (!plan.tool) plan.tool = made.tool;
  return plan;
}

}  // namespace bight::machine
