#include "study/check_bend_over_wheel.h"

#include <string>
#include <utility>

#include "base/tolerance.h"
#include "study/lookup.h"
#include "study/widest_bend.h"

namespace bight::study {
namespace {

/// Of a support that has a wheel or drum; empty for the others.
std::string wheel_of(const plan::Support& support) {
  if (support.kind == plan::SupportKind::pulley) return "wheel";
  if (support.kind == plan::SupportKind::retractor) return "drum";
  return "";
}

void check_wheel(const Context& context, const plan::Support& support, const std::string& wheel,
                 const plan::Run& run, std::vector<Finding>& findings) {
  const WidestBend widest = widest_bend(context, run, line::BendUse::moving);
  const double allowed = widest.limit.inner_mm;
  if (support.radius && *support.radius >= allowed - k_length_equal_mm) return;
  Finding finding = make_finding("bend over a wheel", Severity::note, Certainty::formula,
                                 {support.name, widest.line->name});
  finding.limit = allowed;
  const std::string needs = widest.line->name + " allows " + context.length(allowed) +
                            " when it moves (" + widest.limit.because + ")";
  if (support.radius) {
    finding.severity = Severity::stop;
    finding.value = *support.radius;
    finding.what = "the " + wheel + " of " + support.name + " bends its line to a radius of " +
                   context.length(*support.radius) + "; " + needs;
    finding.advice = "take a " + wheel + " of at least " + context.at_least(allowed) + " radius";
  } else {
    finding.what = "nothing says how large the " + wheel + " of " + support.name + " is; " + needs;
    finding.advice = "take a " + wheel + " of at least " + context.at_least(allowed) +
                     " radius, and give " + support.name + " that 'radius'";
  }
  findings.push_back(std::move(finding));
}

}  // namespace

std::vector<Finding> check_bends_over_wheels(const Context& context) {
  std::vector<Finding> findings;
  for (const plan::Support& support : context.plan.supports) {
    const std::string wheel = wheel_of(support);
    if (wheel.empty()) continue;
    for (const plan::Run& run : context.plan.runs) {
      if (lines_of_run(context.plan, run.name).empty()) continue;
      for (const plan::Leg& leg : run.legs) {
        if (leg.way != plan::LegWay::free || leg.from != support.name) continue;
        check_wheel(context, support, wheel, run, findings);
      }
    }
  }
  return findings;
}

}  // namespace bight::study
