#include <algorithm>
#include <cmath>
#include <set>

#include "base/number.h"
#include "plan/validate_detail.h"

namespace bight::plan {
namespace {

// A bend that lies 2.5 degrees off the joint is a slip of the pen, not a chain.
constexpr double k_along_cosine = 0.999;

// Of the bend radius. A chord as long as the radius spans 60 degrees: three links a half turn, the
// fewest that any chain is made with (common practice; most have five and more).
constexpr double k_longest_pitch = 1.0;

/// To 3 decimals, without those that are zeros.
std::string short_number(double value) {
  return shortest(std::round(value * 1000.0) / 1000.0 + 0.0);
}

void validate_brackets(const Plan& plan, const Chain& chain, const BodyMotion& motion,
                       const CheckedElement& at) {
  if (!at.good({"fixed_body", "moving_body"})) return;
  const auto joints = motion.joints_between(chain.fixed_body, chain.moving_body);
  if (!joints) return;
  if (joints->size() != 1) {
    std::string names;
    for (const std::size_t j : *joints) {
      names += (names.empty() ? "" : " and ") + plan.joints[j].name;
    }
    at.error("moving_body",
             joints->empty() ? "nothing moves the two brackets against each other"
                             : "more than one joint moves the two brackets against each other",
             toml_quoted(chain.fixed_body) + " and " + toml_quoted(chain.moving_body) +
                 (names.empty() ? "" : ", moved by " + names),
             "brackets on two bodies that exactly one joint moves against each other");
    return;
  }
  if (!at.good({"opens"})) return;
  const Joint& joint = plan.joints[joints->front()];
  if (!(std::abs(glm::dot(chain.opens, joint.direction)) >= k_along_cosine)) {
    const Vec3& d = joint.direction;
    at.error("opens", "the bend must lie along joint " + joint.name + ", which moves the chain",
             at.written("opens"),
             "[" + short_number(d.x) + ", " + short_number(d.y) + ", " + short_number(d.z) +
                 "] or the reverse");
  }
}

void validate_sizes(const Chain& chain, const CheckedElement& at) {
  const auto outer = [&](const char* inner_key, double inner, const char* outer_key,
                         double outer_size) {
    if (at.good({inner_key, outer_key}) && !(outer_size >= inner)) {
      at.error(outer_key, "'" + std::string(outer_key) + "' is less than '" + inner_key + "'",
               at.length(outer_size), "at least " + at.length(inner));
    }
  };
  outer("inner_width", chain.inner_width, "outer_width", chain.outer_width);
  outer("inner_height", chain.inner_height, "outer_height", chain.outer_height);
  if (at.good({"bend_radius", "outer_height"}) && !(chain.bend_radius > 0.5 * chain.outer_height)) {
    at.error("bend_radius", "the bend is so tight that the links would meet inside it",
             at.length(chain.bend_radius),
             "more than half of 'outer_height', " + at.length(0.5 * chain.outer_height));
  } else if (at.good({"bend_radius", "pitch"}) &&
             !(chain.pitch < k_longest_pitch * chain.bend_radius)) {
    at.error("pitch", "links of this length cannot lie on the bend", at.length(chain.pitch),
             "less than the bend radius, " + at.length(chain.bend_radius));
  }
}

void validate_dividers(const Chain& chain, const CheckedElement& at) {
  if (!at.good({"dividers", "divider_thickness", "inner_width"})) return;
  const double half = 0.5 * chain.divider_thickness;
  double wall = 0.0;
  for (std::size_t i = 0; i < chain.dividers.size(); ++i) {
    const double middle = chain.dividers[i];
    if (!(middle - half > wall && middle + half < chain.inner_width)) {
      at.error(
          "dividers",
          "divider " + std::to_string(i + 1) +
              (middle + half < chain.inner_width ? " is not right of the one before or of the wall"
                                                 : " lies outside the chain"),
          at.length(middle),
          "rising values, each divider between the one before and the inner width of " +
              at.length(chain.inner_width));
      return;
    }
    wall = middle + half;
  }
}

void validate_load_span(const Chain& chain, const CheckedElement& at) {
  if (!at.good({"load_span"})) return;
  for (std::size_t i = 0; i < chain.load_span.size(); ++i) {
    const Vec2& pair = chain.load_span[i];
    const std::string number = "pair " + std::to_string(i + 1);
    if (i > 0 && !(pair.x > chain.load_span[i - 1].x)) {
      at.error("load_span", number + " does not have more load than the one before",
               shortest(pair.x) + " kg/m", "rising loads, the lightest first");
    } else if (i > 0 && pair.y > chain.load_span[i - 1].y) {
      at.error("load_span", number + " spans more than the one before under more load",
               at.length(pair.y), "spans that fall, or stay, as the load rises");
    }
  }
}

/// True when the run passes through the chain.
bool takes_chain(const Plan& plan, const std::string& run_name, const std::string& chain) {
  for (const Run& run : plan.runs) {
    if (run.name != run_name) continue;
    return std::any_of(run.legs.begin(), run.legs.end(), [&](const Leg& leg) {
      return leg.way == LegWay::chain && leg.chain == chain;
    });
  }
  return false;
}

void validate_places(const Plan& plan, const Chain& chain, const CheckedElement& at_chain,
                     Reading& reading) {
  std::set<std::string> placed;
  for (std::size_t i = 0; i < chain.places.size(); ++i) {
    const Place2& place = chain.places[i];
    const CheckedElement at(reading, at_chain, "place", i);
    if (at.good({"line"})) {
      const auto line = std::find_if(plan.lines.begin(), plan.lines.end(),
                                     [&](const Line& l) { return l.name == place.line; });
      if (line != plan.lines.end() && !placed.insert(place.line).second) {
        at.error("line", "the line has two places in this chain", toml_quoted(place.line),
                 "each line once");
      } else if (line != plan.lines.end() && line->present && plan.chosen_option.empty() &&
                 !takes_chain(plan, line->run, chain.name)) {
        // In an option the line may go another way; its place in this chain then means nothing.
        at.error("line", "the line does not pass through this chain",
                 toml_quoted(place.line) + " takes run " + toml_quoted(line->run),
                 "a line whose run has a leg in this chain");
      }
    }
    if (at.good({"at"}) && at_chain.good({"inner_width", "inner_height"}) &&
        !(place.at.x <= chain.inner_width && place.at.y <= chain.inner_height)) {
      at.error("at", "the place lies outside the chain",
               at.length(place.at.x) + " and " + at.length(place.at.y),
               "inside " + at.length(chain.inner_width) + " by " + at.length(chain.inner_height));
    }
  }
}

}  // namespace

void validate_chains(const Plan& plan, const Value& root, const BodyMotion& motion,
                     Reading& reading) {
  for (std::size_t i = 0; i < plan.chains.size(); ++i) {
    const Chain& chain = plan.chains[i];
    const CheckedElement at(reading, root, "chain", i);
    validate_brackets(plan, chain, motion, at);
    validate_sizes(chain, at);
    validate_dividers(chain, at);
    validate_load_span(chain, at);
    validate_places(plan, chain, at, reading);
  }
}

}  // namespace bight::plan
