#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "plan/starter_layout_detail.h"

namespace bight::plan {
namespace {

constexpr double k_air = 10.0;             // mm between things that only have to miss each other
constexpr double k_lowest_tip = 10.0;      // mm: tip above the bed at the bottom of its travel
constexpr double k_plate = 15.0;           // mm: thickness of carriage, head and arm plates
constexpr double k_guide_overlap = 60.0;   // mm of its guide that the head plate never leaves
constexpr double k_slack = 1.03;           // of the farthest distance of a hanging cord
constexpr double k_line_clearance = 60.0;  // mm of a hanging cord to the chains under it
constexpr double k_largest = 20000.0;      // mm: longest side of a machine that this layout suits

std::string mm(double value) {
  return shortest(std::round(value * 10.0) / 10.0) + " mm";
}

/// The first answer that cannot be a dimension of such a machine.
std::string bad_answer(const StarterAnswers& a) {
  const struct {
    const char* what;
    double value;
    double least;
  } checks[] = {{"the travel along X", a.travel.x, 10.0},
                {"the travel along Y", a.travel.y, 10.0},
                {"the travel along Z", a.travel.z, 10.0},
                {"the bed along X", a.bed_size.x, 100.0},
                {"the bed along Y", a.bed_size.y, 100.0},
                {"the height of the bed above the floor", a.bed_height, 100.0},
                {"the clear height under the beam", a.clear_height, 10.0},
                {"the router's diameter", a.router_diameter, 10.0},
                {"the router's length", a.router_length, 50.0},
                {"the tool's diameter", a.tool_diameter, 0.1},
                {"the tool's length", a.tool_length, 1.0},
                {"the height of the ceiling", a.ceiling_height, 100.0}};
  for (const auto& check : checks) {
    if (!(check.value >= check.least && check.value <= k_largest)) {
      return std::string(check.what) + " is " + shortest(check.value) + " mm; it must be from " +
             shortest(check.least) + " to " + shortest(k_largest) + " mm";
    }
  }
  return {};
}

/// Frame: beam, plates and tip, as machine/parametric builds them from the tip backwards.
void lay_out_frame(const StarterAnswers& a, StarterLayout& l) {
  l.tip = {0.5 * (a.bed_size.x - a.travel.x), 0.5 * (a.bed_size.y - a.travel.y),
           a.travel.z + k_lowest_tip};
  l.router_top = l.tip.z + a.tool_length + a.router_length;
  l.beam_top = a.clear_height + l.beam_height;

  // The head plate must stay on its guide at both ends of Z, so it is as long as the way asks.
  const double head_middle = l.tip.z + a.tool_length + 0.5 * a.router_length;
  const double carriage_middle = a.clear_height + 0.5 * l.beam_height;
  const double away = std::max(std::abs(head_middle - carriage_middle),
                               std::abs(head_middle - a.travel.z - carriage_middle));
  const double head_height =
      std::max(0.9 * a.router_length, 2.0 * (away + k_guide_overlap) - l.beam_height);
  l.carriage_size = {std::max(120.0, a.router_diameter + 60.0), k_plate, l.beam_height};
  l.head_size = {a.router_diameter + 40.0, k_plate, head_height};
  l.head_top = head_middle + 0.5 * head_height;

  l.head_front = l.tip.y + 0.5 * a.router_diameter;
  l.carriage_front = l.head_front + k_plate + l.running_gap;
  l.beam_back = l.carriage_front + k_plate + l.running_gap + l.beam_depth;

  const double head_bottom = head_middle - a.travel.z - 0.5 * head_height;
  const double least_bed = a.travel.x + l.carriage_size.x + 2.0 * k_air - 2.0 * l.side_gap;
  if (a.travel.y > a.bed_size.y) {
    l.problem =
        "a travel along Y of " + mm(a.travel.y) + " is longer than the bed, " + mm(a.bed_size.y);
  } else if (a.bed_size.x < least_bed) {
    l.problem = "for a travel along X of " + mm(a.travel.x) + " the bed must be at least " +
                mm(least_bed) + " along X, since the carriage plate is " + mm(l.carriage_size.x) +
                " wide";
  } else if (head_bottom < k_lowest_tip) {
    l.problem = "at the bottom of Z the plate that holds the router would be " +
                mm(k_lowest_tip - head_bottom) +
                " too low: take less travel along Z, a longer tool or router, or a clear height "
                "nearer to " +
                mm(std::max(0.0, head_middle - 0.5 * a.travel.z - 0.5 * l.beam_height));
  }
}

/// Chains: Y beside the bed, X behind the beam, Z standing over the carriage. Each is fixed at the
/// middle of its travel, where it is shortest.
void lay_out_chains(const StarterAnswers& a, StarterLayout& l) {
  const double half = 0.5 * l.chain.outer_height;
  const double runs = 2.0 * l.chain.bend_radius;

  const double x_height = std::max(a.clear_height + 5.0 + half, l.beam_top + k_air - half - runs);
  const double x_across = l.beam_back + k_air + 0.5 * l.chain.outer_width;
  l.x_fixed = {l.tip.x + 0.5 * a.travel.x, x_across, x_height};
  l.x_moving = {l.tip.x, x_across, x_height + runs};
  l.arm_bottom = l.x_moving.z + half;
  l.arm_top = l.arm_bottom + k_plate;

  // So high over the X chain that two bends of the cables fit on the way up.
  const double z_fixed = std::max(l.arm_top, l.x_moving.z + 2.0 * l.clip_radius) + 2.0 * k_air;
  const double z_top =
      std::max({l.router_top + 2.0 * k_air, l.head_top + 2.0 * k_air, z_fixed + 0.5 * a.travel.z});
  l.z_moving = {l.tip.x, l.tip.y, z_top};
  l.z_fixed = {l.tip.x, l.tip.y + runs, z_top - 0.5 * a.travel.z};

  const double y_across =
      a.bed_size.x + l.side_gap + l.side_thickness + k_air + 0.5 * l.chain.outer_width;
  const double y_height = std::max(-60.0, -a.bed_height + half + 3.0 * k_air);
  // The cables leave this chain straight on, then go round to the X chain.
  const double y_moving = x_across + l.clip_radius + k_air;
  l.y_fixed = {y_across, y_moving + 0.5 * a.travel.y, y_height};
  l.y_moving = {y_across, y_moving, y_height + runs};
}

/// Hook over the middle of the travel and a mast on the head that holds the cord so high that its
/// slack, folded in two where the head is nearest, stays above the chains.
void lay_out_hook(const StarterAnswers& a, StarterLayout& l) {
  const double hook_z = a.ceiling_height - a.bed_height - 100.0;
  l.hook = {l.tip.x + 0.5 * a.travel.x, l.tip.y + 0.5 * a.travel.y, hook_z};
  l.outlet = {l.hook.x, a.bed_size.y + 600.0, hook_z};
  const double bend_top = l.z_moving.z + l.chain.bend_radius + l.chain.outer_height + l.chain.pitch;
  const double sideways = 0.5 * std::hypot(a.travel.x, a.travel.y);
  // The lower the hook over the clamp, the more slack; the lowest clamp that does is found upwards.
  double clamp_z = bend_top;
  while (clamp_z < hook_z - k_air) {
    const double near = hook_z - clamp_z;
    const double far = std::hypot(sideways, near + a.travel.z);
    if (clamp_z - 0.5 * (k_slack * far - near) >= bend_top + k_line_clearance) break;
    clamp_z += k_air;
  }
  l.clamp = {l.tip.x - 0.5 * l.head_size.x + 5.0, l.head_front + 5.0, clamp_z};
  if (clamp_z + sideways / 2.0 > hook_z) {
    l.problem = "the ceiling is too low for a hook over this machine: the cord would have " +
                mm(std::max(0.0, hook_z - clamp_z)) + " of height over the head and " +
                mm(sideways) + " to reach sideways";
  }
}

}  // namespace

StarterLayout starter_layout(const StarterAnswers& answers) {
  StarterLayout l;
  l.problem = bad_answer(answers);
  if (!l.problem.empty()) return l;
  lay_out_frame(answers, l);
  if (!l.problem.empty()) return l;
  lay_out_chains(answers, l);
  lay_out_hook(answers, l);
  l.cabinet = {answers.bed_size.x + 500.0, l.y_fixed.y, l.y_fixed.z};
  return l;
}

}  // namespace bight::plan
