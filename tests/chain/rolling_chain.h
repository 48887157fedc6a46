#pragma once
// A machine with one chain, and the true links of that chain at any pose: the reference against
// which pieces and frames are tested.

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "base/vec.h"
#include "machine/machine.h"
#include "plan/plan.h"

namespace bight::chain::test {

/// How a chain lies: it opens along `along`, its moving run is off the fixed one along `normal`.
struct Lie {
  const char* name;
  Vec3 along;
  Vec3 normal;
};

/// Lying with the moving run above or below, on its side, standing, and leaning.
inline const std::array<Lie, 5> k_lies{
    Lie{"above", {1, 0, 0}, {0, 0, 1}}, Lie{"below", {0, 1, 0}, {0, 0, -1}},
    Lie{"on its side", {0, -1, 0}, {1, 0, 0}}, Lie{"standing", {0, 0, -1}, {0, 1, 0}},
    Lie{"leaning", {0.6, 0.8, 0}, {-0.48, 0.36, 0.8}}};

/// Joint X carries the gantry along Y's plane, joint Y works the chain between gantry and carriage
/// (both move with X, so X must not matter to the loop).
struct Rig {
  plan::Chain chain;
  machine::Machine machine;
};

inline Rig make_rig(const Lie& lie, double sense = 1.0) {
  Rig rig;
  plan::Joint other;
  other.name = "X";
  other.travel = {-100, 300};
  plan::Joint works;
  works.name = "Y";
  works.travel = {-350, 450};
  rig.machine.joints = {other, works};
  const Vec3 sideways(0.3, -0.2, 0.9);
  rig.machine.bodies = {{"ground", {Vec3(0.0), Vec3(0.0)}},
                        {"gantry", {sideways, Vec3(0.0)}},
                        {"carriage", {sideways, sense * lie.along}}};
  rig.chain.name = "Y chain";
  rig.chain.fixed_body = "gantry";
  rig.chain.moving_body = "carriage";
  rig.chain.bend_radius = 60;
  rig.chain.pitch = 20;
  rig.chain.outer_height = 24;
  rig.chain.outer_width = 50;
  rig.chain.opens = lie.along;
  rig.chain.fixed_at = Vec3(310, -120, 45);
  rig.chain.moving_at =
      rig.chain.fixed_at - 37.0 * lie.along + 2 * rig.chain.bend_radius * lie.normal;
  return rig;
}

/// Pins of links of length p whose pins lie on the pitch line (two runs at y = 0 and 2 R, half
/// circle about (bend, R)), from (0, 0) on. Each next pin is found by bisection over the arc
/// length.
inline std::vector<Vec2> walk_pins(double bend, double radius, double pitch, int links) {
  const auto at = [&](double s) -> Vec2 {
    const double on_arc = s - bend;
    if (on_arc <= 0.0) return {s, 0.0};
    if (on_arc < std::numbers::pi * radius) {
      const double f = on_arc / radius;
      return {bend + radius * std::sin(f), radius - radius * std::cos(f)};
    }
    return {bend - (on_arc - std::numbers::pi * radius), 2 * radius};
  };
  std::vector<Vec2> pins{{0, 0}};
  double s = 0.0;
  for (int k = 0; k < links; ++k) {
    double low = s + 0.5 * pitch;
    double high = s + 1.5 * pitch;
    for (int step = 0; step < 60; ++step) {
      const double middle = 0.5 * (low + high);
      (glm::length(at(middle) - pins.back()) < pitch ? low : high) = middle;
    }
    s = 0.5 * (low + high);
    pins.push_back(at(s));
  }
  return pins;
}

/// The same with the last pin at x = moving: the place of the bend is found by bisection.
inline std::vector<Vec2> true_pins(double moving, double radius, double pitch, int links) {
  double low = -10.0 * pitch;
  double high = links * pitch;
  for (int step = 0; step < 60; ++step) {
    const double middle = 0.5 * (low + high);
    (walk_pins(middle, radius, pitch, links).back().x < moving ? low : high) = middle;
  }
  return walk_pins(0.5 * (low + high), radius, pitch, links);
}

}  // namespace bight::chain::test
