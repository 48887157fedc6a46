#include "plan/write.h"

#include <fmt/format.h>

#include <cmath>

#include "base/number.h"
#include "plan/patch.h"
#include "plan/starter_layout_detail.h"

namespace bight::plan {
namespace {

/// To 0.1 mm: nobody builds closer, and a plan is read by people.
std::string num(double mm) {
  return shortest(std::round(mm * 10.0) / 10.0 + 0.0);
}

std::string vec(const Vec3& v) {
  return fmt::format("[{}, {}, {}]", num(v.x), num(v.y), num(v.z));
}

std::string vec(const Vec2& v) {
  return fmt::format("[{}, {}]", num(v.x), num(v.y));
}

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
                     name, body, role, vec(lower), vec(upper - lower));
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
                        name, carries, num(low), num(high), num(low - below), num(high + 10.0),
                        num(speed), num(acceleration), home);
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
      vec(a.bed_size), num(l.bed_thickness), num(a.bed_height), num(l.side_thickness),
      num(l.side_depth), num(l.side_gap), num(a.clear_height), num(l.beam_height),
      num(l.beam_depth), vec(l.carriage_size), vec(l.head_size), num(l.running_gap),
      num(a.router_diameter), num(a.router_length), num(a.tool_diameter), num(a.tool_length),
      vec(l.tip));
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
                        name, joint, end, body, vec(at), actuator, vec(lower), vec(size));
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
      vec(low + inset), vec(low + a.travel - inset),
      vec(Vec3(0.1 * a.travel.x, 0.1 * a.travel.y, -0.9 * a.travel.z)));
}

std::string article_section() {
  return R"(# Cables as you would buy them. Take diameter, mass and bend radius from the maker's data sheet; the
# figures here are common for cables made for drag chains. (Names have no dots, hence the commas.)
[[article]]
name = "power cable 3G1,5"
kind = "power"
outside_diameter = 8.8
mass = 0.12
bend_multiple_moving = 7.5  # of the outside diameter
bend_multiple_fixed = 4
cores = 3
core_area = 1.5
price = 3.2

[[article]]
name = "motor cable 4G0,75"
kind = "motor"
outside_diameter = 7.6
mass = 0.09
bend_multiple_moving = 7.5
bend_multiple_fixed = 4
cores = 4
core_area = 0.75
screened = true
price = 2.9

[[article]]
name = "signal cable 4 x 0,25"
kind = "signal"
outside_diameter = 5.2
mass = 0.045
bend_multiple_moving = 7.5
bend_multiple_fixed = 4
cores = 4
core_area = 0.25
screened = true
price = 1.9

)";
}

std::string line_section(const StarterAnswers& a) {
  const bool hook = a.supply == SupplyWay::hook;
  return fmt::format(R"(# The cables: which article each is cut from and which way (run) it takes.
[[line]]
name = "router cord"
article = "power cable 3G1,5"
run = "{}"
termination_start = 150  # used up in the plug or cabinet
termination_end = 250
service_loop = 100
[line.circuit]
system = "single phase"
voltage = 230
current = 5

[[line]]
name = "Z motor cable"
article = "motor cable 4G0,75"
run = "chains to the carriage"
termination_start = 300
termination_end = 150
service_loop = 100

[[line]]
name = "probe cable"
article = "signal cable 4 x 0,25"
run = "chains to the head"
termination_start = 300
termination_end = 150
service_loop = 100

)",
                     hook ? "over the hook" : "chains to the head");
}

std::string fixed_leg(const char* body, const std::vector<Vec3>& points) {
  std::string list;
  for (const Vec3& point : points) list += (list.empty() ? "" : ", ") + vec(point);
  return fmt::format(R"([[run.leg]]
way = "fixed"
body = "{}"
points = [{}]
bend_radius = 50
)",
                     body, list);
}

std::string chain_leg(const char* chain) {
  return fmt::format("[[run.leg]]\nway = \"chain\"\nchain = \"{}\"\n", chain);
}

std::string run_section(const StarterAnswers& a, const StarterLayout& l) {
  std::string carriage;
  if (a.moving_table) {
    carriage = fixed_leg("ground", {Vec3(l.cabinet.x, l.x_fixed.y, l.x_fixed.z), l.x_fixed});
  } else {
    const Vec3 corner(l.y_moving.x, l.x_fixed.y, l.x_fixed.z);
    // Too short a way up for a bend: straight to the chain then.
    const bool round = std::abs(corner.z - l.y_moving.z) > 60.0;
    carriage = fixed_leg("ground", {l.cabinet, l.y_fixed}) + chain_leg("Y chain") +
               fixed_leg("gantry", round ? std::vector<Vec3>{l.y_moving, corner, l.x_fixed}
                                         : std::vector<Vec3>{l.y_moving, l.x_fixed});
  }
  carriage += chain_leg("X chain");
  return "# The ways of the cables, from the cabinet to the machine: pieces (legs) in order, "
         "clipped to a\n"
         "# body (fixed), in a drag chain (chain), or hanging (free).\n"
         "[[run]]\nname = \"chains to the carriage\"\n" +
         carriage + fixed_leg("carriage", {l.x_moving, l.z_fixed}) +
         "\n[[run]]\nname = \"chains to the head\"\n" + carriage +
         fixed_leg("carriage", {l.x_moving, l.z_fixed}) + chain_leg("Z chain") +
         fixed_leg("head", {l.z_moving, Vec3(l.tip.x, l.tip.y, l.router_top)}) +
         "\n[[run]]\nname = \"over the hook\"\n"
         "[[run.leg]]\nway = \"free\"\nfrom = \"outlet\"\nto = \"ceiling hook\"\n"
         "[[run.leg]]\nway = \"free\"\nfrom = \"ceiling hook\"\nto = \"head clamp\"\n"
         "may_touch = [\"cord mast\"]\n\n";
}

std::string hold_section(const StarterLayout& l) {
  return fmt::format(
      R"(# What holds hanging cables: the outlet, a clamp on the mast that lets the cord leave upwards, and a
# hook above the middle of the travel.
[[anchor]]
name = "outlet"
at = {}

[[anchor]]
name = "head clamp"
body = "head"
at = {}
direction = [0, 0, 1]

[[support]]
name = "ceiling hook"
kind = "hook"
at = {}
max_load = 100

)",
      vec(l.outlet), vec(l.clamp), vec(l.hook));
}

std::string chain_section(const StarterAnswers& a, const StarterLayout& l) {
  std::string text =
      "# Drag chains. fixed_at and moving_at are the first and last pin; the two runs lie twice "
      "the\n"
      "# bend radius apart. Take the sizes, mass and load_span (pairs: kg/m of cables, longest\n"
      "# unsupported length) from the maker.\n";
  const auto chain = [&](const char* name, const char* fixed, const char* moving,
                         const Vec3& fixed_at, const Vec3& moving_at, const char* opens,
                         const char* touches) {
    const StarterChain& c = l.chain;
    text += fmt::format(R"([[chain]]
name = "{}"
fixed_body = "{}"
moving_body = "{}"
fixed_at = {}
moving_at = {}
opens = {}
bend_radius = {}
pitch = {}
inner_width = {}
inner_height = {}
outer_width = {}
outer_height = {}
mass = 0.75
end_straight = {}
load_span = [[0.5, 1500], [1, 1300], [2, 1000]]
dividers = [17, 34]
divider_thickness = 2
may_touch = [{}]

)",
                        name, fixed, moving, vec(fixed_at), vec(moving_at), opens,
                        num(c.bend_radius), num(c.pitch), num(c.inner_width), num(c.inner_height),
                        num(c.outer_width), num(c.outer_height), num(0.5 * c.pitch), touches);
  };
  if (!a.moving_table) {
    chain("Y chain", "ground", "gantry", l.y_fixed, l.y_moving, "[0, 1, 0]", "\"Y chain tray\"");
  }
  chain("X chain", "gantry", "carriage", l.x_fixed, l.x_moving, "[1, 0, 0]",
        "\"X chain tray\", \"arm\"");
  chain("Z chain", "carriage", "head", l.z_fixed, l.z_moving, "[0, 0, 1]",
        "\"arm\", \"head post\"");
  return text;
}

std::string option_section(const StarterAnswers& a) {
  const std::string chains = R"([[option]]
name = "cord in the chains"
about = "The router's cord goes through the chains like the others."
[option.set]
"line.router cord.run" = "chains to the head"
)";
  const std::string hook = R"([[option]]
name = "cord from a hook"
about = "The router's cord hangs from a hook in the ceiling."
[option.set]
"line.router cord.run" = "over the hook"
)";
  return R"(# What counts as good enough; leave a line out to take the default.
[rules]
minimum_clearance = 5      # between parts that must not touch
free_line_clearance = 25   # between hanging cables and moving parts (IEC 60204-1)
spare_percent = 5          # added to each cut length

# Ways to do it, compared by `bight check`: each sets the values in which it differs, by their path.
)" + (a.supply == SupplyWay::hook ? hook + "\n" + chains : chains + "\n" + hook);
}

}  // namespace

StarterPlan starter_plan(const StarterAnswers& answers) {
  const StarterLayout layout = starter_layout(answers);
  if (!layout.problem.empty()) return {{}, layout.problem};
  return {head_section(answers) + joint_section(answers) + frame_section(answers, layout) +
              part_section(answers, layout) + switch_section(answers, layout) +
              work_section(answers, layout) + article_section() + line_section(answers) +
              run_section(answers, layout) + hold_section(layout) + chain_section(answers, layout) +
              option_section(answers),
          {}};
}

}  // namespace bight::plan
