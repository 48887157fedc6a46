#include "study/check_speed.h"

#include <cmath>

namespace bight::study {

std::vector<Finding> check_speeds(const Context& context) {
  constexpr double k_least_mm_min = 60.0;
  std::vector<Finding> findings;
  for (const plan::Joint& joint : context.plan.joints) {
    if (!joint.speed || *joint.speed >= k_least_mm_min) continue;
    const double minutes = (joint.travel[1] - joint.travel[0]) / *joint.speed;
    Finding f = make_finding("speed", Severity::act, Certainty::formula, {joint.name}, "mm/min");
    f.value = *joint.speed;
    f.limit = k_least_mm_min;
    f.what = joint.name + ": a rapid rate of " + context.length(*joint.speed, 3) +
             "/min can hardly be meant: it takes " + fixed(std::ceil(minutes), 0) +
             " minutes over its travel";
    f.advice = std::string("give 'speed' in ") +
               (context.unit == LengthUnit::inch ? "in/min" : "mm/min") +
               ", not a second and not in metres";
    findings.push_back(std::move(f));
  }
  return findings;
}

}  // namespace bight::study
