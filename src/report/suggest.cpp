#include "report/suggest.h"

#include <cmath>
#include <utility>

#include "report/cautions.h"
#include "report/json_value.h"
#include "report/page.h"
#include "report/table.h"

namespace bight::report {
namespace {

using study::Suggestion;
using study::SuggestStatus;

/// "stop (1 stop, 2 to act on)"; "clear".
std::string verdict_text(const study::StudyResult& result) {
  std::size_t stops = 0;
  std::size_t acts = 0;
  for (const study::Finding& finding : result.findings) {
    stops += finding.severity == study::Severity::stop ? 1 : 0;
    acts += finding.severity == study::Severity::act ? 1 : 0;
  }
  std::string counts = stops > 0 ? counted(stops, "stop", "stops") : "";
  if (acts > 0) counts += (counts.empty() ? "" : ", ") + std::to_string(acts) + " to act on";
  return study::to_text(result.verdict) + (counts.empty() ? "" : " (" + counts + ")");
}

std::string effort_text(const Suggestion& s) {
  return counted(s.tried, "change", "changes") + " tried, " +
         counted(s.checks, "full check", "full checks");
}

const study::LineFigures* line_of(const study::StudyResult& result, const std::string& name) {
  for (const study::LineFigures& line : result.lines) {
    if (line.name == name) return &line;
  }
  return nullptr;
}

/// Lines that are then cut to another length, all their pieces and the spare counted.
std::string cut_text(const Suggestion& s, LengthUnit unit) {
  constexpr double k_told_mm = 0.5;
  std::string text;
  for (const study::LineFigures& line : s.after.lines) {
    const study::LineFigures* before = line_of(s.before, line.name);
    if (before == nullptr || std::abs(before->cut_mm - line.cut_mm) < k_told_mm) continue;
    text += "  - " +
            wrapped("so cut " + line.name + " to " + length_text(line.cut_mm, unit, 0) +
                        " in all (" + length_text(before->cut_mm, unit, 0) + " before)",
                    k_page_width, 4) +
            "\n";
  }
  return text;
}

std::string trials_text(const Suggestion& s) {
  std::string text;
  for (const study::SuggestTrial& trial : s.trials) {
    if (trial.solved) continue;
    std::string tried;
    for (const std::string& kind : trial.tried) tried += (tried.empty() ? "" : ", ") + kind;
    text += "  not mended: " + wrapped(trial.finding, k_page_width, 8) + "\n        " +
            wrapped(tried.empty() ? "no change of the plan that may help is known"
                                  : "tried in vain: " + tried,
                    k_page_width, 8) +
            "\n";
  }
  return text;
}

}  // namespace

const char* to_text(SuggestStatus status) {
  switch (status) {
    case SuggestStatus::clear_already:
      return "clear already";
    case SuggestStatus::clear:
      return "clear";
    case SuggestStatus::better:
      return "better";
    case SuggestStatus::unusable:
      return "unusable";
    case SuggestStatus::cancelled:
      return "cancelled";
    case SuggestStatus::nothing:
      break;
  }
  return "nothing found";
}

std::string suggest_text(const Suggestion& s, LengthUnit unit) {
  std::string text = option_label(s.base) + ": ";
  switch (s.status) {
    case SuggestStatus::clear_already:
      return text + "clear already, nothing to change\n";
    case SuggestStatus::cancelled:
      return text + "cancelled\n";
    case SuggestStatus::unusable:
      return text + s.problem + "\n";
    case SuggestStatus::nothing:
      return wrapped(text + verdict_text(s.before) +
                         "; no change was found that makes it better (" + effort_text(s) + ")",
                     k_page_width, 2) +
             "\n" + trials_text(s);
    case SuggestStatus::clear:
    case SuggestStatus::better:
      break;
  }
  text = wrapped(text + verdict_text(s.before) + " becomes " + verdict_text(s.after) +
                     " with these changes, verified by the full check (" + effort_text(s) + "):",
                 k_page_width, 2) +
         "\n";
  for (const study::PlanChange& change : s.changes) {
    if (!change.what.empty()) text += "  - " + wrapped(change.what, k_page_width, 4) + "\n";
  }
  text += cut_text(s, unit);
  text +=
      "  Places: X to the operator's right, Y away, Z up, as in the plan, all joints at zero.\n";
  text += "  as a new option of the plan, \"" + s.name + "\":\n";
  for (const study::PlanChange& change : s.changes) {
    text += "      \"" + change.path + "\" = " + change.value + "\n";
  }
  for (const study::Finding& finding : s.after.findings) {
    text += "  " + std::string(study::to_text(finding.severity)) + ": " +
            wrapped(finding.what, k_page_width, 8) + "\n";
  }
  return text + trials_text(s);
}

std::string suggest_json(const std::string& file, const std::vector<Suggestion>& suggestions) {
  Json json = {{"format", 1}, {"plan", file}, {"options", Json::array()}};
  for (const Suggestion& s : suggestions) {
    Json changes = Json::array();
    for (const study::PlanChange& c : s.changes) {
      changes.push_back({{"path", c.path}, {"value", c.value}, {"what", c.what}});
    }
    Json trials = Json::array();
    for (const study::SuggestTrial& t : s.trials) {
      trials.push_back(
          {{"check", t.check}, {"finding", t.finding}, {"solved", t.solved}, {"tried", t.tried}});
    }
    json["options"].push_back({{"option", s.base},
                               {"status", to_text(s.status)},
                               {"problem", s.problem},
                               {"verdict_before", study::to_text(s.before.verdict)},
                               {"verdict_after", study::to_text(s.after.verdict)},
                               {"name", s.name.empty() ? Json(nullptr) : Json(s.name)},
                               {"changes", std::move(changes)},
                               {"trials", std::move(trials)},
                               {"tried", s.tried},
                               {"checks", s.checks}});
  }
  json["cautions"] = cautions();
  return json.dump(2) + "\n";
}

}  // namespace bight::report
