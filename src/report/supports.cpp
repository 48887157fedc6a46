#include "report/supports.h"

#include "base/units.h"
#include "report/page.h"
#include "report/table.h"

namespace bight::report {
namespace {

std::string coordinate_text(const plan::Plan& plan, const study::SupportFigures& s, double value) {
  return s.unit == "deg" ? fixed(value, 0) + " degrees" : length(plan, value, 0);
}

std::string what_moves(const study::SupportFigures& s) {
  if (s.kind == "trolley") return "rests from %1 to %2 along its track";
  if (s.kind == "boom") return "points from %1 to %2";
  if (s.kind == "cord") return "is stretched by %1 to %2";
  if (s.kind == "festoon") return "has its trolleys %1 to %2 apart";
  return "has %1 to %2 of line on the machine's side";
}

std::string replaced(std::string text, const std::string& mark, const std::string& with) {
  return text.replace(text.find(mark), mark.size(), with);
}

}  // namespace

std::string supports_text(const plan::Plan& plan, const study::StudyResult& result) {
  std::string text;
  for (const study::SupportFigures& s : result.supports) {
    std::string line = s.kind + " " + s.name + ": bears up to " + fixed(s.load_N, 1) + " N" +
                       (s.max_load_N ? ", " + fixed(*s.max_load_N, 1) + " N allowed" : "");
    if (s.moves && !s.low_pose.empty()) {
      line += "; " + replaced(replaced(what_moves(s), "%1", coordinate_text(plan, s, s.low)), "%2",
                              coordinate_text(plan, s, s.high));
      if (s.range_low && s.range_high) {
        line += ", its range is " + coordinate_text(plan, s, *s.range_low) + " to " +
                coordinate_text(plan, s, *s.range_high);
      }
    }
    text +=
        "  " + wrapped(line + " (" + sampled_text(plan, s.poses, s.step_mm) + ")", 100, 4) + "\n";
  }
  return text;
}

}  // namespace bight::report
