#include "machine/frame_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "base/box.h"
#include "base/tolerance.h"
#include "base/units.h"
#include "machine/by_name_detail.h"
#include "machine/motion.h"
#include "plan/frame_names.h"

namespace bight::machine {

namespace {

/// A length in the unit of the plan.
std::string length(const plan::Plan& plan, double mm) {
  return length_text(mm, plan.inches ? LengthUnit::inch : LengthUnit::mm);
}

Vec3 letter_axis(const std::string& letter) {
  return Vec3(letter == "X" ? 1.0 : 0.0, letter == "Y" ? 1.0 : 0.0, letter == "Z" ? 1.0 : 0.0);
}

/// The joints that the frame's bodies need: there, along their letter, moving the right side.
/// Returns false when one is missing.
bool check_joints(const plan::Plan& plan, const FrameParts& made, Diagnostics& diagnostics) {
  bool complete = true;
  for (const plan::Body& body : made.bodies) {
    if (body.joint.empty() || find_named(plan.bodies, body.name) != nullptr) continue;
    const plan::Joint* joint = find_named(plan.joints, body.joint);
    if (joint == nullptr) {
      diagnostics.error(
          body.place,
          fmt::format("the frame's body \"{}\" runs on joint {}, which the plan lacks", body.name,
                      body.joint),
          {}, fmt::format("a [[joint]] with name = \"{}\"", body.joint));
      complete = false;
      continue;
    }
    const double along = glm::dot(joint->direction, letter_axis(body.joint));
    if (!(along > 1.0 - 1e-9)) {
      const Vec3 d = joint->direction;
      diagnostics.error(
          joint->place,
          fmt::format("the frame's \"{}\" runs along the plan's {} axis", body.name, body.joint),
          fmt::format("direction [{:.4g}, {:.4g}, {:.4g}]", d.x, d.y, d.z),
          fmt::format("the direction of {}, or bodies of the plan's own", body.joint));
    }
    const bool carries_work = body.name == plan::k_frame_table;
    if (joint->moves_work != carries_work) {
      diagnostics.error(joint->place,
                        fmt::format("with this arrangement of the frame joint {} moves {}",
                                    body.joint, carries_work ? "the table" : "the tool"),
                        fmt::format("carries = \"{}\"", joint->moves_work ? "work" : "tool"),
                        fmt::format("carries = \"{}\"", carries_work ? "work" : "tool"));
    }
  }
  return complete;
}

void check_plates(const plan::Plan& plan, const FrameParts& made, Diagnostics& diagnostics) {
  const plan::Frame& f = *plan.frame;
  const double beam_length = f.bed_size.x + 2.0 * f.side_gap;
  const auto check_width = [&](const char* plate, double width) {
    if (find_named(plan.parts, plate) != nullptr || find_named(plan.parts, "beam") != nullptr)
      return;
    if (!(width < beam_length)) {
      diagnostics.error(f.place, fmt::format("the {} is wider than the beam is long", plate),
                        length(plan, width),
                        fmt::format("less than {} (the bed's {} and twice the side gap of {})",
                                    length(plan, beam_length), length(plan, f.bed_size.x),
                                    length(plan, f.side_gap)));
    }
  };
  check_width("carriage plate", f.carriage_size.x);
  check_width("head plate", f.head_size.x);

  const plan::Part* carriage = find_named(made.parts, "carriage plate");
  const plan::Part* head = find_named(made.parts, "head plate");
  const plan::Joint* z = find_named(plan.joints, "Z");
  if (carriage == nullptr || head == nullptr || z == nullptr) return;
  if (find_named(plan.parts, "carriage plate") != nullptr ||
      find_named(plan.parts, "head plate") != nullptr ||
      find_named(plan.bodies, plan::k_frame_head) != nullptr) {
    return;
  }
  for (const double value : z->travel) {
    const double bottom = std::max(carriage->at.z, head->at.z + value);
    const double top =
        std::min(carriage->at.z + carriage->size.z, head->at.z + head->size.z + value);
    if (top > bottom) continue;
    diagnostics.error(
        f.place,
        fmt::format("at Z = {} the head plate has left the carriage plate", length(plan, value)),
        fmt::format("head plate {} to {}, carriage plate {} to {}",
                    length(plan, head->at.z + value),
                    length(plan, head->at.z + head->size.z + value), length(plan, carriage->at.z),
                    length(plan, carriage->at.z + carriage->size.z)),
        "plates that overlap in Z; look at tip, tool_length, router_length, clear_height, "
        "head_size");
    return;
  }
}

/// Bounding box of a generated part: a box or an upright cylinder.
Box part_box(const plan::Part& part) {
  if (part.shape == plan::ShapeKind::box) return {part.at, part.at + part.size};
  const double r = 0.5 * part.diameter;
  return {part.at - Vec3(r, r, 0.0), part.at + Vec3(r, r, part.length)};
}

/// How deep two boxes lie in each other, mm: the least of the three overlaps, negative when apart.
double depth(const Box& a, const Box& b) {
  const Vec3 overlap = glm::min(a.upper, b.upper) - glm::max(a.lower, b.lower);
  return std::min({overlap.x, overlap.y, overlap.z});
}

void check_overlaps(const plan::Plan& plan, const FrameParts& made, Diagnostics& diagnostics) {
  std::vector<plan::Body> bodies;
  for (const plan::Body& body : made.bodies) {
    if (find_named(plan.bodies, body.name) == nullptr) bodies.push_back(body);
  }
  bodies.insert(bodies.end(), plan.bodies.begin(), plan.bodies.end());
  const std::vector<Body> moving = bodies_in_motion(plan.joints, bodies);

  std::vector<double> pose;
  std::string where;
  for (const plan::Joint& joint : plan.joints) {
    // max before min: a travel given the wrong way round must not trip std::clamp.
    pose.push_back(std::min(std::max(0.0, joint.travel[0]), joint.travel[1]));
    where +=
        fmt::format("{}{} = {}", where.empty() ? "" : ", ", joint.name, length(plan, pose.back()));
  }
  for (std::size_t i = 0; i < made.parts.size(); ++i) {
    const plan::Part& a = made.parts[i];
    if (find_named(plan.parts, a.name) != nullptr) continue;
    for (std::size_t k = i + 1; k < made.parts.size(); ++k) {
      const plan::Part& b = made.parts[k];
      if (find_named(plan.parts, b.name) != nullptr || a.body == b.body) continue;
      const Box box_a = translated(part_box(a), translation(*find_named(moving, a.body), pose));
      const Box box_b = translated(part_box(b), translation(*find_named(moving, b.body), pose));
      const double overlap = depth(box_a, box_b);
      if (!(overlap > k_length_equal_mm)) continue;
      diagnostics.error(
          plan.frame->place,
          fmt::format("the dimensions put the {} into the {} at {}", a.name, b.name, where),
          fmt::format("they overlap by {}", length(plan, overlap)), "dimensions that leave a gap");
    }
  }
}

}  // namespace

void check_frame(const plan::Plan& plan, const FrameParts& made, Diagnostics& diagnostics) {
  const plan::Frame& f = *plan.frame;
  if (f.bed_height > 0.0 && !(f.bed_height > f.bed_thickness)) {
    diagnostics.error(f.place, "the bed reaches through the floor",
                      fmt::format("bed_height {}, bed_thickness {}", length(plan, f.bed_height),
                                  length(plan, f.bed_thickness)),
                      "bed_height greater than bed_thickness");
  }
  if (!check_joints(plan, made, diagnostics)) return;
  check_plates(plan, made, diagnostics);
  check_overlaps(plan, made, diagnostics);
}

}  // namespace bight::machine
