#include "study/suggest_carry.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "study/lookup.h"
#include "study/suggest_attach.h"

namespace bight::study {
namespace {

constexpr double k_clip_mm = 15.0;     ///< of a clip or a clamp, under the line (common practice)
constexpr double k_bracket_mm = 10.0;  ///< of a chain's bracket, under its links
constexpr double k_at_end_mm = 30.0;   ///< what is this near to the end of a part goes with the end
constexpr double k_shortest_mm = 20.0;       ///< that a part is cut to
constexpr double k_longest_foot_mm = 300.0;  ///< by which a foot is made longer
/// A part is made longer or shorter along its length, not its thickness: along an axis where it
/// measures at least this share of its longest side.
constexpr double k_length_share = 0.5;

enum class Kind { hold, bracket, roller, actuator };

/// Something that is fastened to a part.
struct Held {
  Kind kind = Kind::hold;
  std::string name;
  Bracket bracket = Bracket::fixed;
  std::string body;
  Vec3 at{0.0};
  double reach_mm = 0.0;
  std::optional<std::size_t> carrier;
};

/// The axis along which a shift goes.
std::optional<int> axis_of(const Vec3& shift) {
  std::optional<int> axis;
  for (int k = 0; k < 3; ++k) {
    if (shift[k] == 0.0) continue;
    if (axis) return {};
    axis = k;
  }
  return axis;
}

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
  }
  return text;
}

std::vector<PlanChange> step(std::vector<PlanChange> changes) {
  if (!changes.empty()) changes.front().is_step = true;
  return changes;
}

using ClipKey = std::pair<std::string, std::array<double, 3>>;

ClipKey key_of(const std::string& body, const Vec3& p) {
  return {body, {p.x, p.y, p.z}};
}

}  // namespace

class Carriers::Impl {
 public:
  explicit Impl(const Context& context) : context_(context), attachments_(context) {
    const plan::Plan& plan = context.plan;
    double thickest = 0.0;
    for (const plan::Line& line : plan.lines) {
      if (!line.present) continue;
      thickest = std::max(thickest, by_name(plan.articles, line.article).outside_diameter);
    }
    clip_reach_mm_ = 0.5 * thickest + k_clip_mm;
    for (const plan::Anchor& a : plan.anchors) {
      held_.push_back({Kind::hold, a.name, {}, a.body, a.at, clip_reach_mm_, {}});
    }
    for (const plan::Support& s : plan.supports) {
      held_.push_back({Kind::hold, s.name, {}, s.body, s.at, clip_reach_mm_, {}});
    }
    for (const plan::Chain& c : plan.chains) {
      if (!c.present) continue;
      const double reach = 0.5 * c.outer_height + k_bracket_mm;
      held_.push_back({Kind::bracket, c.name, Bracket::fixed, c.fixed_body, c.fixed_at, reach, {}});
      held_.push_back(
          {Kind::bracket, c.name, Bracket::moving, c.moving_body, c.moving_at, reach, {}});
    }
    for (const plan::Switch& s : plan.switches) {
      held_.push_back({Kind::roller, s.name, {}, s.body, s.at, s.radius + k_clip_mm, {}});
      const Vec3 middle = s.actuator_at + 0.5 * s.actuator_size;
      held_.push_back({Kind::actuator, s.name, {}, s.actuator_body, middle, k_touch_mm, {}});
    }
    for (Held& held : held_) {
      held.carrier = attachments_.carrier(held.body, held.at, held.reach_mm);
    }
    for (const plan::Run& run : plan.runs) {
      if (lines_of_run(plan, run.name).empty()) continue;
      for (const plan::Leg& leg : run.legs) {
        if (leg.way != plan::LegWay::fixed) continue;
        for (const Vec3& point : leg.points) {
          clips_[key_of(leg.body, point)] = attachments_.carrier(leg.body, point, clip_reach_mm_);
        }
      }
    }
  }

  const Held* find(Kind kind, const std::string& name, Bracket bracket = Bracket::fixed) const {
    for (const Held& held : held_) {
      if (held.kind == kind && held.name == name && held.bracket == bracket) return &held;
    }
    return nullptr;
  }

  /// Would it be held there by itself? What nothing holds now needs nothing there.
  bool holds_alone(const Held& held, const Vec3& shift) const {
    return !held.carrier ||
           attachments_.carrier(held.body, held.at + shift, held.reach_mm).has_value();
  }

  Ways ways(const Held& held, const Vec3& shift, std::vector<PlanChange> alone) const {
    Ways ways;
    if (holds_alone(held, shift)) ways.push_back(std::move(alone));
    if (!held.carrier) return ways;
    add_grown(held, shift, ways);
    add_moved(*held.carrier, shift, {}, ways);
    return ways;
  }

  /// Several things by the same way, with the parts that have to go along. `named`: "X chain".
  Ways together(const std::vector<const Held*>& all, const Vec3& shift, const std::string& named,
                const std::string& why) const {
    PartSet parts;
    Moving moving;
    for (const Held* held : all) {
      add(*held, moving);
      if (holds_alone(*held, shift)) continue;
      const auto group = attachments_.group(*held->carrier, shift);
      if (!group) return {};
      parts.insert(group->begin(), group->end());
    }
    add_carried(parts, moving);
    const std::string with = parts.empty() ? "" : ", together with " + names_of(parts);
    return {step(move_together(context_, moving, shift, "move " + named + ' ' + why + with))};
  }

  Ways part_ways(const std::string& name, const Vec3& shift, const std::string& why) const {
    const auto part = attachments_.index_of(name);
    if (!part || !attachments_.may_move(*part)) return {};
    Ways ways;
    if (context_.machine.parts[*part].role == plan::Role::surroundings) {
      Moving moving;
      moving.parts = {name};
      ways.push_back(step(move_together(context_, moving, shift, "move " + name + ' ' + why)));
    } else {
      add_moved(*part, shift, why, ways);
    }
    return ways;
  }

  const Context& context() const { return context_; }

 private:
  std::string names_of(const PartSet& parts) const {
    std::vector<std::string> names;
    for (const std::size_t part : parts) names.push_back(attachments_.name(part));
    return listed(names);
  }

  std::string way_text(const Vec3& shift) const {
    if (!axis_of(shift)) return "by " + point_text(shift, context_.unit);
    return "by " + context_.length(glm::length(shift), 0) + " towards " + direction_text(shift);
  }

  static void add(const Held& held, Moving& moving) {
    switch (held.kind) {
      case Kind::hold:
        moving.holds.insert(held.name);
        break;
      case Kind::bracket:
        moving.brackets.insert({held.name, held.bracket});
        break;
      case Kind::roller:
        moving.switches.insert(held.name);
        break;
      case Kind::actuator:
        moving.actuators.insert(held.name);
        break;
    }
  }

  /// Parts and all that is fastened to them.
  void add_carried(const PartSet& parts, Moving& moving) const {
    for (const std::size_t part : parts) moving.parts.insert(attachments_.name(part));
    for (const Held& held : held_) {
      if (held.carrier && parts.count(*held.carrier) > 0) add(held, moving);
    }
    moving.has_clip = [this, parts](const std::string& body, const Vec3& point) {
      const auto clip = clips_.find(key_of(body, point));
      return clip != clips_.end() && clip->second && parts.count(*clip->second) > 0;
    };
  }

  /// ", with post on it": what a person would not expect to move.
  std::string carried_text(const Moving& moving, std::size_t parts) const {
    std::vector<std::string> names(moving.holds.begin(), moving.holds.end());
    for (const auto& [chain, bracket] : moving.brackets) {
      names.push_back(bracket_name(chain, bracket));
    }
    for (const std::string& name : moving.switches) names.push_back(name);
    for (const std::string& name : moving.actuators) names.push_back("the actuator of " + name);
    if (names.empty()) return "";
    return ", with " + listed(names) + (parts > 1 ? " on them" : " on it");
  }

  /// A part moved with what it carries: on what it stands on now, on a longer foot, or with its
  /// foot.
  void add_moved(std::size_t part, const Vec3& shift, const std::string& why, Ways& ways) const {
    const auto group = attachments_.group(part, shift);
    const PartSet own = attachments_.with_dependents({part});
    if (!group || *group != own) add_stretched(own, shift, ways);
    if (!group) return;
    Moving moving;
    add_carried(*group, moving);
    const std::string by = why.empty() ? way_text(shift) : why;
    ways.push_back(step(move_together(
        context_, moving, shift,
        "move " + names_of(*group) + ' ' + by + carried_text(moving, group->size()))));
  }

  void add_stretched(const PartSet& own, const Vec3& shift, Ways& ways) const {
    const auto axis = axis_of(shift);
    if (!axis) return;
    const auto of_machine = [&](std::size_t p) {
      return attachments_.may_move(p) && context_.machine.parts[p].role == plan::Role::machine;
    };
    if (!std::all_of(own.begin(), own.end(), of_machine)) return;
    if (std::abs(shift[*axis]) > k_longest_foot_mm) return;
    PartSet feet;
    for (const std::size_t p : own) {
      for (const std::size_t other : attachments_.contacts(p)) {
        if (own.count(other) == 0 && of_machine(other)) feet.insert(other);
      }
    }
    const bool high = shift[*axis] > 0.0;
    for (const std::size_t foot : feet) {
      const double length = std::abs(shift[*axis]);
      std::vector<PlanChange> changes = grow(foot, *axis, high, length);
      if (changes.empty()) continue;
      Moving moving;
      add_carried(own, moving);
      changes.front().is_step = true;
      changes.front().what = "make " + attachments_.name(foot) + " " + context_.length(length, 0) +
                             " longer at its " + direction_text(shift) + " end and move " +
                             names_of(own) + " there" + carried_text(moving, own.size());
      auto more = move_together(context_, moving, shift, {});
      std::move(more.begin(), more.end(), std::back_inserter(changes));
      ways.push_back(std::move(changes));
    }
  }

  /// A longer or shorter part, when the thing sits at one of its ends.
  void add_grown(const Held& held, const Vec3& shift, Ways& ways) const {
    const std::size_t part = *held.carrier;
    const auto axis = axis_of(shift);
    if (!axis || !attachments_.may_move(part)) return;
    const Box& box = attachments_.box(part);
    const int k = *axis;
    const bool high = held.at[k] > box.center()[k];
    const auto at_end = [&, high](double low, double up) {
      return high ? up > box.upper[k] - k_at_end_mm : low < box.lower[k] + k_at_end_mm;
    };
    if (!at_end(held.at[k], held.at[k])) return;
    const double longer = high ? shift[k] : -shift[k];
    std::vector<PlanChange> changes = grow(part, k, high, longer);
    if (changes.empty()) return;
    PartSet on_end = attachments_.with_dependents({part});
    std::erase_if(on_end, [&](std::size_t p) {
      const Box& other = attachments_.box(p);
      return p == part || !(high ? other.lower[k] >= box.upper[k] - k_touch_mm
                                 : other.upper[k] <= box.lower[k] + k_touch_mm);
    });
    Moving moving;
    add_carried(on_end, moving);
    for (const Held& other : held_) {
      if (other.carrier == part && at_end(other.at[k], other.at[k])) add(other, moving);
    }
    moving.has_clip = [this, on_end, part, at_end, k](const std::string& body, const Vec3& p) {
      const auto clip = clips_.find(key_of(body, p));
      if (clip == clips_.end() || !clip->second) return false;
      return on_end.count(*clip->second) > 0 || (*clip->second == part && at_end(p[k], p[k]));
    };
    Vec3 end(0.0);
    end[k] = high ? 1.0 : -1.0;
    changes.front().is_step = true;
    changes.front().what = "make " + attachments_.name(part) + " " +
                           context_.length(std::abs(longer), 0) +
                           (longer > 0.0 ? " longer" : " shorter") + " at its " +
                           direction_text(end) + " end" + carried_text(moving, 1);
    auto more = move_together(context_, moving, shift, {});
    std::move(more.begin(), more.end(), std::back_inserter(changes));
    ways.push_back(std::move(changes));
  }

  /// One end of a part moved outward; empty for shapes that have no such length.
  std::vector<PlanChange> grow(std::size_t index, int axis, bool high, double by) const {
    const plan::Part& part = attachments_.in_plan(index);
    if (part.turn != Vec3(0.0)) return {};
    const Vec3 sides = attachments_.box(index).size();
    const double least_side = k_length_share * std::max({sides.x, sides.y, sides.z});
    if (sides[axis] < least_side || sides[axis] + by < k_shortest_mm) return {};
    const std::string path = "part." + part.name + ".";
    std::vector<PlanChange> changes;
    if (part.shape == plan::ShapeKind::box) {
      Vec3 size = part.size;
      size[axis] += by;
      changes.push_back({path + "size", toml_place(context_, size), {}});
    } else if (part.shape != plan::ShapeKind::mesh && static_cast<int>(part.along) == axis) {
      if (!(part.length + by > 0.0)) return {};
      changes.push_back({path + "length", toml_measure(context_, part.length + by), {}});
    } else {
      return {};
    }
    if (!high) {
      Vec3 at = part.at;
      at[axis] -= by;
      changes.push_back({path + "at", toml_place(context_, at), {}});
    }
    return changes;
  }

  const Context& context_;
  Attachments attachments_;
  std::vector<Held> held_;
  std::map<ClipKey, std::optional<std::size_t>> clips_;
  double clip_reach_mm_ = 0.0;
};

Carriers::Carriers(const Context& context) : impl_(std::make_unique<Impl>(context)) {}
Carriers::~Carriers() = default;

Ways Carriers::move_hold(const std::string& hold, const Vec3& to, const std::string& why) const {
  const Held* held = impl_->find(Kind::hold, hold);
  if (held == nullptr) return {};
  return impl_->ways(*held, to - held->at, study::move_hold(impl_->context(), hold, to, why));
}

Ways Carriers::move_bracket(const plan::Chain& chain, Bracket bracket, const Vec3& shift,
                            const std::string& why) const {
  auto alone = study::move_bracket(impl_->context(), chain, bracket, shift, why);
  const Held* held = impl_->find(Kind::bracket, chain.name, bracket);
  if (held == nullptr) return {std::move(alone)};
  return impl_->ways(*held, shift, std::move(alone));
}

Ways Carriers::move_holds(const std::vector<std::string>& holds, const Vec3& shift,
                          const std::string& why) const {
  std::vector<const Held*> all;
  for (const std::string& name : holds) {
    const Held* held = impl_->find(Kind::hold, name);
    if (held == nullptr) return {};
    all.push_back(held);
  }
  return impl_->together(all, shift, listed(holds), why);
}

Ways Carriers::move_chain(const plan::Chain& chain, const Vec3& shift,
                          const std::string& why) const {
  const Held* fixed = impl_->find(Kind::bracket, chain.name, Bracket::fixed);
  const Held* moving = impl_->find(Kind::bracket, chain.name, Bracket::moving);
  if (fixed == nullptr || moving == nullptr) return {};
  return impl_->together({fixed, moving}, shift, chain.name, why);
}

Ways Carriers::move_part(const std::string& part, const Vec3& shift, const std::string& why) const {
  return impl_->part_ways(part, shift, why);
}

}  // namespace bight::study
