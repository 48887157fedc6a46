#pragma once
// Findings: what a person has to act on, in one sentence with the measured value, the limit, the
// pose, how sure it is and what to change. Everything the program tells about a plan is a finding
// or a figure of study/study.h.

#include <cstddef>
#include <string>
#include <vector>

namespace bight::study {

/// How severe a finding is. stop: do not build or switch on; act: change or watch something first;
/// note: good to know.
enum class Severity { note, act, stop };

/// How sure a statement is. proved: holds for every pose of the travel (interval bounds or corner
/// arguments); sampled: holds at the poses looked at; formula: a handbook formula or a table, as
/// good as its assumptions.
enum class Certainty { proved, sampled, formula };

struct Finding {
  std::string check;  ///< stable id of the check, for example "clearance"; docs/findings.md has a
                      ///< section for each
  Severity severity = Severity::note;
  std::string what;                 ///< one sentence for a person
  std::vector<std::string> things;  ///< names of the parts, lines, chains... concerned
  std::vector<double>
      pose;  ///< joint values in the order of the machine's joints; empty: no pose belongs to it
  double value = 0.0;  ///< measured or computed
  double limit = 0.0;  ///< what it is held against
  std::string unit;    ///< of value and limit: "mm", "N", "%", ...
  Certainty certainty = Certainty::formula;
  std::size_t poses = 0;  ///< sampled: number of poses looked at
  double step_mm = 0.0;   ///< sampled: largest step of a joint between neighbouring poses
  std::string advice;     ///< what to change, with a number
};

/// A finding of a check about some things, with everything else still to be filled in.
Finding make_finding(std::string check, Severity severity, Certainty certainty,
                     std::vector<std::string> things, std::string unit = "mm");

/// Adds findings behind others.
void append(std::vector<Finding>& all, std::vector<Finding> more);

/// Worst first; equal ones keep their order.
void sort_by_severity(std::vector<Finding>& findings);

const char* to_text(Severity severity);
const char* to_text(Certainty certainty);

}  // namespace bight::study
