#include "study/suggest_attach.h"

#include <algorithm>

#include "clearance/query.h"
#include "shape/mesh.h"

namespace bight::study {
namespace {

double box_gap(const Box& a, const Box& b) {
  return glm::length(glm::max(glm::max(a.lower - b.upper, b.lower - a.upper), Vec3(0.0)));
}

double volume(const Box& box) {
  const Vec3 size = box.size();
  return size.x * size.y * size.z;
}

}  // namespace

Attachments::Attachments(const Context& context) : context_(context) {
  const auto& parts = context.machine.parts;
  for (const machine::PlacedPart& part : parts) {
    boxes_.push_back(shape::bounds(part.solid->mesh));
    std::optional<std::size_t> index;
    for (std::size_t i = 0; i < context.plan.parts.size(); ++i) {
      if (context.plan.parts[i].name == part.name) index = i;
    }
    in_plan_.push_back(index);
  }
  contacts_.resize(parts.size());
  for (std::size_t a = 0; a < parts.size(); ++a) {
    for (std::size_t b = a + 1; b < parts.size(); ++b) {
      if (parts[a].body != parts[b].body || !touch(a, Vec3(0.0), b)) continue;
      contacts_[a].push_back(b);
      contacts_[b].push_back(a);
    }
  }
  for (std::size_t body = 0; body < context.machine.bodies.size(); ++body) {
    std::optional<std::size_t> largest;
    bool framed = false;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      if (parts[i].body != body) continue;
      if (!in_plan_[i]) {
        roots_.insert(i);
        framed = true;
      }
      if (!largest || volume(boxes_[i]) > volume(boxes_[*largest])) largest = i;
    }
    if (!framed && largest) roots_.insert(*largest);
  }
}

std::optional<std::size_t> Attachments::carrier(const std::string& body, const Vec3& point,
                                                double reach_mm) const {
  const auto& parts = context_.machine.parts;
  const std::size_t index = context_.machine.body_index(body);
  const shape::Solid place = shape::make_solid({{point}, {{0, 0, 0}}});
  std::optional<std::size_t> nearest;
  double least = reach_mm;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i].body != index || parts[i].role == plan::Role::surroundings) continue;
    if (box_gap(boxes_[i], {point, point}) > least) continue;
    const auto result = clearance::query_clearance(place, *parts[i].solid, {});
    const double distance = result.contained ? 0.0 : result.upper_mm;
    if (distance > least || (nearest && distance == least)) continue;
    nearest = i;
    least = distance;
  }
  return nearest;
}

bool Attachments::may_move(std::size_t part) const {
  return in_plan_[part].has_value();
}

const plan::Part& Attachments::in_plan(std::size_t part) const {
  return context_.plan.parts[*in_plan_[part]];
}

const std::string& Attachments::name(std::size_t part) const {
  return context_.machine.parts[part].name;
}

std::optional<std::size_t> Attachments::index_of(const std::string& name) const {
  const auto& parts = context_.machine.parts;
  const auto found = std::find_if(parts.begin(), parts.end(),
                                  [&](const machine::PlacedPart& p) { return p.name == name; });
  if (found == parts.end()) return {};
  return static_cast<std::size_t>(found - parts.begin());
}

bool Attachments::touch(std::size_t a, const Vec3& shift_of_a, std::size_t b) const {
  if (box_gap(translated(boxes_[a], shift_of_a), boxes_[b]) > k_touch_mm) return false;
  const auto& parts = context_.machine.parts;
  return !clearance::clearance_exceeds(*parts[a].solid, *parts[b].solid, {{shift_of_a, 1.0, 1.0}},
                                       k_touch_mm);
}

/// Parts of a body that hang together with what it is built on when some are taken away.
PartSet Attachments::reached_without(const PartSet& parts, std::size_t body) const {
  std::vector<std::size_t> open;
  PartSet reached;
  for (const std::size_t root : roots_) {
    if (context_.machine.parts[root].body != body || parts.count(root) > 0) continue;
    open.push_back(root);
    reached.insert(root);
  }
  while (!open.empty()) {
    const std::size_t part = open.back();
    open.pop_back();
    for (const std::size_t next : contacts_[part]) {
      if (parts.count(next) == 0 && reached.insert(next).second) open.push_back(next);
    }
  }
  return reached;
}

PartSet Attachments::with_dependents(const PartSet& parts) const {
  if (parts.empty()) return parts;
  const std::size_t body = context_.machine.parts[*parts.begin()].body;
  const PartSet before = reached_without({}, body);
  const PartSet after = reached_without(parts, body);
  PartSet all = parts;
  for (const std::size_t part : before) {
    if (after.count(part) == 0) all.insert(part);
  }
  return all;
}

std::optional<PartSet> Attachments::group(std::size_t part, const Vec3& shift) const {
  if (contacts_[part].empty()) return PartSet{part};
  PartSet moved{part};
  const std::size_t body = context_.machine.parts[part].body;
  for (std::size_t round = 0; round <= boxes_.size(); ++round) {
    moved = with_dependents(moved);
    const bool allowed = std::all_of(moved.begin(), moved.end(), [&](std::size_t p) {
      return may_move(p) && !is_root(p) &&
             (p == part || context_.machine.parts[p].role != plan::Role::surroundings);
    });
    if (!allowed) return {};
    const PartSet rest = reached_without(moved, body);
    PartSet stands_on;
    for (const std::size_t p : moved) {
      for (const std::size_t other : contacts_[p]) {
        if (moved.count(other) == 0 && rest.count(other) > 0) stands_on.insert(other);
      }
    }
    if (stands_on.empty()) return moved;  // it was joined to nothing before
    const bool still = std::any_of(moved.begin(), moved.end(), [&](std::size_t p) {
      return std::any_of(rest.begin(), rest.end(),
                         [&](std::size_t other) { return touch(p, shift, other); });
    });
    if (still) return moved;
    moved.insert(stands_on.begin(), stands_on.end());
  }
  return {};
}

}  // namespace bight::study
