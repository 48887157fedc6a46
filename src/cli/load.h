#pragma once
// From a plan file and the choice of options to plans with their machines; diagnostics go to
// standard error.

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "machine/machine.h"
#include "plan/plan.h"
#include "study/study.h"

namespace bight::cli {

struct OptionChoice {
  std::string option;        ///< only this one; "base": the plan as written
  bool all_options = false;  ///< the plan as written and every option
};

/// Adds the arguments --option and --all-options to a command.
void add_option_choice(CLI::App& command, OptionChoice& choice);

struct Loaded {
  plan::Plan plan;
  machine::Machine machine;
};

/// Without a choice: every option of the plan, or the plan as written when it has none. Nothing
/// when there was an error.
std::optional<std::vector<Loaded>> load(const std::string& file, const OptionChoice& choice);

/// Studies all of them, with a progress line on a terminal.
std::vector<study::StudyResult> study_all(const std::vector<Loaded>& loaded, unsigned threads);

/// k_exit_stop when any result stops.
int exit_code_of(const std::vector<study::StudyResult>& results);

}  // namespace bight::cli
