#include "editor/finding_list.h"

#include <algorithm>
#include <cctype>

namespace bight::editor {
namespace {

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

bool has_all_words(const study::Finding& finding, const std::string& words) {
  std::string all = finding.check + " " + finding.what + " " + finding.advice;
  for (const std::string& thing : finding.things) all += " " + thing;
  all = lower(std::move(all));
  const std::string wanted = lower(words);
  std::size_t at = 0;
  while ((at = wanted.find_first_not_of(' ', at)) != std::string::npos) {
    const std::size_t end = std::min(wanted.find(' ', at), wanted.size());
    if (all.find(wanted.substr(at, end - at)) == std::string::npos) return false;
    at = end;
  }
  return true;
}

bool passes(const study::Finding& finding, const FindingFilter& filter) {
  switch (finding.severity) {
    case study::Severity::stop:
      if (!filter.stops) return false;
      break;
    case study::Severity::act:
      if (!filter.acts) return false;
      break;
    case study::Severity::note:
      if (!filter.notes) return false;
      break;
  }
  if (!filter.thing.empty() && std::find(finding.things.begin(), finding.things.end(),
                                         filter.thing) == finding.things.end()) {
    return false;
  }
  return has_all_words(finding, filter.text);
}

/// How far from its limit, of the limit; the worst first.
double shortfall(const study::Finding& finding) {
  const double scale = std::max({1e-9, finding.limit, -finding.limit});
  return -std::max(finding.value - finding.limit, finding.limit - finding.value) / scale;
}

bool before(const study::Finding& a, const study::Finding& b, FindingOrder order) {
  switch (order) {
    case FindingOrder::severity:
      return a.severity > b.severity;
    case FindingOrder::check:
      return a.check < b.check;
    case FindingOrder::thing:
      return (a.things.empty() ? std::string() : a.things.front()) <
             (b.things.empty() ? std::string() : b.things.front());
    case FindingOrder::margin:
      return shortfall(a) < shortfall(b);
  }
  return false;
}

}  // namespace

std::vector<std::size_t> listed_findings(const std::vector<study::Finding>& findings,
                                         const FindingFilter& filter, FindingOrder order) {
  std::vector<std::size_t> listed;
  for (std::size_t i = 0; i < findings.size(); ++i) {
    if (passes(findings[i], filter)) listed.push_back(i);
  }
  std::stable_sort(listed.begin(), listed.end(), [&](std::size_t a, std::size_t b) {
    return before(findings[a], findings[b], order);
  });
  return listed;
}

FindingCounts count_findings(const std::vector<study::Finding>& findings) {
  FindingCounts counts;
  for (const study::Finding& finding : findings) {
    counts.stops += finding.severity == study::Severity::stop ? 1U : 0U;
    counts.acts += finding.severity == study::Severity::act ? 1U : 0U;
    counts.notes += finding.severity == study::Severity::note ? 1U : 0U;
  }
  return counts;
}

std::string finding_id(const study::Finding& finding) {
  std::string id = finding.check;
  for (const std::string& thing : finding.things) id += "\n" + thing;
  return id;
}

}  // namespace bight::editor
