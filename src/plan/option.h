#pragma once
// Paths into a plan file, and the overrides of an option that use them. For the reader; the window
// and `suggest` use the same paths through plan/patch.
//
// A path is "table.name.key" for named elements ("part.bed.size"), "table.number.key" counted from
// 1 for elements without names ("run.overhead.leg.2.length", "gap.1.limb"), and "table.key" for
// single tables ("rules.spare_percent", "line.router.circuit.current").

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "plan/toml.h"

namespace bight::plan {

/// Most overrides of one option: each searches the plan, and a hostile file must not make that
/// long.
inline constexpr std::size_t k_overrides_limit = 1000;

/// An override as it stands in [option.set].
struct WrittenOverride {
  std::string path;
  Region path_region;
  const Value* value = nullptr;
};

/// The overrides of one [option.set] table; a path may be quoted as a whole or written as dotted
/// keys.
std::vector<WrittenOverride> written_overrides(const Value& set);

/// A path resolved as far as the file has it.
struct PathTarget {
  Value* table = nullptr;            ///< deepest table on the path that the file has
  std::vector<std::string> missing;  ///< single tables still to be made inside it ("circuit")
  std::string key_table;             ///< path of the table in plan/keys that holds the key
  std::string key;
};

/// Follows a path through the file; each component is checked. Returns a target with table ==
/// nullptr after adding a diagnostic at `place` that names the component and the nearest one that
/// exists.
PathTarget resolve_path(Value& root, std::string_view path, const Place& place,
                        Diagnostics& diagnostics);

/// Replaces values of `root` by those of the option; a value keeps its place in the option, so
/// that an error in it points there. Returns false when there is no option of this name.
bool apply_option(Value& root, std::string_view option, const std::string& file,
                  Diagnostics& diagnostics);

/// Checks the paths of all options without changing anything.
void check_option_paths(Value& root, const std::string& file, Diagnostics& diagnostics);

/// What a person reads for an option: "as written" for the plan itself. JSON, CSV and --option call
/// it "base".
std::string option_label(const std::string& option);

}  // namespace bight::plan
