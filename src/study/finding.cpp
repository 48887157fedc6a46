#include "study/finding.h"

#include <algorithm>

namespace bight::study {

void sort_by_severity(std::vector<Finding>& findings) {
  std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
    return static_cast<int>(a.severity) > static_cast<int>(b.severity);
  });
}

const char* to_text(Severity severity) {
  switch (severity) {
    case Severity::stop:
      return "stop";
    case Severity::act:
      return "act";
    case Severity::note:
      break;
  }
  return "note";
}

const char* to_text(Certainty certainty) {
  switch (certainty) {
    case Certainty::proved:
      return "proved";
    case Certainty::sampled:
      return "sampled";
    case Certainty::formula:
      break;
  }
  return "formula";
}

}  // namespace bight::study
