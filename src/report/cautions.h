#pragma once
// The cautions that belong on every output a person may act on.

#include <string>
#include <vector>

namespace bight::report {

/// One sentence each.
inline std::vector<std::string> cautions() {
  return {
      "Mains and cabinet wiring only by those licensed for it and by the local code; isolate "
      "before touching.",
      "What is marked sampled or formula was not proved for every pose: try it by hand with power "
      "off.",
      "First run at low override, with a hand on the stop.",
      "Nothing here replaces a risk assessment of the machine.",
  };
}

}  // namespace bight::report
