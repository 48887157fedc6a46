#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "plan/validate_detail.h"

namespace bight::plan {
namespace {

template <typename T>
const T* find_named(const std::vector<T>& elements, const std::string& name) {
  const auto found = std::find_if(elements.begin(), elements.end(),
                                  [&](const T& element) { return element.name == name; });
  return found == elements.end() ? nullptr : &*found;
}

void validate_article(const Article& article, const CheckedElement& at) {
  const auto either = [&](const char* radius, const char* multiple) {
    if (at.has(radius) && at.has(multiple)) {
      at.error(multiple,
               "'" + std::string(radius) + "' and '" + multiple + "' say the same thing twice", {},
               "one of the two");
    }
  };
  either("bend_radius_moving", "bend_multiple_moving");
  either("bend_radius_fixed", "bend_multiple_fixed");
  if (at.good({"cores", "core_area"}) && (article.cores > 0) != (article.core_area > 0.0)) {
    at.error(article.cores > 0 ? "cores" : "core_area", "'cores' and 'core_area' belong together",
             "one of them is 0 or missing", "both more than 0, or both left out");
  }
}

void validate_line(const Plan& plan, const Line& line, const CheckedElement& at) {
  const Article* article = find_named(plan.articles, line.article);
  if (!line.circuit || article == nullptr || !at.good({"circuit", "article"})) return;
  const int needed = line.circuit->system == Circuit::System::three_phase ? 3 : 2;
  if (article->cores < needed) {
    at.error("article", "the article has too few conductors for the circuit of this line",
             std::to_string(article->cores) + " in " + toml_quoted(article->name),
             "an article with 'cores' of at least " + std::to_string(needed));
  }
}

/// Bodies at the start and end of a leg.
using Ends = std::pair<std::string, std::string>;

/// The ways in which a leg can be passed: a chain in either direction, others as written. Empty
/// when its ends are not known.
std::vector<Ends> ends_of(const Plan& plan, const Leg& leg) {
  const auto held_by = [&plan](const std::string& name) -> const std::string* {
    if (const Anchor* anchor = find_named(plan.anchors, name)) return &anchor->body;
    if (const Support* support = find_named(plan.supports, name)) return &support->body;
    return nullptr;
  };
  switch (leg.way) {
    case LegWay::fixed:
      return {{leg.body, leg.body}};
    case LegWay::chain: {
      const Chain* chain = find_named(plan.chains, leg.chain);
      if (chain == nullptr) return {};
      return {{chain->fixed_body, chain->moving_body}, {chain->moving_body, chain->fixed_body}};
    }
    case LegWay::free: {
      const std::string* from = held_by(leg.from);
      const std::string* to = held_by(leg.to);
      if (from == nullptr || to == nullptr) return {};
      return {{*from, *to}};
    }
  }
  return {};
}

std::string bodies_text(const std::set<std::string>& bodies) {
  std::string text;
  for (const std::string& body : bodies) text += (text.empty() ? "" : " or ") + toml_quoted(body);
  return text;
}

void validate_leg(const Leg& leg, const CheckedElement& at) {
  if (leg.way == LegWay::free && at.good({"way", "from", "to"}) && leg.from == leg.to) {
    at.error("to", "a free leg begins and ends at the same hold", toml_quoted(leg.to),
             "another anchor or support than 'from'");
  }
  if (leg.way == LegWay::fixed && at.good({"way", "points"})) {
    for (std::size_t i = 0; i + 1 < leg.points.size(); ++i) {
      if (leg.points[i] != leg.points[i + 1]) continue;
      at.error(
          "points",
          "points " + std::to_string(i + 1) + " and " + std::to_string(i + 2) + " are the same", {},
          "points that differ from the one before");
    }
  }
}

/// What a leg passes through must be there when a line that is there takes it.
void validate_presence(const Plan& plan, const Leg& leg, const CheckedElement& at) {
  const auto absent = [&at](const char* key, const std::string& name) {
    at.error(key, "lines take this leg, but " + toml_quoted(name) + " is not present",
             "present = false", "something that is present, or lines that take another run");
  };
  if (leg.way == LegWay::chain) {
    const Chain* chain = find_named(plan.chains, leg.chain);
    if (chain != nullptr && !chain->present) absent("chain", leg.chain);
  } else if (leg.way == LegWay::free) {
    const Support* from = find_named(plan.supports, leg.from);
    const Support* to = find_named(plan.supports, leg.to);
    if (from != nullptr && !from->present) absent("from", leg.from);
    if (to != nullptr && !to->present) absent("to", leg.to);
  }
}

/// A line passes from leg to leg on bodies that stand still to each other.
void validate_sequence(const Plan& plan, const Value& root, std::size_t run_index,
                       const BodyMotion& motion, Reading& reading) {
  const Run& run = plan.runs[run_index];
  const CheckedElement at_run(reading, root, "run", run_index);
  std::set<std::string> reached;  // bodies on which the legs so far can end; empty: not known
  for (std::size_t i = 0; i < run.legs.size(); ++i) {
    const std::vector<Ends> ends = ends_of(plan, run.legs[i]);
    std::set<std::string> starts;
    std::set<std::string> all_next;
    std::set<std::string> next;
    bool known = !ends.empty() && !reached.empty();
    for (const auto& [start, end] : ends) {
      starts.insert(start);
      all_next.insert(end);
      for (const std::string& body : reached) {
        const auto joints = motion.joints_between(body, start);
        if (!joints) known = false;
        if (joints && joints->empty()) next.insert(end);
      }
    }
    if (known && next.empty()) {
      const CheckedElement at(reading, at_run, "leg", i);
      const char* key = run.legs[i].way == LegWay::fixed   ? "body"
                        : run.legs[i].way == LegWay::chain ? "chain"
                                                           : "from";
      at.error(key,
               "this leg does not begin where the one before ends: a line cannot pass between "
               "bodies that move against each other",
               "it begins on " + bodies_text(starts) + ", the one before ends on " +
                   bodies_text(reached),
               "a chain or a free leg between the two");
    }
    reached = next.empty() ? all_next : next;
  }
}

}  // namespace

void validate_lines(const Plan& plan, const Value& root, const BodyMotion& motion,
                    Reading& reading) {
  for (std::size_t i = 0; i < plan.articles.size(); ++i) {
    validate_article(plan.articles[i], CheckedElement(reading, root, "article", i));
  }
  std::set<std::string> used_runs;
  for (std::size_t i = 0; i < plan.lines.size(); ++i) {
    validate_line(plan, plan.lines[i], CheckedElement(reading, root, "line", i));
    if (plan.lines[i].present) used_runs.insert(plan.lines[i].run);
  }
  for (std::size_t i = 0; i < plan.runs.size(); ++i) {
    const Run& run = plan.runs[i];
    {
      const CheckedElement at_run(reading, root, "run", i);
      if (run.legs.empty() && at_run.good({"leg"})) {
        at_run.error("", "a run needs at least one leg", {}, "[[run.leg]] after it");
      }
      for (std::size_t k = 0; k < run.legs.size(); ++k) {
        const CheckedElement at(reading, at_run, "leg", k);
        validate_leg(run.legs[k], at);
        if (used_runs.count(run.name) > 0) validate_presence(plan, run.legs[k], at);
      }
    }
    validate_sequence(plan, root, i, motion, reading);
  }
}

}  // namespace bight::plan
