#pragma once
// Small plans with drag chains whose brackets stand farther apart than 2 R.

#include <algorithm>
#include <string>

#include "plan_fixture.h"

namespace bight::study {

/// The make of all chains here.
inline std::string chain_make() {
  return R"(bend_radius = 60
pitch = 20
inner_width = 40
inner_height = 20
outer_width = 52
outer_height = 28
load_span = [[0.1, 1200], [1.0, 600]]
)";
}

// A chain on X: travel 1000, fixed bracket at mid travel, R = 60, its brackets 160 apart instead of
// 120, 60 links of 20. `post` is a box that stands on the ground.
inline std::string with_chain(const std::string& more = "links = 60",
                              const std::string& moving_at = "[0, 300, 560]",
                              const std::string& opens = "[1, 0, 0]",
                              const std::string& mass = "0.6") {
  return small_machine() + R"(
[[chain]]
name = "X chain"
moving_body = "carriage"
fixed_at = [500, 300, 400]
)" + chain_make() +
         "mass = " + mass + "\nmoving_at = " + moving_at + "\nopens = " + opens + "\n" + more +
         "\n";
}

inline std::string post(const std::string& at, const std::string& size) {
  return "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nshape = \"box\"\nat = " + at +
         "\nsize = " + size + "\n";
}

/// The first finding of a check about a thing, or nullptr.
inline const Finding* find_about(const StudyResult& result, const std::string& check,
                                 const std::string& thing) {
  for (const Finding& f : result.findings) {
    if (f.check == check && std::find(f.things.begin(), f.things.end(), thing) != f.things.end()) {
      return &f;
    }
  }
  return nullptr;
}

}  // namespace bight::study
