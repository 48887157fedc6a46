#pragma once
// Advice that can be applied: for one finding the changes that the study's search finds, each
// checked in full before it is offered. Runs in the background like the checks.

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/progress.h"
#include "editor/edit.h"
#include "editor/model.h"
#include "study/suggest.h"

namespace bight::editor {

/// A change that was checked in full.
struct Remedy {
  std::string what;                                ///< for a person: "move rafter hook to (..)"
  std::vector<plan::PathValue> changes;            ///< paths and values of the plan
  bool solves = false;                             ///< the finding is gone
  study::Verdict verdict = study::Verdict::clear;  ///< of the whole plan or option after it
  std::size_t stops = 0;                           ///< findings after it
  std::size_t acts = 0;
};

struct Remedies {
  std::string finding;           ///< editor/finding_list.h finding_id
  std::vector<Remedy> remedies;  ///< those that solve it, fewest stops and acts first
  std::size_t tried = 0;
  bool cancelled = false;
  std::string problem;  ///< the plan cannot be read
};

/// Tries the study's candidates for the finding, at most `tries` full checks, until `wanted` solve
/// it without a new stop. Deterministic. `unit` of lengths in sentences; absent: that of the plan.
Remedies find_remedies(const std::string& text, const std::string& file, const std::string& option,
                       const std::string& finding, std::size_t wanted = 3, std::size_t tries = 12,
                       Progress* progress = nullptr, std::optional<LengthUnit> unit = {});

/// The edit that applies it.
SetValues remedy_edit(const Remedy& remedy);

}  // namespace bight::editor
