#include <algorithm>
#include <cmath>

#include "plan/simple_polygon.h"
#include "plan/validate_detail.h"

namespace bight::plan {
namespace {

// A joint's letter says which plan axis it runs along; by 45 degrees at most, so that each letter
// means one axis.
constexpr double k_axis_cosine = 0.70710678118654752;
// Volume of the box spanned by the directions of X, Y and Z; below it they lie nearly in a plane
// and positions along them lose their meaning.
constexpr double k_least_volume = 0.1;
// The sweep over pairs of edges is quadratic; nobody measures more corners than this.
constexpr std::size_t k_outline_limit = 2000;

Vec3 axis_of(const std::string& letter) {
  if (letter == "X" || letter == "U") return {1.0, 0.0, 0.0};
  if (letter == "Y" || letter == "V") return {0.0, 1.0, 0.0};
  return {0.0, 0.0, 1.0};
}

std::string axis_name(const std::string& letter) {
  if (letter == "X" || letter == "U") return "+X (to the operator's right)";
  if (letter == "Y" || letter == "V") return "+Y (away from the operator)";
  return "+Z (up)";
}

std::string pair_text(const CheckedElement& at, const std::array<double, 2>& pair) {
  return at.length(pair[0]) + " and " + at.length(pair[1]);
}

const Joint* find_joint(const Plan& plan, const std::string& name) {
  const auto found = std::find_if(plan.joints.begin(), plan.joints.end(),
                                  [&](const Joint& joint) { return joint.name == name; });
  return found == plan.joints.end() ? nullptr : &*found;
}

void validate_joint(const Joint& joint, const CheckedElement& at) {
  if (at.good({"travel"}) && !(joint.travel[0] < joint.travel[1])) {
    at.error("travel", "'travel' must be [low, high] with low below high",
             pair_text(at, joint.travel));
  }
  if (joint.stops && at.good({"travel", "stops"})) {
    const std::array<double, 2>& stops = *joint.stops;
    if (!(stops[0] <= joint.travel[0] && joint.travel[1] <= stops[1])) {
      at.error("stops", "the hard stops must lie outside the travel", pair_text(at, stops),
               "[low, high] with low at most " + at.length(joint.travel[0]) +
                   " and high at least " + at.length(joint.travel[1]));
    }
  }
  if (at.good({"name", "direction"}) &&
      !(glm::dot(joint.direction, axis_of(joint.name)) > k_axis_cosine)) {
    at.error("direction", "'direction' does not suit the letter " + joint.name,
             at.written("direction"),
             "within 45 degrees of " + axis_name(joint.name) + " (ISO 841)");
  }
}

void validate_joints(const Plan& plan, const Value& root, Reading& reading) {
  std::array<std::optional<std::size_t>, 3> xyz;
  bool usable = true;
  for (std::size_t i = 0; i < plan.joints.size(); ++i) {
    const CheckedElement at(reading, root, "joint", i);
    validate_joint(plan.joints[i], at);
    usable = usable && at.good({"name", "direction"});
    for (std::size_t k = 0; k < 3; ++k) {
      if (plan.joints[i].name == std::string(1, "XYZ"[k])) xyz[k] = i;
    }
  }
  if (!usable || !xyz[0] || !xyz[1] || !xyz[2]) return;
  const Vec3& x = plan.joints[*xyz[0]].direction;
  const Vec3& y = plan.joints[*xyz[1]].direction;
  const Vec3& z = plan.joints[*xyz[2]].direction;
  const double volume = glm::dot(glm::cross(x, y), z);
  if (!(volume > k_least_volume)) {
    const CheckedElement at(reading, root, "joint", *xyz[2]);
    at.error("direction",
             volume < 0.0 ? "the directions of X, Y and Z are left-handed"
                          : "the directions of X, Y and Z lie nearly in one plane",
             {}, "right-handed directions, square to each other or nearly so (ISO 841)");
  }
}

void validate_frame(const Plan& plan, const Value& root, Reading& reading) {
  if (!plan.frame) return;
  const CheckedElement at(reading, root, "frame");
  for (const char* letter : {"X", "Y", "Z"}) {
    if (find_joint(plan, letter) == nullptr) {
      at.error("", std::string("a frame needs a joint ") + letter, {},
               std::string("a [[joint]] with name = \"") + letter + "\"");
    }
  }
  const auto together = [&](const char* first, double a, const char* second, double b) {
    if (at.good({first, second}) && (a > 0.0) != (b > 0.0)) {
      at.error(a > 0.0 ? first : second,
               "'" + std::string(first) + "' and '" + second + "' belong together",
               "one of them is 0 or missing", "both more than 0, or both left out");
    }
  };
  const Frame& f = *plan.frame;
  together("side_thickness", f.side_thickness, "side_depth", f.side_depth);
  together("router_diameter", f.router_diameter, "router_length", f.router_length);
  together("tool_diameter", f.tool_diameter, "tool_length", f.tool_length);
}

void validate_body(const Body& body, const BodyMotion& motion, const CheckedElement& at) {
  if (at.good({"ratio"}) && at.has("ratio") && !at.has("joint")) {
    at.error("ratio", "'ratio' is a share of a joint's motion, but there is no 'joint'", {},
             "'ratio' together with 'joint'");
  } else if (at.good({"ratio"}) && body.ratio == 0.0) {
    at.error("ratio", "with a 'ratio' of 0 the joint does not move the body", "0",
             "a number other than 0, or no 'joint'");
  }
  if (!at.good({"name", "carried_by"})) return;
  const std::vector<std::string> way = motion.carriers(body.name);
  if (way.size() > 1 && way.back() == body.name) {
    if (body.name != *std::min_element(way.begin(), way.end())) return;  // told at another of them
    std::string circle;
    for (const std::string& name : way) circle += (circle.empty() ? "" : ", carried by ") + name;
    at.error("carried_by", "the bodies carry each other in a circle", circle,
             "a way that ends at the ground");
  } else if (way.size() > k_carriers_limit) {
    at.error("carried_by", "too many bodies carry each other", {},
             std::to_string(k_carriers_limit) + " in a row at most");
  }
}

void validate_part(const Part& part, const CheckedElement& at) {
  if (part.shape != ShapeKind::profile || !at.good({"shape", "outline"})) return;
  if (part.outline.size() > k_outline_limit) {
    at.error("outline", "the outline has too many corners", std::to_string(part.outline.size()),
             std::to_string(k_outline_limit) + " at most");
    return;
  }
  if (const auto bad = first_bad_edge(part.outline)) {
    const Vec2& from = part.outline[*bad];
    at.error("outline", "the outline crosses or touches itself",
             "the side that starts at corner " + std::to_string(*bad + 1) + " (" +
                 at.length(from.x) + ", " + at.length(from.y) + ")",
             "corners in order around the outline, each once");
  }
}

void validate_switch(const Plan& plan, const Switch& limit_switch, const BodyMotion& motion,
                     const CheckedElement& at) {
  if (!at.good({"joint", "body", "actuator_body"})) return;
  if (limit_switch.body == limit_switch.actuator_body) {
    at.error("actuator_body", "the switch and what trips it are on the same body",
             toml_quoted(limit_switch.body), "two bodies that the joint moves against each other");
    return;
  }
  const auto joints = motion.joints_between(limit_switch.body, limit_switch.actuator_body);
  const Joint* joint = find_joint(plan, limit_switch.joint);
  if (!joints || joint == nullptr) return;
  const auto index = static_cast<std::size_t>(joint - plan.joints.data());
  if (std::find(joints->begin(), joints->end(), index) == joints->end()) {
    at.error("actuator_body",
             "joint " + joint->name + " does not move the switch against what trips it",
             toml_quoted(limit_switch.body) + " and " + toml_quoted(limit_switch.actuator_body),
             "two bodies that the joint moves against each other");
  }
}

void validate_work(const Plan& plan, const Value& root, Reading& reading) {
  for (std::size_t i = 0; i < plan.work_areas.size(); ++i) {
    const CheckedElement at(reading, root, "work_area", i);
    const WorkArea& area = plan.work_areas[i];
    if (at.good({"from", "to"})) {
      for (int k = 0; k < 3; ++k) {
        if (area.from[k] <= area.to[k]) continue;
        at.error("to", std::string("'to' lies below 'from' in ") + "XYZ"[k], at.length(area.to[k]),
                 "at least " + at.length(area.from[k]));
      }
    }
    if (!plan.tool && !plan.frame) {
      at.error("", "a work area needs a tool", {}, "a [tool] or a [frame] in the plan");
    }
  }
  if (!plan.work_offset) return;
  const CheckedElement at(reading, root, "work_offset");
  if (!at.good({"at"})) return;
  for (int k = 0; k < 3; ++k) {
    const Joint* joint = find_joint(plan, std::string(1, "XYZ"[k]));
    if (joint == nullptr) continue;
    const double value = plan.work_offset->at[k];
    const bool travel_is_known = joint->travel[0] < joint->travel[1];
    if (travel_is_known && !(value >= joint->travel[0] && value <= joint->travel[1])) {
      at.error("at", "the work offset lies outside the travel of " + joint->name, at.length(value),
               "from " + at.length(joint->travel[0]) + " to " + at.length(joint->travel[1]));
    }
  }
}

}  // namespace

void validate_machine(const Plan& plan, const Value& root, const BodyMotion& motion,
                      Reading& reading) {
  validate_joints(plan, root, reading);
  validate_frame(plan, root, reading);
  for (std::size_t i = 0; i < plan.bodies.size(); ++i) {
    validate_body(plan.bodies[i], motion, CheckedElement(reading, root, "body", i));
  }
  for (std::size_t i = 0; i < plan.parts.size(); ++i) {
    validate_part(plan.parts[i], CheckedElement(reading, root, "part", i));
  }
  for (std::size_t i = 0; i < plan.switches.size(); ++i) {
    validate_switch(plan, plan.switches[i], motion, CheckedElement(reading, root, "switch", i));
  }
  validate_work(plan, root, reading);
}

}  // namespace bight::plan
