#pragma once
// Finding the elements of a plan that refer to each other. The plan was validated, so what is asked
// for exists.

#include <string>
#include <vector>

#include "base/check.h"
#include "plan/plan.h"

namespace bight::study {

template <typename Element>
const Element& by_name(const std::vector<Element>& elements, const std::string& name) {
  for (const Element& element : elements) {
    if (element.name == name) return element;
  }
  BIGHT_CHECK(false && "a validated plan has every element that it refers to");
  return elements.front();
}

/// Lines that are there and take the run.
inline std::vector<const plan::Line*> lines_of_run(const plan::Plan& plan, const std::string& run) {
  std::vector<const plan::Line*> lines;
  for (const plan::Line& line : plan.lines) {
    if (line.present && line.run == run) lines.push_back(&line);
  }
  return lines;
}

/// Lines that are there and pass through the chain, each once.
inline std::vector<const plan::Line*> lines_of_chain(const plan::Plan& plan,
                                                     const std::string& chain) {
  std::vector<const plan::Line*> lines;
  for (const plan::Line& line : plan.lines) {
    if (!line.present) continue;
    for (const plan::Leg& leg : by_name(plan.runs, line.run).legs) {
      if (leg.way == plan::LegWay::chain && leg.chain == chain) {
        lines.push_back(&line);
        break;
      }
    }
  }
  return lines;
}

}  // namespace bight::study
