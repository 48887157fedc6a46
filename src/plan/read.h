#pragma once
// Reads a plan file: TOML text to a validated plan, or diagnostics with file, line and column, all
// errors in one go.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "plan/plan.h"

namespace bight::plan {

/// Reads and validates the plan, as written (option empty) or with one option's overrides applied.
/// Every option is tried, so that its errors come in the same go. Returns nothing exactly when
/// `diagnostics` has errors. `file` names the text in diagnostics.
std::optional<Plan> read_plan(std::string_view text, const std::string& file,
                              const std::string& option, Diagnostics& diagnostics);

/// The plan as written, then one plan for each option in the order of the file, from one parse.
/// Returns nothing exactly when `diagnostics` has errors, those of the options included.
std::optional<std::vector<Plan>> read_plan_and_options(std::string_view text,
                                                       const std::string& file,
                                                       Diagnostics& diagnostics);

/// The same from disk, at most k_plan_bytes_limit bytes.
std::optional<Plan> load_plan(const std::filesystem::path& path, const std::string& option,
                              Diagnostics& diagnostics);
std::optional<std::vector<Plan>> load_plan_and_options(const std::filesystem::path& path,
                                                       Diagnostics& diagnostics);

}  // namespace bight::plan
