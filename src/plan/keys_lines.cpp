// The keys that describe cables and hoses, the ways they take, and what counts as good enough.

#include "plan/schema_detail.h"

namespace bight::plan {
namespace {

TableOf<Circuit> circuit_table() {
  TableOf<Circuit> t("line.circuit", "Electrical duty of the line, for its voltage drop.");
  t.key("system", &Circuit::system,
        {.choices = {"dc", "single phase", "three phase"}, .meaning = "Kind of supply."});
  t.key("voltage", &Circuit::voltage,
        {.unit = Unit::volt,
         .range = Range{0.0, 1000.0, true},
         .required = true,
         .meaning = "Voltage; between the phases with three of them."});
  t.key("current", &Circuit::current,
        {.unit = Unit::ampere,
         .range = Range{0.0, 1000.0, true},
         .required = true,
         .meaning = "Current at full load."});
  t.key("power_factor", &Circuit::power_factor,
        {.range = Range{0.0, 1.0, true}, .meaning = "Power factor; 1 for dc and heaters."});
  t.key("temperature", &Circuit::temperature,
        {.unit = Unit::celsius,
         .range = Range{-40.0, 200.0},
         .meaning = "Of the conductor at full load.",
         .source = "common practice: the limit of PVC insulation"});
  t.key("max_drop_percent", &Circuit::max_drop_percent,
        {.unit = Unit::percent,
         .range = Range{0.0, 100.0, true},
         .meaning = "Largest voltage drop that is good enough.",
         .source = "IEC 60364-5-52, other uses than lighting"});
  return t;
}

TableOf<Leg> leg_table() {
  const OnlyFor fixed{"way", {"fixed"}};
  const OnlyFor chain{"way", {"chain"}};
  const OnlyFor free{"way", {"free"}};
  TableOf<Leg> t(
      "run.leg",
      "A piece of the run, in order from its start (the cabinet) to its end (the tool).");
  t.key("way", &Leg::way,
        {.required = true,
         .choices = {"fixed", "chain", "free"},
         .meaning = "Clipped to a body, inside a drag chain, or hanging between two holds."});
  t.key("body", &Leg::body,
        {.required = true,
         .refers_to = {"body"},
         .only_for = fixed,
         .meaning = "Body that it is clipped to."});
  t.key("points", &Leg::points,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .minimum_items = 2,
         .only_for = fixed,
         .meaning = "Corners of its way, all joints at zero."});
  t.key("bend_radius", &Leg::bend_radius,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .only_for = fixed,
         .meaning = "Radius in which it goes round its corners."});
  t.key("chain", &Leg::chain,
        {.required = true,
         .refers_to = {"chain"},
         .only_for = chain,
         .meaning = "Drag chain that it lies in."});
  t.key("from", &Leg::from,
        {.required = true,
         .refers_to = {"anchor", "support"},
         .only_for = free,
         .meaning = "Anchor or support at its start."});
  t.key("to", &Leg::to,
        {.required = true,
         .refers_to = {"anchor", "support"},
         .only_for = free,
         .meaning = "Anchor or support at its end."});
  t.key("length", &Leg::length,
        {.unit = Unit::length,
         .range = k_size,
         .only_for = free,
         .standard = "chosen by the program",
         .meaning = "Length between the two holds, when it is given."});
  t.key("slack_percent", &Leg::slack_percent,
        {.unit = Unit::percent,
         .range = k_percent,
         .only_for = free,
         .meaning = "Slack wanted where the holds are farthest apart.",
         .source = "common practice"});
  t.key("keep_above", &Leg::keep_above,
        {.unit = Unit::length,
         .range = k_position,
         .only_for = free,
         .meaning = "Z that its lowest point must stay above."});
  t.key("may_touch", &Leg::may_touch,
        {.refers_to = {"part", "body"},
         .only_for = free,
         .meaning = "Parts or bodies that it may lie on."});
  return t;
}

TableOf<Place2> place_table() {
  TableOf<Place2> t("chain.place",
                    "Where a line lies in the chain; lines without one are placed by the program.");
  t.key("line", &Place2::line, {.required = true, .refers_to = {"line"}, .meaning = "The line."});
  t.key("at", &Place2::at,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .required = true,
         .meaning = "Its middle, from the lower left inner corner of the chain."});
  return t;
}

}  // namespace

TableOf<Article> article_table() {
  TableOf<Article> t("article", "A cable or hose that can be bought, from its data sheet.");
  t.key("name", &Article::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("kind", &Article::kind,
        {.required = true,
         .choices = {"power", "motor", "signal", "air", "coolant", "extraction", "other"},
         .meaning = "What it carries; power and motor cables are kept away from signal cables, and "
                    "air, coolant and extraction are hoses."});
  t.key("outside_diameter", &Article::outside_diameter,
        {.unit = Unit::length, .range = k_size, .required = true, .meaning = "Outside diameter."});
  t.key("mass", &Article::mass,
        {.unit = Unit::kg_per_m,
         .range = Range{0.0, 100.0, true},
         .required = true,
         .meaning = "Mass per metre, of a hose with what flows in it."});
  t.key("bend_radius_moving", &Article::bend_radius_moving,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "Smallest bend radius when it moves, at the inside of the bend."});
  t.key("bend_radius_fixed", &Article::bend_radius_fixed,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "Smallest bend radius when it is fixed, at the inside of the bend."});
  t.key("bend_multiple_moving", &Article::bend_multiple_moving,
        {.unit = Unit::diameters,
         .range = Range{0.0, 100.0, true},
         .meaning = "The moving bend radius as a multiple of the outside diameter, instead."});
  t.key("bend_multiple_fixed", &Article::bend_multiple_fixed,
        {.unit = Unit::diameters,
         .range = Range{0.0, 100.0, true},
         .meaning = "The fixed bend radius as a multiple of the outside diameter, instead."});
  t.key("stiffness", &Article::stiffness,
        {.unit = Unit::newton_m2,
         .range = Range{0.0, 1e4},
         .standard = "estimated from the diameter",
         .meaning = "Bending stiffness EI."});
  t.key("max_pull", &Article::max_pull,
        {.unit = Unit::newton, .range = Range{0.0, 1e6, true}, .meaning = "Largest pull on it."});
  t.key("cores", &Article::cores,
        {.range = Range{0.0, 1000.0}, .meaning = "Number of conductors."});
  t.key("core_area", &Article::core_area,
        {.unit = Unit::square_mm,
         .range = Range{0.0, 1000.0},
         .meaning = "Cross-section of one conductor; always mm^2."});
  t.key("tinned", &Article::tinned, {.meaning = "Whether its strands are coated with metal."});
  t.key("screened", &Article::screened, {.meaning = "Whether it has a screen."});
  t.key("connector", &Article::connector,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "Width and height of the connector that must pass when it is fitted already."});
  t.key("price", &Article::price,
        {.unit = Unit::per_metre, .range = Range{0.0, 1e6}, .meaning = "Price of a metre."});
  t.key("purchase_step", &Article::purchase_step,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "It is sold in multiples of this length.",
         .source = "common practice"});
  return t;
}

TableOf<Line> line_table() {
  TableOf<Line> t("line", "One cable or hose.");
  t.key("name", &Line::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("article", &Line::article,
        {.required = true, .refers_to = {"article"}, .meaning = "What it is cut from."});
  t.key("run", &Line::run,
        {.required = true, .refers_to = {"run"}, .meaning = "The way it takes."});
  t.key("present", &Line::present,
        {.meaning = "false: only there in options that set it to true."});
  t.key("termination_start", &Line::termination_start,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "Length used up inside the cabinet, plug or gland at its start."});
  t.key("termination_end", &Line::termination_end,
        {.unit = Unit::length, .range = k_size_or_none, .meaning = "The same at its end."});
  t.key("service_loop", &Line::service_loop,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "Length kept in reserve for a new plug or a repair."});
  t.key("plug", &Line::plug,
        {.meaning = "true: ends in a plug at the tool, pulled off in a moment when the tool comes "
                    "off."});
  t.table_of("circuit", &Line::circuit, circuit_table());
  return t;
}

TableOf<Run> run_table() {
  TableOf<Run> t("run", "The way of a kit of lines, from end to end.");
  t.key("name", &Run::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.tables_of("leg", &Run::legs, leg_table());
  return t;
}

TableOf<Anchor> anchor_table() {
  TableOf<Anchor> t("anchor", "A place where a free leg is held.");
  t.key("name", &Anchor::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("body", &Anchor::body, {.refers_to = {"body"}, .meaning = "Body that it is fixed to."});
  t.key("at", &Anchor::at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Where it is, all joints at zero."});
  t.key("direction", &Anchor::direction,
        {.type = KeyType::direction,
         .range = k_position,
         .standard = "free to turn",
         .meaning = "Direction in which a clamp makes the line leave."});
  return t;
}

TableOf<Support> support_table() {
  TableOf<Support> t("support", "An overhead support of free legs.");
  t.key("name", &Support::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("kind", &Support::kind,
        {.choices = {"hook"}, .meaning = "What it is: a hook stays where it is."});
  t.key("body", &Support::body, {.refers_to = {"body"}, .meaning = "Body that it is fixed to."});
  t.key("at", &Support::at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Where the line hangs, all joints at zero."});
  t.key("present", &Support::present,
        {.meaning = "false: only there in options that set it to true."});
  t.key("max_load", &Support::max_load,
        {.unit = Unit::newton,
         .range = Range{0.0, 1e6, true},
         .meaning = "Largest load that it carries."});
  return t;
}

TableOf<Chain> chain_table() {
  TableOf<Chain> t("chain",
                   "A drag chain between two brackets that one joint moves against each other.");
  const auto size = [&t](const char* name, auto member, const char* meaning) {
    t.key(name, member,
          {.unit = Unit::length, .range = k_size, .required = true, .meaning = meaning});
  };
  t.key("name", &Chain::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("present", &Chain::present,
        {.meaning = "false: only there in options that set it to true."});
  t.key("fixed_body", &Chain::fixed_body,
        {.refers_to = {"body"}, .meaning = "Body of the bracket at its start."});
  t.key("moving_body", &Chain::moving_body,
        {.required = true, .refers_to = {"body"}, .meaning = "Body of the bracket at its end."});
  t.key("fixed_at", &Chain::fixed_at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Pin of the first link at the start, middle of the width, joints at zero."});
  t.key("moving_at", &Chain::moving_at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Pin of the last link at the end, middle of the width, joints at zero."});
  t.key("opens", &Chain::opens,
        {.type = KeyType::direction,
         .range = k_position,
         .required = true,
         .meaning = "Direction, along the joint, in which its bend lies."});
  size("bend_radius", &Chain::bend_radius, "Bend radius at the pins.");
  size("pitch", &Chain::pitch, "Length of a link, from pin to pin.");
  t.key("links", &Chain::links,
        {.range = Range{2.0, 10000.0},
         .standard = "the fewest that do",
         .meaning = "Number of links."});
  size("inner_width", &Chain::inner_width, "Inner width.");
  size("inner_height", &Chain::inner_height, "Inner height.");
  size("outer_width", &Chain::outer_width, "Outer width.");
  size("outer_height", &Chain::outer_height, "Outer height.");
  t.key("mass", &Chain::mass,
        {.unit = Unit::kg_per_m,
         .range = Range{0.0, 1000.0},
         .required = true,
         .meaning = "Mass per metre when it is empty."});
  t.key("end_straight", &Chain::end_straight,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "Straight length wanted at each bracket before the bend begins."});
  t.key("load_span", &Chain::load_span,
        {.unit = Unit::load_span,
         .range = k_size_or_none,
         .meaning = "The maker's pairs [kg/m of fill, unsupported length], rising load."});
  t.key("dividers", &Chain::dividers,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "Middles of its dividers, from the left inner wall."});
  t.key("divider_thickness", &Chain::divider_thickness,
        {.unit = Unit::length, .range = k_size_or_none, .meaning = "Thickness of each divider."});
  t.key("room", &Chain::room,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "Free length beyond the brackets for its bend, measured on the machine."});
  t.key("may_touch", &Chain::may_touch,
        {.refers_to = {"part", "body"},
         .meaning = "Parts or bodies that it lies on or is bolted to."});
  t.key("back_bend_radius", &Chain::back_bend_radius,
        {.unit = Unit::length,
         .range = k_size,
         .standard = "its stops hold a run straight",
         .meaning = "Tightest bend against the folding direction: how far a free run sags."});
  t.key("tray", &Chain::tray,
        {.meaning = "false: nothing carries the lower run, it sticks out from its bracket."});
  t.tables_of("place", &Chain::places, place_table());
  return t;
}

TableOf<Rules> rules_table() {
  TableOf<Rules> t("rules", "What counts as good enough.");
  t.key("minimum_clearance", &Rules::minimum_clearance,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "Distance between parts that must not touch.",
         .source = "common practice"});
  t.key("free_line_clearance", &Rules::free_line_clearance,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .meaning = "Distance between a free line and parts that move against it.",
         .source = "IEC 60204-1, moving connections"});
  t.key("cable_clearance_percent", &Rules::cable_clearance_percent,
        {.unit = Unit::percent,
         .range = k_percent,
         .meaning = "Room around a cable in a chain, of its diameter.",
         .source = "common practice"});
  t.key("hose_clearance_percent", &Rules::hose_clearance_percent,
        {.unit = Unit::percent,
         .range = k_percent,
         .meaning = "Room around a hose in a chain, of its diameter.",
         .source = "common practice"});
  t.key("fill_area_percent", &Rules::fill_area_percent,
        {.unit = Unit::percent,
         .range = Range{0.0, 100.0, true},
         .meaning = "Largest share of a chain's inner area that lines may fill.",
         .source = "common practice"});
  t.key("default_multiple_moving", &Rules::default_multiple_moving,
        {.unit = Unit::diameters,
         .range = Range{0.0, 100.0, true},
         .meaning = "Smallest bend radius of a moving line whose article says nothing.",
         .source = "DGUV Information 203-079, 5.5"});
  t.key("default_multiple_fixed", &Rules::default_multiple_fixed,
        {.unit = Unit::diameters,
         .range = Range{0.0, 100.0, true},
         .meaning = "Smallest bend radius of a fixed line whose article says nothing.",
         .source = "DGUV Information 203-079, 5.5"});
  t.key("spare_percent", &Rules::spare_percent,
        {.unit = Unit::percent,
         .range = k_percent,
         .meaning = "Added to each cut length.",
         .source = "common practice"});
  t.key("clip_spacing", &Rules::clip_spacing,
        {.unit = Unit::length,
         .range = k_size,
         .meaning = "Distance of the clips of a clipped leg, for counting them.",
         .source = "common practice"});
  t.key("unthread_minutes_per_metre", &Rules::unthread_minutes_per_metre,
        {.range = Range{0.0, 1000.0},
         .meaning = "Minutes to pull a line out of a metre of chain and to thread it again.",
         .source = "common practice"});
  t.key("unclip_minutes", &Rules::unclip_minutes,
        {.range = Range{0.0, 1000.0},
         .meaning = "Minutes to undo one clip or hold and to do it up again.",
         .source = "common practice"});
  return t;
}

TableOf<Option> option_table() {
  TableOf<Option> t("option",
                    "A named variant of the plan: what stands in its [option.set] replaces values "
                    "of the plan.");
  t.key("name", &Option::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("about", &Option::about, {.meaning = "What it is for, in a sentence."});
  t.key("set", &Option::set,
        {.required = true, .meaning = "\"table.name.key\" = value, once for each replaced value."});
  return t;
}

const TableOf<Plan>& plan_schema() {
  static const TableOf<Plan> schema = [] {
    TableOf<Plan> t("", "At the top of the file, before the first table.");
    t.key_read_elsewhere("format", KeyType::whole_number,
                         {.range = Range{1.0, 1.0},
                          .required = true,
                          .meaning = "Number of the file format; 1 is the only one."});
    t.key_read_elsewhere("units", KeyType::choice,
                         {.choices = {"mm", "in"},
                          .standard = "\"mm\"",
                          .meaning = "Unit of all lengths: mm, or inches with in/min and in/s^2. "
                                     "Mass, force, stiffness and conductor areas stay metric."});
    t.key("name", &Plan::name,
          {.standard = "the file's name", .meaning = "Name of the machine or project."});
    t.key("about", &Plan::about, {.meaning = "What this plan is for, in a sentence."});
    t.key("currency", &Plan::currency, {.meaning = "Of the prices; shown in the report."});
    t.tables_of("joint", &Plan::joints, joint_table());
    t.table_of("frame", &Plan::frame, frame_table());
    t.tables_of("body", &Plan::bodies, body_table());
    t.tables_of("part", &Plan::parts, part_table());
    t.tables_of("touching", &Plan::touching, touching_table());
    t.tables_of("gap", &Plan::gaps, gap_table());
    t.tables_of("switch", &Plan::switches, switch_table());
    t.table_of("tool", &Plan::tool, tool_table());
    t.tables_of("work_area", &Plan::work_areas, work_area_table());
    t.table_of("work_offset", &Plan::work_offset, work_offset_table());
    t.tables_of("article", &Plan::articles, article_table());
    t.tables_of("line", &Plan::lines, line_table());
    t.tables_of("run", &Plan::runs, run_table());
    t.tables_of("anchor", &Plan::anchors, anchor_table());
    t.tables_of("support", &Plan::supports, support_table());
    t.tables_of("chain", &Plan::chains, chain_table());
    t.table_of("rules", &Plan::rules, rules_table());
    t.tables_of("option", &Plan::options, option_table());
    return t;
  }();
  return schema;
}

}  // namespace bight::plan
