#pragma once
// Things of a plan found by their name.

#include <algorithm>
#include <string>
#include <vector>

namespace bight::machine {

/// The first thing of that name; null when there is none.
template <typename Named>
const Named* find_named(const std::vector<Named>& things, const std::string& name) {
  const auto it = std::find_if(things.begin(), things.end(),
                               [&](const Named& thing) { return thing.name == name; });
  return it == things.end() ? nullptr : &*it;
}

}  // namespace bight::machine
