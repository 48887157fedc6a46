#pragma once
// An option that might be written: the text of the plan file with it, read again and checked.

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

struct Variant {
  std::string text;  ///< of the whole file; as read when there are no overrides
  plan::Plan plan;
  machine::Machine machine;
  StudyResult result;
};

/// Appends the option with the overrides, reads the text from the start, builds the machine and
/// runs every check. Nothing when the plan then has errors.
std::optional<Variant> make_variant(const VariantSource& source,
                                    const std::vector<plan::PathValue>& overrides,
                                    machine::MeshCache& cache, const StudyOptions& options);

/// Reads, builds and checks an option that the file has ("": as written).
std::optional<Variant> read_variant(const VariantSource& source, const std::string& option,
                                    machine::MeshCache& cache, const StudyOptions& options,
                                    Diagnostics& diagnostics);

}  // namespace bight::study
