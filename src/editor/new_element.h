#pragma once
// Values with which a new element starts: for each required key something sound, so that the plan
// stays readable and the person has something to change.

#include <string>
#include <vector>

#include "plan/document.h"
#include "plan/patch.h"

namespace bight::editor {

/// Keys and TOML text of the required keys of `table` that `given` lacks, as an element of the kind
/// that `given` says; "name" gets a name that is free. A reference that nothing can be named for is
/// left out: the plan then says what is missing.
std::vector<plan::PathValue> starting_values(const plan::Document& document,
                                             const std::string& table,
                                             std::vector<plan::PathValue> given);

/// "post 2" from "post", "post 3" from "post 2": the first that nothing in the table, or in a table
/// that shares its names, has.
std::string free_name(const plan::Document& document, const std::string& table,
                      const std::string& like);

}  // namespace bight::editor
