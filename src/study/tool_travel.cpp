#include "study/tool_travel.h"

namespace bight::study {
namespace {

const machine::Body& work_body(const machine::Machine& machine) {
  const machine::Body* work = &machine.bodies.front();
  int most = 0;
  for (const machine::Body& body : machine.bodies) {
    int moved = 0;
    for (std::size_t j = 0; j < machine.joints.size(); ++j) {
      if (machine.joints[j].moves_work && body.motion[j] != Vec3(0.0)) ++moved;
    }
    if (moved > most) {
      most = moved;
      work = &body;
    }
  }
  return *work;
}

}  // namespace

std::optional<ToolTravel> tool_travel(const machine::Machine& machine) {
  if (machine.tool.body.empty()) return {};
  const machine::Body& tool = machine.bodies[machine.body_index(machine.tool.body)];
  const machine::Body& work = work_body(machine);
  ToolTravel travel{machine.tool.tip, {}};
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    travel.directions.push_back(tool.motion[j] - work.motion[j]);
  }
  return travel;
}

}  // namespace bight::study
