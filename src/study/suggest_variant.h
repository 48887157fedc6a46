#pragma once
// An option that might be written: the text of the plan file with it, read again, and checked.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "machine/machine.h"
#include "plan/patch.h"
#include "plan/plan.h"
#include "study/study.h"

namespace bight::study {

/// What every variant of one plan file shares.
struct VariantSource {
  std::string_view text;
  std::string file;
  std::string name;  ///< of the new option, not taken by another
  std::string about;
};

/// An option that was read, not checked.
struct Draft {
  std::string text;  ///< of the whole file; as read when there are no overrides
  plan::Plan plan;
  machine::Machine machine;
};

struct Variant {
  Draft draft;
  StudyResult result;  ///< without advice (StudyOptions::findings_only)
};

/// Appends the option with the overrides, reads the text from the start and builds the machine.
/// Nothing when the plan then has errors.
std::optional<Draft> make_draft(const VariantSource& source,
                                const std::vector<plan::PathValue>& overrides,
                                machine::MeshCache& cache);

/// Reads an option that the file has ("": as written).
std::optional<Draft> read_draft(const VariantSource& source, const std::string& option,
                                machine::MeshCache& cache, Diagnostics& diagnostics);

/// Runs every check.
Variant checked(Draft draft, StudyOptions options);

}  // namespace bight::study
