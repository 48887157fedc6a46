#include <fmt/format.h>

#include <cmath>
#include <vector>

#include "plan/starter_text_detail.h"

namespace bight::plan {
namespace {

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

std::string fixed_leg(const StarterLayout& l, const char* body, const std::vector<Vec3>& points) {
  std::string list;
  for (const Vec3& point : points) list += (list.empty() ? "" : ", ") + starter_vector(point);
  return fmt::format(R"([[run.leg]]
way = "fixed"
body = "{}"
points = [{}]
bend_radius = {}
)",
                     body, list, starter_number(l.clip_radius));
}

std::string chain_leg(const char* chain) {
  return fmt::format("[[run.leg]]\nway = \"chain\"\nchain = \"{}\"\n", chain);
}

std::string run_section(const StarterAnswers& a, const StarterLayout& l) {
  std::string carriage;
  if (a.moving_table) {
    carriage = fixed_leg(l, "ground", {Vec3(l.cabinet.x, l.x_fixed.y, l.x_fixed.z), l.x_fixed});
  } else {
    const Vec3 round(l.y_moving.x, l.x_fixed.y, l.y_moving.z);
    const Vec3 corner(round.x, round.y, l.x_fixed.z);
    std::vector<Vec3> way{l.y_moving, round, corner, l.x_fixed};
    // Too short a way up for two bends: aslant to the chain then.
    if (std::abs(corner.z - round.z) < 2.0 * l.clip_radius) way.erase(way.begin() + 2);
    carriage = fixed_leg(l, "ground", {l.cabinet, l.y_fixed}) + chain_leg("Y chain") +
               fixed_leg(l, "gantry", way);
  }
  // Straight on out of the X chain, up, and square into the Z chain: a bend of its own and one at
  // the bracket, which takes twice its radius.
  const Vec3 aside(3.0 * l.clip_radius, 0.0, 0.0);
  carriage +=
      chain_leg("X chain") +
      fixed_leg(l, "carriage", {l.x_moving, l.x_moving + aside, l.z_fixed + aside, l.z_fixed});
  return "# The ways of the cables, from the cabinet to the machine: pieces (legs) in order, "
         "clipped to a\n"
         "# body (fixed), in a drag chain (chain), or hanging (free).\n"
         "[[run]]\nname = \"chains to the carriage\"\n" +
         carriage + "\n[[run]]\nname = \"chains to the head\"\n" + carriage + chain_leg("Z chain") +
         fixed_leg(l, "head", {l.z_moving, Vec3(l.tip.x, l.tip.y, l.router_top)}) +
         "\n[[run]]\nname = \"over the hook\"\n"
         "[[run.leg]]\nway = \"free\"\nfrom = \"outlet\"\nto = \"ceiling hook\"\n"
         "[[run.leg]]\nway = \"free\"\nfrom = \"ceiling hook\"\nto = \"head clamp\"\n"
         "may_touch = [\"cord mast\"]\n\n";
}

std::string hold_section(const StarterLayout& l) {
  return fmt::format(
      R"(# What holds hanging cables: the outlet, a clamp on the mast that lets the cord leave upwards, and a
# hook above the middle of the travel, with a saddle over which the cord bends.
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
radius = 70  # 7.5 x 8.8 mm at the least

)",
      starter_vector(l.outlet), starter_vector(l.clamp), starter_vector(l.hook));
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
                        name, fixed, moving, starter_vector(fixed_at), starter_vector(moving_at),
                        opens, starter_number(c.bend_radius), starter_number(c.pitch),
                        starter_number(c.inner_width), starter_number(c.inner_height),
                        starter_number(c.outer_width), starter_number(c.outer_height),
                        starter_number(0.5 * c.pitch), touches);
  };
  if (!a.moving_table) {
    chain("Y chain", "ground", "gantry", l.y_fixed, l.y_moving, "[0, 1, 0]", "\"Y chain tray\"");
  }
  chain("X chain", "gantry", "carriage", l.x_fixed, l.x_moving, "[-1, 0, 0]",
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

std::string starter_lines_text(const StarterAnswers& answers, const StarterLayout& layout) {
  return article_section() + line_section(answers) + run_section(answers, layout) +
         hold_section(layout) + chain_section(answers, layout) + option_section(answers);
}

}  // namespace bight::plan
