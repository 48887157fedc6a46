#include "study/finding.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace bight::study {

Finding make_finding(std::string check, Severity severity, Certainty certainty,
                     std::vector<std::string> things, std::string unit) {
  Finding finding;
  finding.check = std::move(check);
  finding.severity = severity;
  finding.certainty = certainty;
  finding.things = std::move(things);
  finding.unit = std::move(unit);
  return finding;
}

void append(std::vector<Finding>& all, std::vector<Finding> more) {
  std::move(more.begin(), more.end(), std::back_inserter(all));
}

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
