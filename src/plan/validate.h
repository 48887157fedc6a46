#pragma once
// What the table of keys cannot say: values that must fit together. For the reader, which calls it
// on every plan, after the types, ranges and names have been checked.

#include "plan/plan.h"
#include "plan/reading_detail.h"
#include "plan/toml.h"

namespace bight::plan {

/// Most options of one plan: each is read as a plan of its own.
inline constexpr std::size_t k_options_limit = 32;

/// Adds an error for everything that contradicts itself. `root` is the tree that `plan` was read
/// from, element for element: it says where each value stands and which ones are flawed already, so
/// that one mistake gives one error.
void validate_plan(const Plan& plan, const Value& root, Reading& reading);

}  // namespace bight::plan
