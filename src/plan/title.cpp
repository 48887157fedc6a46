#include "plan/title.h"

#include "plan/toml.h"

namespace bight::plan {

Title title_of(std::string_view text) {
  Diagnostics diagnostics;
  const std::optional<Value> root = parse_toml(text, {}, diagnostics);
  const auto words = [&root](std::string_view key) {
    const Entry* entry = root ? root->find(key) : nullptr;
    return entry != nullptr ? entry->value.text : std::string();
  };
  return {words("name"), words("about")};
}

}  // namespace bight::plan
