#include "machine/machine.h"

#include <utility>

#include "base/check.h"
#include "machine/by_name_detail.h"
#include "machine/load_parts.h"
#include "machine/motion.h"
#include "machine/parametric.h"

namespace bight::machine {

std::size_t Machine::body_index(const std::string& name) const {
  const Body* body = find_named(bodies, name);
  BIGHT_CHECK(body != nullptr);
  return static_cast<std::size_t>(body - bodies.data());
}

Machine build_machine(const plan::Plan& plan, MeshCache& cache, Diagnostics& diagnostics) {
  Machine machine;
  Diagnostics frame_words;
  const plan::Plan full = with_frame(plan, frame_words);
  for (const Diagnostic& word : frame_words.items()) diagnostics.add(word);
  // Bodies of a frame whose joints are missing have no motion; there is nothing to build then.
  if (frame_words.has_errors()) return machine;

  machine.joints = full.joints;
  machine.bodies = bodies_in_motion(full.joints, full.bodies);
  machine.touching = full.touching;
  machine.tool = full.tool.value_or(plan::Tool{});
  const std::vector<LoadedPart> loaded = load_parts(full.parts, full.file, cache, diagnostics);
  for (std::size_t i = 0; i < full.parts.size(); ++i) {
    const plan::Part& part = full.parts[i];
    if (loaded[i].solid == nullptr) continue;
    machine.parts.push_back(
        {.name = part.name,
         .body = machine.body_index(part.body),
         .role = part.role,
         .minimum_clearance_mm = part.minimum_clearance.value_or(full.rules.minimum_clearance),
         .solid = loaded[i].solid,
         .health = loaded[i].health,
         .place = part.place});
  }
  return machine;
}

}  // namespace bight::machine
