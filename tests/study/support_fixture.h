#pragma once
// Small plans with one line on one overhead support, for the tests of supports.

#include <bit>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "plan_fixture.h"

namespace bight::study {

/// A supple cord of 0.1 kg/m from a support to the head, whose anchor runs along X from 0 to 1000
/// and along Z from 500 to 600, at Y = 50.
inline std::string hung(const std::string& support, const std::string& leg = "",
                        const std::string& more = "") {
  return small_machine() + R"(
[[anchor]]
name = "head clamp"
body = "head"
at = [0, 50, 600]
[[article]]
name = "cord"
kind = "power"
outside_diameter = 8
mass = 0.1
bend_multiple_moving = 5
stiffness = 0.002
[[line]]
name = "supply"
article = "cord"
run = "overhead"
[[run]]
name = "overhead"
[[run.leg]]
way = "free"
from = "support"
to = "head clamp"
)" + leg +
         "[[support]]\nname = \"support\"\n" + support + more;
}

inline std::string with_festoon(const std::string& festoon, const std::string& leg = "") {
  std::string text = hung("kind = \"festoon\"\ntrack = [1, 0, 0]\n" + festoon, leg);
  // The tow runs along X only.
  const std::string clamp = "name = \"head clamp\"\nbody = \"head\"";
  return text.replace(text.find(clamp), clamp.size(), "name = \"head clamp\"\nbody = \"carriage\"");
}

/// One support of each kind for hung(), with friction where it can have some: support and leg.
inline std::vector<std::pair<std::string, std::string>> small_supports() {
  return {{"kind = \"trolley\"\nat = [0, 350, 1500]\ntrack = [1, 0, 0]\nrange = [-700, "
           "1700]\nfriction = 0.03\ntrolley_mass = 0.3\n",
           "length = 1150\n"},
          {"kind = \"boom\"\nat = [500, 900, 1500]\narm = 700\nfriction_moment = 0.02\n", ""},
          {"kind = \"retractor\"\nat = [500, 50, 1500]\npull = 3\nfriction_pull = 0.4\npaid_out = "
           "[400, 2000]\n",
           ""},
          {"kind = \"pulley\"\nat = [500, 50, 1500]\nweight = 0.6\ndrop = [50, 1500]\nfriction = "
           "0.1\n",
           "length = 1900\n"},
          {"kind = \"pulley\"\nat = [500, 50, 1500]\ntie_off = [900, 200, 1400]\nfriction = 0.1\n",
           "length = 1600\n"},
          {"kind = \"cord\"\nat = [500, 50, 1500]\ncord_length = 200\ncord_stiffness = 10\n",
           "length = 1000\n"}};
}

/// Everything that a study says about hanging lines, as one text of exact numbers.
inline std::string exact_text(const StudyResult& result) {
  std::string text;
  const auto add = [&](double value) {
    text += std::to_string(std::bit_cast<std::uint64_t>(value)) + " ";
  };
  for (const Finding& f : result.findings) {
    text += f.check + f.what + f.advice;
    add(f.value);
  }
  for (const SupportFigures& s : result.supports) {
    for (const double v : {s.load_N, s.low, s.high, s.residual_N}) add(v);
  }
  for (const FreeRunFigures& r : result.free_runs) {
    for (const double v : {r.min_mm, r.max_mm, r.length_mm, r.lowest_mm, r.radius_mm,
                           r.clearance_mm, r.pull_start_N, r.pull_end_N}) {
      add(v);
    }
  }
  return text;
}

}  // namespace bight::study
