// The keys that describe the machine and its surroundings.

#include "plan/schema_detail.h"

namespace bight::plan {

TableOf<Joint> joint_table() {
  TableOf<Joint> t("joint", "A linear axis of the machine.");
  t.key("name", &Joint::name,
        {.type = KeyType::name,
         .required = true,
         .choices = {"X", "Y", "Z", "U", "V", "W"},
         .meaning = "Axis letter; U, V, W for a second axis parallel to X, Y, Z."});
  t.key("direction", &Joint::direction,
        {.type = KeyType::direction,
         .range = k_position,
         .standard = "along the plan axis of its letter",
         .meaning = "Where the tool goes, as seen from the workpiece, when the value grows.",
         .source = "ISO 841"});
  t.key("carries", &Joint::moves_work,
        {.choices = {"tool", "work"},
         .meaning = "Whether it moves the tool or the workpiece; what carries the work runs "
                    "against `direction`."});
  t.key("travel", &Joint::travel,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Soft limits [low, high]: where the controller stops."});
  t.key("stops", &Joint::stops,
        {.unit = Unit::length,
         .range = k_position,
         .meaning = "Hard stops [low, high]: where iron meets iron."});
  t.key("speed", &Joint::speed,
        {.unit = Unit::speed,
         .range = Range{0.0, 1e6, true},
         .meaning = "Rapid rate; for the stopping distance and the swing of hanging lines."});
  t.key("acceleration", &Joint::acceleration,
        {.unit = Unit::acceleration,
         .range = Range{0.0, 1e6, true},
         .meaning = "Acceleration of a rapid move; braking is taken as equal."});
  t.key("home", &Joint::home,
        {.choices = {"low", "high"}, .meaning = "End of the travel where it is homed."});
  return t;
}

TableOf<Body> body_table() {
  TableOf<Body> t("body",
                  "A rigid thing that moves as one. The body \"ground\" is always there and "
                  "stands still; a frame makes \"gantry\", \"carriage\", \"head\" and, with a "
                  "moving table, \"table\".");
  t.key("name", &Body::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("carried_by", &Body::carried_by,
        {.refers_to = {"body"}, .meaning = "Body that it sits on and moves with."});
  t.key("joint", &Body::joint,
        {.refers_to = {"joint"},
         .standard = "none: bolted to what carries it",
         .meaning = "Joint that moves it on what carries it."});
  t.key("ratio", &Body::ratio,
        {.range = Range{-10.0, 10.0},
         .meaning = "Share of the joint's motion (0.5: middle leaf of a telescopic cover)."});
  return t;
}

TableOf<Part> part_table() {
  const OnlyFor box{"shape", {"box"}};
  const OnlyFor round{"shape", {"cylinder", "capsule"}};
  const OnlyFor profile{"shape", {"profile"}};
  const OnlyFor mesh{"shape", {"mesh"}};
  const OnlyFor with_length{"shape", {"cylinder", "capsule", "profile"}};
  TableOf<Part> t("part", "A shape fixed to a body.");
  t.key("name", &Part::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("body", &Part::body, {.refers_to = {"body"}, .meaning = "Body that it is fixed to."});
  t.key("role", &Part::role,
        {.choices = {"machine", "tool", "stock", "clamp", "surroundings"},
         .meaning = "What it is; the tool may cut the stock, everything else must stay clear."});
  t.key("present", &Part::present,
        {.meaning = "false: only there in options that set it to true."});
  t.key("shape", &Part::shape,
        {.choices = {"box", "cylinder", "capsule", "profile", "mesh"},
         .meaning = "Its shape; a capsule is a cylinder with half balls on both ends, a profile an "
                    "outline pulled straight, a mesh a file from a drawing program."});
  t.key("at", &Part::at,
        {.unit = Unit::length,
         .range = k_position,
         .meaning = "Where it is: lowest corner of a box, middle of the first end of a cylinder or "
                    "capsule, origin of a profile or mesh."});
  t.key("turn", &Part::turn,
        {.unit = Unit::degree,
         .range = Range{-360.0, 360.0},
         .meaning = "Turned about X, then Y, then Z of the plan, through `at`."});
  t.key("size", &Part::size,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .only_for = box,
         .meaning = "Size along X, Y, Z."});
  t.key("diameter", &Part::diameter,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .only_for = round,
         .meaning = "Diameter."});
  t.key("length", &Part::length,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .only_for = with_length,
         .meaning = "Length; of a capsule between the middles of its half balls."});
  t.key("along", &Part::along,
        {.choices = {"X", "Y", "Z"},
         .only_for = with_length,
         .meaning = "Direction of its length, before it is turned."});
  t.key("outline", &Part::outline,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .minimum_items = 3,
         .only_for = profile,
         .meaning = "Corners of the cross-section in order, without crossing itself: [y, z] along "
                    "X, [x, z] along Y, [x, y] along Z."});
  t.key("file", &Part::file,
        {.type = KeyType::path,
         .required = true,
         .only_for = mesh,
         .meaning = "Mesh file (STL, OBJ, PLY...), relative to the plan's folder."});
  t.key("file_unit", &Part::file_unit_mm,
        {.choices = {"mm", "cm", "m", "in"},
         .choice_numbers = {1.0, 10.0, 1000.0, k_mm_per_inch},
         .only_for = mesh,
         .meaning = "Unit of the numbers in the mesh file."});
  t.key("file_up", &Part::file_up,
        {.choices = {"Y", "Z"},
         .choice_numbers = {static_cast<double>(AxisLetter::y), static_cast<double>(AxisLetter::z)},
         .only_for = mesh,
         .meaning = "Axis of the mesh file that points up."});
  t.key("minimum_clearance", &Part::minimum_clearance,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .standard = "that of [rules]",
         .meaning = "Distance that everything moving against it must keep."});
  return t;
}

TableOf<Touching> touching_table() {
  TableOf<Touching> t("touching",
                      "Two things that touch or run on each other by design, so that this is not "
                      "reported as a collision.");
  t.key("between", &Touching::between,
        {.required = true,
         .refers_to = {"part", "body", "chain"},
         .meaning = "The two; a body stands for all its parts."});
  t.key("why", &Touching::why, {.meaning = "Why that is right; shown in the report."});
  return t;
}

TableOf<Gap> gap_table() {
  TableOf<Gap> t("gap", "A gap at which people could be crushed, checked over the whole travel.");
  t.key("between", &Gap::between,
        {.required = true,
         .refers_to = {"part", "body"},
         .meaning = "The two things with the gap between them."});
  t.key("limb", &Gap::limb,
        {.choices = {"body", "head", "leg", "foot", "toes", "arm", "hand", "finger"},
         .meaning = "What could get in; the least gaps are 500, 300, 180, 120, 50, 120, 100 and "
                    "25 mm.",
         .source = "ISO 13854"});
  return t;
}

TableOf<Switch> switch_table() {
  TableOf<Switch> t("switch", "A limit switch and the box that trips it.");
  t.key("name", &Switch::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("joint", &Switch::joint,
        {.required = true, .refers_to = {"joint"}, .meaning = "Joint that it guards."});
  t.key("end", &Switch::end,
        {.choices = {"low", "high"}, .meaning = "End of the travel that it guards."});
  t.key("body", &Switch::body,
        {.required = true, .refers_to = {"body"}, .meaning = "Body that the switch is fixed to."});
  t.key("at", &Switch::at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Middle of its roller, or tip of its plunger, all joints at zero."});
  t.key("radius", &Switch::radius,
        {.unit = Unit::length, .range = k_size_or_none, .meaning = "Radius of its roller."});
  t.key(
      "actuator_body", &Switch::actuator_body,
      {.required = true, .refers_to = {"body"}, .meaning = "Body that what trips it is fixed to."});
  t.key("actuator_at", &Switch::actuator_at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Lowest corner of the box that trips it, all joints at zero."});
  t.key("actuator_size", &Switch::actuator_size,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .meaning = "Size of that box along X, Y, Z."});
  t.key("overtravel", &Switch::overtravel,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "How far it can be pushed past its trip point without harm."});
  return t;
}

TableOf<Frame> frame_table() {
  TableOf<Frame> t("frame",
                   "A gantry machine from dimensions measured with a tape; makes its bodies and "
                   "parts, so that no mesh is needed. The top of the bed is Z = 0, its front left "
                   "corner the origin.");
  const auto size = [&t](const char* name, auto member, const char* meaning) {
    t.key(name, member,
          {.unit = Unit::length, .range = k_size, .required = true, .meaning = meaning});
  };
  const auto maybe = [&t](const char* name, auto member, const char* meaning) {
    t.key(name, member, {.unit = Unit::length, .range = k_size_or_none, .meaning = meaning});
  };
  t.key("arrangement", &Frame::moving_table,
        {.choices = {"moving gantry", "moving table"}, .meaning = "What moves along Y."});
  size("bed_size", &Frame::bed_size, "Size of the bed along X, Y.");
  size("bed_thickness", &Frame::bed_thickness, "Thickness of the bed.");
  maybe("bed_height", &Frame::bed_height, "Top of the bed above the floor; 0: no floor.");
  maybe("side_thickness", &Frame::side_thickness,
        "Thickness of the gantry's side plates, along X; 0: no side plates.");
  maybe("side_depth", &Frame::side_depth, "Depth of the gantry's side plates, along Y.");
  maybe("side_gap", &Frame::side_gap, "Gap between the bed and each side plate.");
  size("clear_height", &Frame::clear_height, "Underside of the beam above the bed.");
  size("beam_height", &Frame::beam_height, "Height of the beam.");
  size("beam_depth", &Frame::beam_depth, "Depth of the beam, along Y.");
  size("carriage_size", &Frame::carriage_size,
       "Size along X, Y, Z of the plate that runs on the beam.");
  size("head_size", &Frame::head_size,
       "Size along X, Y, Z of the plate that goes up and down and holds the router.");
  t.key("running_gap", &Frame::running_gap,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "Gap between beam, carriage plate and head plate, where the guides are.",
         .source = "common practice"});
  maybe("router_diameter", &Frame::router_diameter, "Diameter of the router; 0: no router.");
  maybe("router_length", &Frame::router_length, "Length of the router.");
  maybe("tool_diameter", &Frame::tool_diameter, "Diameter of the cutter; 0: no cutter.");
  maybe("tool_length", &Frame::tool_length, "From the router's lower end to the tip.");
  t.key("tip", &Frame::tip,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Tip of the cutter with all joints at zero."});
  return t;
}

TableOf<Tool> tool_table() {
  TableOf<Tool> t("tool", "Where the tip of the tool is; a frame says it itself.");
  t.key("body", &Tool::body,
        {.required = true, .refers_to = {"body"}, .meaning = "Body that holds the tool."});
  t.key("tip", &Tool::tip,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Its tip with all joints at zero."});
  return t;
}

TableOf<WorkArea> work_area_table() {
  TableOf<WorkArea> t("work_area", "A box that the tip of the tool must reach everywhere.");
  t.key("name", &WorkArea::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("from", &WorkArea::from,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Its lowest corner, all joints at zero."});
  t.key("to", &WorkArea::to,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Its highest corner."});
  return t;
}

TableOf<WorkOffset> work_offset_table() {
  TableOf<WorkOffset> t("work_offset", "Zero of the NC program.");
  t.key("name", &WorkOffset::name,
        {.choices = {"G54", "G55", "G56", "G57", "G58", "G59"},
         .meaning = "The code that calls it."});
  t.key("at", &WorkOffset::at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Values of the joints X, Y, Z at program zero."});
  return t;
}

}  // namespace bight::plan
