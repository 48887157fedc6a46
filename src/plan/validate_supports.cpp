#include <algorithm>
#include <cmath>
#include <map>

#include "plan/validate_detail.h"

namespace bight::plan {
namespace {

// A track or tow that is 2.5 degrees or 1 mm off is a slip of the pen.
constexpr double k_along_cosine = 0.999;
constexpr double k_off_mm = 1.0;

bool moves_by_itself(const Support& support) {
  return support.kind != SupportKind::hook;
}

/// Kinds on which a single line runs: a drum or a pulley knows one pull.
bool takes_one_line(const Support& support) {
  return support.kind == SupportKind::pulley || support.kind == SupportKind::retractor;
}

const Support* support_of(const Plan& plan, const std::string& name) {
  const auto found = std::find_if(plan.supports.begin(), plan.supports.end(),
                                  [&](const Support& s) { return s.name == name; });
  return found == plan.supports.end() ? nullptr : &*found;
}

void rising(const CheckedElement& at, const char* key, const std::array<double, 2>& pair,
            const std::string& found) {
  if (at.good({key}) && !(pair[0] < pair[1])) {
    at.error(key, "'" + std::string(key) + "' must be [low, high] with low below high", found);
  }
}

void validate_anchor(const Anchor& anchor, const CheckedElement& at) {
  if (!at.good({"direction", "radius"}) || !anchor.direction || !anchor.radius) return;
  at.error("radius", "a clamp gives the line its direction: it does not bend there",
           at.length(*anchor.radius), "'radius' without 'direction'");
}

void validate_support(const Support& support, const CheckedElement& at) {
  const auto lengths = [&](const std::array<double, 2>& pair) {
    return at.length(pair[0]) + " and " + at.length(pair[1]);
  };
  if (!at.good({"kind"})) return;
  switch (support.kind) {
    case SupportKind::hook:
    case SupportKind::cord:
      break;
    case SupportKind::trolley:
      rising(at, "range", support.range, lengths(support.range));
      break;
    case SupportKind::boom:
      rising(at, "swing", support.swing, at.written("swing"));
      if (at.good({"swing"}) && support.swing[1] - support.swing[0] > 360.0) {
        at.error("swing", "the boom swings more than all round", at.written("swing"),
                 "at most 360 degrees from stop to stop");
      }
      break;
    case SupportKind::pulley:
      if (!at.good({"weight", "tie_off", "drop"})) break;
      if (support.weight.has_value() == support.tie_off.has_value()) {
        at.error(support.weight ? "tie_off" : "kind",
                 support.weight ? "the line's other end has a weight and is tied off"
                                : "nothing holds the line's other end",
                 {}, "either 'weight' or 'tie_off'");
      } else if (support.weight && !at.has("drop")) {
        at.error("weight", "a weight needs to know how far it can hang", {},
                 "'drop' = [where it meets the pulley, where it meets the floor]");
      } else if (support.weight) {
        rising(at, "drop", support.drop, lengths(support.drop));
      } else if (at.has("drop")) {
        at.error("drop", "'drop' is that of a weight, but the line is tied off", {},
                 "no 'drop' with 'tie_off'");
      }
      break;
    case SupportKind::retractor:
      rising(at, "paid_out", support.paid_out, lengths(support.paid_out));
      if (at.good({"pull", "friction_pull"}) && !(support.friction_pull < support.pull)) {
        at.error("friction_pull", "friction holds the line against the whole pull",
                 at.written("friction_pull"), "less than 'pull'");
      }
      break;
    case SupportKind::festoon:
      if (at.good({"track"}) && support.track && std::abs(support.track->z) > 1e-9) {
        at.error("track", "the track of a festoon is level", at.written("track"), "[x, y, 0]");
      }
      if (at.good({"saddle", "stacked_pitch"}) && !(support.stacked_pitch > support.saddle)) {
        at.error("stacked_pitch", "trolleys that touch are closer than their saddles are wide",
                 at.length(support.stacked_pitch),
                 "more than 'saddle', " + at.length(support.saddle));
      }
      break;
  }
}

/// A festoon's tow runs along its track, on the far side of its fixed end.
void validate_tow(const Plan& plan, const Support& festoon, const Leg& leg,
                  const BodyMotion& motion, const CheckedElement& at) {
  const auto anchor = std::find_if(plan.anchors.begin(), plan.anchors.end(),
                                   [&](const Anchor& a) { return a.name == leg.to; });
  if (anchor == plan.anchors.end()) {
    at.error("to", "a festoon ends at its tow", toml_quoted(leg.to), "an anchor on a moving body");
    return;
  }
  const Vec3& track = *festoon.track;
  const Vec3 d = anchor->at - festoon.at;
  if (glm::length(d - glm::dot(d, track) * track) > k_off_mm) {
    at.error("to", "the tow does not lie on the track of the festoon", toml_quoted(leg.to),
             "an anchor on the straight line from 'at' along 'track'");
  }
  const auto joints = motion.joints_between(festoon.body, anchor->body);
  if (!joints) return;
  for (const std::size_t j : *joints) {
    if (std::abs(glm::dot(plan.joints[j].direction, track)) >= k_along_cosine) continue;
    at.error("to", "joint " + plan.joints[j].name + " moves the tow off the track of the festoon",
             toml_quoted(leg.to), "a tow that only moves along 'track'");
  }
}

/// Where legs meet supports that move by themselves.
void validate_holds(const Plan& plan, const Value& root, const BodyMotion& motion,
                    Reading& reading) {
  std::map<std::string, std::size_t> legs_at;
  for (const Run& run : plan.runs) {
    const bool used = std::any_of(plan.lines.begin(), plan.lines.end(), [&](const Line& line) {
      return line.present && line.run == run.name;
    });
    for (const Leg& leg : run.legs) {
      if (leg.way != LegWay::free || !used) continue;
      for (const std::string& name : {leg.from, leg.to}) ++legs_at[name];
    }
  }
  for (std::size_t i = 0; i < plan.runs.size(); ++i) {
    const Run& run = plan.runs[i];
    const CheckedElement at_run(reading, root, "run", i);
    const auto lines = std::count_if(plan.lines.begin(), plan.lines.end(), [&](const Line& line) {
      return line.present && line.run == run.name;
    });
    for (std::size_t k = 0; k < run.legs.size(); ++k) {
      const Leg& leg = run.legs[k];
      const CheckedElement at(reading, at_run, "leg", k);
      if (leg.way != LegWay::free || !at.good({"way", "from", "to"}) || lines == 0) continue;
      const Support* from = support_of(plan, leg.from);
      const Support* to = support_of(plan, leg.to);
      if (from != nullptr && !moves_by_itself(*from)) from = nullptr;
      if (to != nullptr && !moves_by_itself(*to)) to = nullptr;
      if (from != nullptr && to != nullptr) {
        at.error("to", "both ends of this leg hang on supports that move by themselves",
                 toml_quoted(leg.from) + " and " + toml_quoted(leg.to),
                 "an anchor or a hook at one end; trolleys in a row are a festoon");
        continue;
      }
      if (from == nullptr && to == nullptr) continue;
      const Support& support = from != nullptr ? *from : *to;
      const std::string name = toml_quoted(support.name);
      const char* key = from != nullptr ? "from" : "to";
      const bool starts_there = support.kind == SupportKind::festoon || takes_one_line(support) ||
                                support.kind == SupportKind::boom;
      if (starts_there && to != nullptr) {
        at.error("to", "the line comes from this support: the leg starts there", name,
                 "the leg with 'from' = " + name);
        continue;
      }
      if (takes_one_line(support) && (lines > 1 || legs_at[support.name] > 1)) {
        at.error(key, "a pulley or retractor takes a single line", name,
                 "one line over " + name + ", others over one of their own");
      }
      if (support.kind == SupportKind::retractor && leg.length) {
        at.error("length", "a retractor lets out what the line takes", at.written("length"),
                 "no 'length': 'paid_out' of the retractor says how much there is");
      }
      if (support.kind == SupportKind::festoon) {
        if (legs_at[support.name] > 1) {
          at.error(key, "a festoon takes a single leg", name, "one leg; its lines hang together");
        }
        if (support.track) validate_tow(plan, support, leg, motion, at);
      } else if (legs_at[support.name] > 1 && !leg.length &&
                 support.kind != SupportKind::retractor) {
        at.error(key,
                 "where this support rests depends on the lengths of all legs that it holds, and "
                 "this one has none",
                 name, "'length' for each of them");
      }
    }
  }
}

}  // namespace

void validate_supports(const Plan& plan, const Value& root, const BodyMotion& motion,
                       Reading& reading) {
  for (std::size_t i = 0; i < plan.anchors.size(); ++i) {
    validate_anchor(plan.anchors[i], CheckedElement(reading, root, "anchor", i));
  }
  for (std::size_t i = 0; i < plan.supports.size(); ++i) {
    validate_support(plan.supports[i], CheckedElement(reading, root, "support", i));
  }
  validate_holds(plan, root, motion, reading);
}

}  // namespace bight::plan
