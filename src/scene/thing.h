#pragma once
// What a drawable stands for, so that a click on a picture leads back to the plan.

#include <cstdint>
#include <string>

namespace bight::scene {

enum class ThingKind : std::uint8_t {
  part,
  chain,
  line,
  anchor,
  support,
  limit_switch,
  work_area,
  travel,
  map,
  finding,
};

/// An element of the plan by its name; of a line also the leg (counted from 1; 0: all of it).
struct Thing {
  ThingKind kind = ThingKind::part;
  std::string name;
  std::size_t leg = 0;
  bool operator==(const Thing&) const = default;
};

/// Index into Scene::things plus 1; 0 is nothing that can be picked.
using Id = std::uint32_t;

}  // namespace bight::scene
