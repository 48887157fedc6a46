#pragma once
// The plan: what a person says about a machine, its lines and what they want of them. Types only,
// no behaviour. Every field is a key of the plan file (plan/keys.h says unit, range and meaning,
// docs/plan-file.md is made from it).
//
// Units: lengths mm (a plan in inches is converted by the reader), angles degrees, mass per length
// kg/m, force N, bending stiffness N m^2, speed mm/min, acceleration mm/s^2. Frame: right-handed, X
// to the operator's right, Y away, Z up. All positions are those with every joint at zero.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "base/vec.h"

namespace bight::plan {

inline constexpr const char* k_ground = "ground";  ///< the body that stands still, always there

/// What the plan as written is called where options are named; no option can have this name.
inline constexpr const char* k_base_option = "base";

enum class End { low, high };

/// A linear axis. Positive motion moves the tool relative to the workpiece along `direction` (ISO
/// 841).
struct Joint {
  Place place;
  std::string name;     ///< axis letter: X, Y, Z, or U, V, W for a second parallel axis
  Vec3 direction{0.0};  ///< unit vector; default: the plan axis of the letter
  bool moves_work =
      false;  ///< the body that it moves holds the workpiece: it then runs against `direction`
  std::array<double, 2> travel{0.0, 0.0};      ///< soft limits
  std::optional<std::array<double, 2>> stops;  ///< hard stops
  std::optional<double> speed;                 ///< rapid rate, mm/min
  std::optional<double> acceleration;          ///< mm/s^2
  End home = End::low;                         ///< the end of travel where it is homed
};

/// A rigid thing that moves as one.
struct Body {
  Place place;
  std::string name;
  std::string carried_by = k_ground;  ///< body that carries it
  std::string joint;   ///< joint that moves it on its carrier; empty: fixed to the carrier
  double ratio = 1.0;  ///< share of the joint's motion (0.5: the middle leaf of a telescopic cover)
};

enum class ShapeKind { box, cylinder, capsule, profile, mesh };
enum class Role { machine, tool, stock, clamp, surroundings };
enum class AxisLetter { x, y, z };

/// A shape fixed to a body.
struct Part {
  Place place;
  std::string name;
  std::string body = k_ground;
  Role role = Role::machine;
  bool present = true;  ///< false: only there in options that set it true
  ShapeKind shape = ShapeKind::box;
  Vec3 at{0.0};    ///< box: lowest corner; cylinder, capsule, profile: centre (origin) of the first
                   ///< end; mesh: its origin
  Vec3 turn{0.0};  ///< degrees about X, then Y, then Z (fixed plan axes), through `at`
  Vec3 size{0.0};  ///< box
  double diameter = 0.0;  ///< cylinder, capsule
  double length = 0.0;    ///< cylinder, capsule (between the centres of its ends), profile
  AxisLetter along = AxisLetter::z;  ///< direction of `length`
  std::vector<Vec2>
      outline;       ///< profile: (Y,Z) along X, (X,Z) along Y, (X,Y) along Z; simple polygon
  std::string file;  ///< mesh: path relative to the plan
  double file_unit_mm = 1.0;                ///< mesh: mm per unit of the file
  AxisLetter file_up = AxisLetter::z;       ///< mesh: axis of the file that points up (y or z)
  std::optional<double> minimum_clearance;  ///< mm, instead of [rules] minimum_clearance
};

/// A pair of parts, bodies, chains (or a chain's run) that touches or runs on each other by design.
struct Touching {
  Place place;
  std::array<std::string, 2> between;  ///< names of parts, bodies or chains
  std::string why;
};

/// A gap at which people can be crushed, checked against ISO 13854 over the whole travel.
struct Gap {
  Place place;
  std::array<std::string, 2> between;  ///< names of parts or bodies
  std::string limb = "body";           ///< body, head, leg, foot, toes, arm, hand, finger
};

/// Limit switch: a sensing point on one body, its actuator (a box) on another.
struct Switch {
  Place place;
  std::string name;
  std::string joint;
  End end = End::low;         ///< the end of travel that it guards
  std::string body;           ///< carries the switch
  Vec3 at{0.0};               ///< its roller or plunger tip
  double radius = 0.0;        ///< of the roller
  std::string actuator_body;  ///< carries the actuator
  Vec3 actuator_at{0.0};      ///< lowest corner of the actuator
  Vec3 actuator_size{0.0};
  double overtravel = 0.0;  ///< mm that the switch survives past its trip point
};

/// Parametric machine from measured dimensions; makes bodies and parts so that no mesh is needed to
/// start.
struct Frame {
  Place place;
  bool moving_table = false;  ///< arrangement: "moving gantry" or "moving table"
  Vec2 bed_size{0.0};         ///< X, Y; top of the bed is Z = 0, its front left corner the origin
  double bed_thickness = 0.0;
  double bed_height = 0.0;      ///< top of the bed above the floor
  double side_thickness = 0.0;  ///< gantry side plates, X
  double side_depth = 0.0;      ///< gantry side plates, Y
  double side_gap = 0.0;        ///< between bed and side plate
  double clear_height = 0.0;    ///< underside of the beam above the bed
  double beam_height = 0.0;     ///< Z
  double beam_depth = 0.0;      ///< Y
  Vec3 carriage_size{0.0};
  Vec3 head_size{0.0};
  double running_gap = 2.0;  ///< between beam, carriage and head, where the guides are
  double router_diameter = 0.0;
  double router_length = 0.0;
  double tool_diameter = 0.0;
  double tool_length = 0.0;  ///< from the router's lower end to the tip
  Vec3 tip{0.0};             ///< tool tip with all joints at zero
};

/// Where the tip of the tool is; made by [frame] when absent.
struct Tool {
  Place place;
  std::string body;
  Vec3 tip{0.0};
};

/// A region that the tool tip must reach, fixed to the workpiece.
struct WorkArea {
  Place place;
  std::string name;
  Vec3 from{0.0};
  Vec3 to{0.0};
};

/// Zero of the NC program in joint values (G54...).
struct WorkOffset {
  Place place;
  std::string name = "G54";
  Vec3 at{0.0};
};

enum class LineKind { power, motor, signal, air, coolant, extraction, other };

/// Catalogue entry: a cable or hose that can be bought. From the maker's data sheet, in the plan.
struct Article {
  Place place;
  std::string name;
  LineKind kind = LineKind::power;
  double outside_diameter = 0.0;
  double mass = 0.0;                           ///< kg/m, with what flows in a hose
  std::optional<double> bend_radius_moving;    ///< smallest inner bend radius when moving
  std::optional<double> bend_radius_fixed;     ///< and when fixed
  std::optional<double> bend_multiple_moving;  ///< the same as multiples of the outside diameter
  std::optional<double> bend_multiple_fixed;
  std::optional<double> stiffness;  ///< EI, N m^2
  std::optional<double> max_pull;   ///< N
  int cores = 0;
  double core_area = 0.0;  ///< mm^2
  bool tinned = false;     ///< metal-coated strands
  bool screened = false;
  std::optional<Vec2> connector;  ///< width x height that must pass when it is fitted already
  std::optional<double> price;    ///< per metre
  double purchase_step = 100.0;   ///< mm: sold in multiples of it
};

/// Electrical duty of a line.
struct Circuit {
  Place place;
  enum class System { dc, single_phase, three_phase } system = System::single_phase;
  double voltage = 0.0;  ///< V
  double current = 0.0;  ///< A
  double power_factor = 1.0;
  double temperature = 70.0;  ///< conductor, deg C
  double max_drop_percent = 5.0;
};

/// One cable or hose.
struct Line {
  Place place;
  std::string name;
  std::string article;
  std::string run;
  bool present = true;
  double termination_start = 0.0;  ///< mm used up inside the cabinet, plug or gland
  double termination_end = 0.0;
  double service_loop = 0.0;  ///< mm kept in reserve
  bool plug = false;          ///< ends in a plug at the tool: pulled off, not unthreaded
  std::optional<Circuit> circuit;
};

enum class LegWay { fixed, chain, free };

/// A piece of a run.
struct Leg {
  Place place;
  LegWay way = LegWay::fixed;
  // fixed: clipped to a body along points
  std::string body;
  std::vector<Vec3> points;
  double bend_radius = 0.0;
  // chain
  std::string chain;
  // free: hanging between two anchors or supports
  std::string from;
  std::string to;
  std::optional<double> length;        ///< given length; absent: chosen from the window
  double slack_percent = 2.0;          ///< wanted slack at the farthest pose
  std::optional<double> keep_above;    ///< Z that the lowest point must stay above
  std::vector<std::string> may_touch;  ///< parts, bodies or chains that it may lie on
};

/// The way of a kit of lines, end to end.
struct Run {
  Place place;
  std::string name;
  std::vector<Leg> legs;
};

/// Where a free leg is held.
struct Anchor {
  Place place;
  std::string name;
  std::string body = k_ground;
  Vec3 at{0.0};
  std::optional<Vec3>
      direction;  ///< clamped: unit tangent with which the line leaves the anchor; absent: pinned
  std::optional<double> radius;  ///< pinned: of the saddle that the line bends over
};

enum class SupportKind { hook, pulley, trolley, boom, retractor, cord, festoon };

/// Overhead support of free legs. `at` is where the line hangs on a hook, runs over a pulley or
/// leaves a retractor; a place on the track (trolley) or its fixed end (festoon); the post of a
/// boom at the height of its tip; the hook of a cord.
struct Support {
  Place place;
  std::string name;
  SupportKind kind = SupportKind::hook;
  std::string body = k_ground;
  Vec3 at{0.0};
  bool present = true;
  std::optional<double> max_load;  ///< N
  std::optional<double> radius;    ///< of the wheel, drum or saddle that the line bends over

  std::optional<Vec3> track;              ///< trolley, festoon: unit vector; set for these kinds
  std::array<double, 2> range{0.0, 0.0};  ///< trolley: mm from `at` along the track
  double trolley_mass = 0.0;              ///< kg, of one trolley
  double friction = 0.0;  ///< coefficient: rolling (trolley, festoon), sliding (pulley)

  double arm = 0.0;                         ///< boom: mm from post to tip
  std::array<double, 2> swing{0.0, 360.0};  ///< boom: degrees from +X towards +Y
  double friction_moment = 0.0;             ///< boom: N m

  std::optional<double> weight;          ///< pulley: kg, on the line's other end
  std::array<double, 2> drop{0.0, 0.0};  ///< pulley: mm of the weight below it, [least, most]
  std::optional<Vec3> tie_off;           ///< pulley: where the line's other end is tied instead

  double pull = 0.0;                         ///< retractor: N
  double friction_pull = 0.0;                ///< retractor: N less going in, more going out
  std::array<double, 2> paid_out{0.0, 0.0};  ///< retractor: mm of line, fully in and fully out

  double cord_length = 0.0;           ///< cord: mm, without pull
  double cord_stiffness = 0.0;        ///< cord: N/m
  std::optional<double> max_stretch;  ///< cord: mm

  int loops = 0;               ///< festoon
  double stacked_pitch = 0.0;  ///< festoon: mm between trolleys that touch
  double saddle = 0.0;         ///< festoon: mm of a trolley's width that carries the line
};

/// Where a line is put inside a chain: centre in the cross-section from the inner lower left
/// corner, mm.
struct Place2 {
  Place place;
  std::string line;
  Vec2 at{0.0};
};

/// Drag chain between a fixed and a moving bracket that differ by the motion of one joint.
struct Chain {
  Place place;
  std::string name;
  bool present = true;
  std::string fixed_body = k_ground;
  std::string moving_body;
  Vec3 fixed_at{
      0.0};  ///< pin of the first link at the fixed bracket (pitch line, middle of the width)
  Vec3 moving_at{0.0};       ///< pin of the last link at the moving bracket
  Vec3 opens{0.0};           ///< unit vector along the joint towards which the loop's bend lies
  double bend_radius = 0.0;  ///< of the pitch line
  double pitch = 0.0;
  std::optional<int> links;  ///< absent: the fewest that do
  double inner_width = 0.0;
  double inner_height = 0.0;
  double outer_width = 0.0;
  double outer_height = 0.0;
  double mass = 0.0;          ///< kg/m, empty
  double end_straight = 0.0;  ///< straight length wanted at each bracket
  std::vector<Vec2>
      load_span;  ///< maker's pairs (kg/m of fill, mm of unsupported length), rising load
  std::vector<double>
      dividers;  ///< X of divider middles in the section, mm from the left inner wall
  double divider_thickness = 0.0;
  std::vector<Place2> places;  ///< given places of lines; the rest is placed by the program
  std::optional<double> room;  ///< mm free beyond the brackets on the side to which the loop opens,
                               ///< as measured on the machine
  std::vector<std::string> may_touch;      ///< parts or bodies that it lies on or is bolted to
  std::optional<double> back_bend_radius;  ///< tightest bend against the folding direction; absent:
                                           ///< its stops hold a run straight
  bool tray = true;                        ///< the lower run lies on something along its length
};

/// What counts as good enough. Each default is common practice or a standard named in plan/keys.
struct Rules {
  Place place;
  double minimum_clearance = 5.0;  ///< mm between parts that must not touch
  double free_line_clearance =
      25.0;  ///< mm between a free line and parts that move against it (IEC 60204-1)
  double cable_clearance_percent = 10.0;  ///< of its diameter around a cable in a chain
  double hose_clearance_percent = 20.0;   ///< the same for hoses
  double fill_area_percent = 60.0;        ///< largest share of a chain's inner area
  double default_multiple_moving =
      10.0;  ///< bend radius / outside diameter when the article says nothing
  double default_multiple_fixed = 5.0;
  std::optional<double> highest_hook;       ///< Z
  double spare_percent = 5.0;               ///< added to each cut length
  double clip_spacing = 300.0;              ///< mm between the clips of a clipped leg
  double unthread_minutes_per_metre = 2.0;  ///< to pull a line out of a chain and thread it again
  double unclip_minutes = 0.5;              ///< to undo one clip or hold and do it up again
};

/// Replaces the value of a key of the plan: "table.name.key", for example
/// "run.overhead.leg.2.length".
struct Override {
  Place place;
  std::string path;
  std::string value;  ///< as TOML text, in the file's unit
};

/// A named variant of the plan.
struct Option {
  Place place;
  std::string name;
  std::string about;
  std::vector<Override> set;
};

struct Plan {
  std::string file;  ///< path it was read from; mesh paths are relative to its folder
  std::string name;
  std::string about;
  std::string currency = "EUR";
  bool inches = false;  ///< the file's lengths are inches (the values here are mm all the same)
  std::vector<Joint> joints;
  std::vector<Body> bodies;
  std::vector<Part> parts;
  std::vector<Touching> touching;
  std::vector<Gap> gaps;
  std::vector<Switch> switches;
  std::optional<Frame> frame;
  std::optional<Tool> tool;
  std::vector<WorkArea> work_areas;
  std::optional<WorkOffset> work_offset;
  std::vector<Article> articles;
  std::vector<Line> lines;
  std::vector<Run> runs;
  std::vector<Anchor> anchors;
  std::vector<Support> supports;
  std::vector<Chain> chains;
  Rules rules;
  std::vector<Option> options;
  std::string
      chosen_option;  ///< the option whose overrides are applied; empty: the plan as written
};

}  // namespace bight::plan
