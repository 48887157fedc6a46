#include <fmt/format.h>

#include "plan/patch.h"
#include "plan/starter_text_detail.h"

namespace bight::plan {
namespace {

std::string box(const char* name, const char* body, const char* role, const Vec3& lower,
                const Vec3& upper) {
  return fmt::format(R"([[part]]
name = "{}"
body = "{}"
role = "{}"
shape = "box"
at = {}
size = {}

)",
                     name, body, role, starter_vector(lower), starter_vector(upper - lower));
}

std::string head_section(const StarterAnswers& a) {
  return fmt::format(R"(# A plan for bight: a small gantry machine and its cables.
# Lengths in mm, angles in degrees. X points to your right as you stand before the machine, Y away
# from you, Z up. Every position is the one with all joints at zero. Measure your machine, put the
# numbers in, and run `bight check` on this file. `bight keys` explains every key.

format = 1
name = {}
about = "Starter plan: replace what you have measured."
currency = "EUR"

)",
                     toml_text(a.name));
}

std::string joint_section(const StarterAnswers& a) {
  std::string text =
      "# The axes. travel: where the controller stops by itself (soft limits); stops: where iron\n"
      "# meets iron; speed in mm/min and acceleration in mm/s^2 of a rapid move.\n";
  const auto joint = [&text](const char* name, const char* carries, double low, double high,
                             double below, double speed, double acceleration, const char* home) {
    text += fmt::format(R"([[joint]]
name = "{}"
carries = "{}"
travel = [{}, {}]
stops = [{}, {}]
speed = {}
acceleration = {}
home = "{}"

)",
                        name, carries, starter_number(low), starter_number(high),
                        starter_number(low - below), starter_number(high + 10.0),
                        starter_number(speed), starter_number(acceleration), home);
  };
  joint("X", "tool", 0.0, a.travel.x, 10.0, 6000.0, 1000.0, "low");
  joint("Y", a.moving_table ? "work" : "tool", 0.0, a.travel.y, 10.0, 6000.0, 1000.0, "low");
  joint("Z", "tool", -a.travel.z, 0.0, 5.0, 3000.0, 500.0, "high");
  return text;
}

std::string frame_section(const StarterAnswers& a, const StarterLayout& l) {
  return fmt::format(
      R"(# The machine from a tape measure. The top of the bed is Z = 0, its front left corner the origin.
# From this come the bodies "gantry", "carriage", "head"{}, and the parts "floor", "bed",
# "side left", "side right", "beam", "carriage plate", "head plate", "router" and "tool".
[frame]
arrangement = "{}"
bed_size = {}
bed_thickness = {}
bed_height = {}          # top of the bed above the floor
side_thickness = {}
side_depth = {}
side_gap = {}             # between the bed and each side plate
clear_height = {}        # underside of the beam above the bed
beam_height = {}
beam_depth = {}
carriage_size = {}
head_size = {}
running_gap = {}
router_diameter = {}
router_length = {}
tool_diameter = {}
tool_length = {}          # from the router's lower end to the tip
tip = {}  # tip of the tool with all joints at zero

)",
      a.moving_table ? ", \"table\"" : "", a.moving_table ? "moving table" : "moving gantry",
      starter_vector(a.bed_size), starter_number(l.bed_thickness), starter_number(a.bed_height),
      starter_number(l.side_thickness), starter_number(l.side_depth), starter_number(l.side_gap),
      starter_number(a.clear_height), starter_number(l.beam_height), starter_number(l.beam_depth),
      starter_vector(l.carriage_size), starter_vector(l.head_size), starter_number(l.running_gap),
      starter_number(a.router_diameter), starter_number(a.router_length),
      starter_number(a.tool_diameter), starter_number(a.tool_length), starter_vector(l.tip));
}

std::string part_section(const StarterAnswers& a, const StarterLayout& l) {
  const StarterChain& c = l.chain;
  const double half_width = 0.5 * c.outer_width;
  const double half_height = 0.5 * c.outer_height;
  std::string text =
      "# What else travels along or stands in the way: trays under the chains, the arm that takes\n"
      "# the cables from the carriage over the beam, a mast that holds a hanging cord. Add your "
      "stock,\n"
      "# clamps and walls in the same way (role = \"stock\", \"clamp\", \"surroundings\").\n";
  if (!a.moving_table) {
    const double tray = l.y_fixed.z - half_height;
    text += box("Y chain tray", "ground", "machine",
                {l.y_fixed.x - half_width, l.y_moving.y - c.bend_radius, tray - 5.0},
                {l.y_fixed.x + half_width, l.y_moving.y + a.travel.y + 3.0 * c.bend_radius, tray});
  }
  const double tray = l.x_fixed.z - half_height;
  text += box("X chain tray", "gantry", "machine", {-l.side_gap, l.beam_back, tray - 5.0},
              {a.bed_size.x + l.side_gap, l.x_fixed.y + half_width, tray});
  // 5 mm behind the front of the carriage plate, so that the head plate passes with clearance.
  text +=
      box("arm post", "carriage", "machine", {l.tip.x - 30.0, l.carriage_front + 5.0, l.beam_top},
          {l.tip.x + 30.0, l.carriage_front + 10.0, l.arm_bottom});
  text += box("arm", "carriage", "machine", {l.tip.x - 30.0, l.carriage_front + 5.0, l.arm_bottom},
              {l.tip.x + 30.0, l.x_moving.y + half_width, l.arm_top});
  text += box("head post", "head", "machine", {l.tip.x - 20.0, l.head_front, l.head_top},
              {l.tip.x + 20.0, l.head_front + 10.0, l.z_moving.z + 10.0});
  text += box("cord mast", "head", "machine", {l.clamp.x - 5.0, l.head_front, l.head_top},
              {l.clamp.x + 5.0, l.head_front + 10.0, l.clamp.z});
  return text;
}

std::string switch_section(const StarterAnswers& a, const StarterLayout& l) {
  std::string text =
      "# Limit switches at the homing ends: a roller on one body, a box that presses it on the\n"
      "# other. Each trips 4 mm outside the travel.\n";
  const auto limit = [&text](const char* name, const char* joint, const char* end, const char* body,
                             const Vec3& at, const char* actuator, const Vec3& lower,
                             const Vec3& size) {
    text += fmt::format(R"([[switch]]
name = "{}"
joint = "{}"
end = "{}"
body = "{}"
at = {}
radius = 5
actuator_body = "{}"
actuator_at = {}
actuator_size = {}
overtravel = 12

)",
                        name, joint, end, body, starter_vector(at), actuator, starter_vector(lower),
                        starter_vector(size));
  };
  const double plate_left = l.tip.x - 0.5 * l.carriage_size.x;
  const double plate_y = l.carriage_front + 0.5 * l.carriage_size.y;
  const double beam_middle = l.beam_top - 0.5 * l.beam_height;
  limit("X home", "X", "low", "gantry", {plate_left - 9.0, plate_y, beam_middle}, "carriage",
        {plate_left, plate_y - 5.0, beam_middle - 10.0}, {30.0, 10.0, 20.0});
  if (a.moving_table) {
    limit("Y home", "Y", "low", "ground",
          {0.5 * a.bed_size.x, a.bed_size.y + 9.0, -0.5 * l.bed_thickness}, "table",
          {0.5 * a.bed_size.x - 10.0, a.bed_size.y - 30.0, -l.bed_thickness},
          {20.0, 30.0, l.bed_thickness});
  } else {
    const double front = l.beam_back - 0.5 * l.beam_depth - 0.5 * l.side_depth;
    const double x = -l.side_gap - 0.5 * l.side_thickness;
    limit("Y home", "Y", "low", "ground", {x, front - 9.0, -0.5 * l.bed_thickness}, "gantry",
          {x - 10.0, front, -l.bed_thickness}, {20.0, 30.0, l.bed_thickness});
  }
  const Vec3 corner{l.tip.x + 0.5 * l.head_size.x - 20.0, l.head_front, l.head_top - 30.0};
  limit("Z home", "Z", "high", "carriage",
        {corner.x + 10.0, corner.y + 0.5 * l.head_size.y, l.head_top + 9.0}, "head", corner,
        {20.0, l.head_size.y, 30.0});
  return text;
}

std::string work_section(const StarterAnswers& a, const StarterLayout& l) {
  const Vec3 inset{0.02 * a.travel.x, 0.02 * a.travel.y, 0.02 * a.travel.z};
  const Vec3 low = l.tip - Vec3(0.0, 0.0, a.travel.z);
  return fmt::format(
      R"(# Where the tip of the tool must get to, and the zero of your programs in machine coordinates.
[[work_area]]
name = "cutting area"
from = {}
to = {}

[work_offset]
name = "G54"
at = {}

)",
      starter_vector(low + inset), starter_vector(low + a.travel - inset),
      starter_vector(Vec3(0.1 * a.travel.x, 0.1 * a.travel.y, -0.9 * a.travel.z)));
}

}  // namespace

std::string starter_machine_text(const StarterAnswers& answers, const StarterLayout& layout) {
  return head_section(answers) + joint_section(answers) + frame_section(answers, layout) +
         part_section(answers, layout) + switch_section(answers, layout) +
         work_section(answers, layout);
}

}  // namespace bight::plan
