#pragma once
// Small plans for the tests of the checks: text in, result out.

#include <gtest/gtest.h>

#include <string>

#include "machine/machine.h"
#include "plan/read.h"
#include "study/study.h"

namespace bight::study {

/// A carriage on X (0 to 1000 mm) and a head on Z (-100 to 0 mm) above a ground; tool tip at (0, 0,
/// 100) with joints at zero.
inline std::string small_machine() {
  return R"(format = 1
name = "small"
[[joint]]
name = "X"
travel = [0, 1000]
stops = [-10, 1010]
speed = 6000
acceleration = 1000
[[joint]]
name = "Z"
travel = [-100, 0]
[[body]]
name = "carriage"
joint = "X"
[[body]]
name = "head"
carried_by = "carriage"
joint = "Z"
[tool]
body = "head"
tip = [0, 0, 100]
[[part]]
name = "spindle"
body = "head"
shape = "cylinder"
at = [0, 0, 100]
diameter = 60
length = 200
)";
}

/// Reads and studies a plan that must have no errors. Mesh files are looked for beside `file`.
inline StudyResult study_text(const std::string& text, const std::string& option = "",
                              const StudyOptions& options = {},
                              const std::string& file = "test.toml") {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(text, file, option, diagnostics);
  std::string all;
  for (const Diagnostic& d : diagnostics.items()) all += to_text(d) + "\n";
  EXPECT_TRUE(plan.has_value()) << all;
  if (!plan) return {};
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  EXPECT_FALSE(diagnostics.has_errors());
  return run_study(*plan, machine, options);
}

/// The first finding of a check, or nullptr.
inline const Finding* find(const StudyResult& result, const std::string& check) {
  for (const Finding& finding : result.findings) {
    if (finding.check == check) return &finding;
  }
  return nullptr;
}

}  // namespace bight::study
