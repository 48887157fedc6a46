#pragma once
// What a plan says of itself at its top, read without reading the rest: for lists of plans.

#include <string>
#include <string_view>

namespace bight::plan {

struct Title {
  std::string name;
  std::string about;
};

/// Empty where the text says nothing, or is not TOML.
Title title_of(std::string_view text);

}  // namespace bight::plan
