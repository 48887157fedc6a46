#pragma once
// A sound frame for tests that spoil one thing at a time.

#include <string>

#include "base/diagnostic.h"
#include "plan/plan.h"

namespace bight::machine::fixture {

inline plan::Joint joint(const std::string& name, const Vec3& direction, double low, double high) {
  plan::Joint j;
  j.name = name;
  j.direction = direction;
  j.travel = {low, high};
  return j;
}

/// Bed 1300 x 900, gantry 250 mm above it; at joint zero the tip is at the front left, 130 mm above
/// the bed.
inline plan::Plan boat_shed() {
  plan::Plan plan;
  plan.joints = {joint("X", {1, 0, 0}, 0, 1100), joint("Y", {0, 1, 0}, 0, 750),
                 joint("Z", {0, 0, 1}, -120, 0)};
  plan::Frame f;
  f.bed_size = {1300, 900};
  f.bed_thickness = 60;
  f.bed_height = 750;
  f.side_thickness = 20;
  f.side_depth = 200;
  f.side_gap = 30;
  f.clear_height = 180;
  f.beam_height = 150;
  f.beam_depth = 80;
  f.carriage_size = {160, 20, 200};
  f.head_size = {100, 15, 260};
  f.running_gap = 25;
  f.router_diameter = 65;
  f.router_length = 240;
  f.tool_diameter = 6;
  f.tool_length = 40;
  f.tip = {100, 40, 130};
  plan.frame = f;
  return plan;
}

inline std::string all_text(const Diagnostics& diagnostics) {
  std::string text;
  for (const Diagnostic& d : diagnostics.items()) text += to_text(d) + '\n';
  return text;
}

}  // namespace bight::machine::fixture
