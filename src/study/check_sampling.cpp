#include "study/check_sampling.h"

#include "base/counted.h"

namespace bight::study {
namespace {

Finding doubt(const Context& context, std::vector<std::string> things, const std::string& what,
              std::size_t poses, double step_mm) {
  Finding finding =
      make_finding("sampling", Severity::note, Certainty::sampled, std::move(things), "");
  finding.what = what + " at the " + counted(poses, "pose", "poses") +
                 " looked at; between some of them, up to " + context.length(step_mm) +
                 " apart, it could be worse";
  finding.poses = poses;
  finding.step_mm = step_mm;
  finding.advice = "try it by hand with power off over the whole travel";
  return finding;
}

}  // namespace

std::vector<Finding> check_sampling(const Context& context, const StudyResult& result) {
  std::vector<Finding> findings;
  for (const ChainFigures& chain : result.chains) {
    if (chain.shape && chain.shape->poses > 0 && !chain.shape->settled) {
      findings.push_back(doubt(context, {chain.name},
                               chain.name + ": its shape under its own weight is known",
                               chain.shape->poses, chain.shape->step_mm));
    }
    if (chain.near && chain.near->poses > 0 && !chain.near->settled) {
      findings.push_back(doubt(context, {chain.name, chain.near->clearance_to},
                               chain.name + ": how near it comes to other things is known",
                               chain.near->poses, chain.near->step_mm));
    }
  }
  for (const FreeRunFigures& run : result.free_runs) {
    if (!run.settled || *run.settled) continue;
    findings.push_back(doubt(context, {run.run, run.from, run.to},
                             run.run + ", " + run.from + " to " + run.to +
                                 ": how near it comes to other things is known",
                             run.poses, run.step_mm));
  }
  for (const SupportFigures& support : result.supports) {
    if (!support.settled || *support.settled) continue;
    findings.push_back(doubt(context, {support.name},
                             support.name + ": its range and load are known", support.poses,
                             support.step_mm));
  }
  return findings;
}

}  // namespace bight::study
