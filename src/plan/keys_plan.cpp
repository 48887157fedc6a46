// The top of the plan file, its rules and options, and the list of its tables.

#include "plan/schema_detail.h"

namespace bight::plan {

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
  t.key("highest_hook", &Rules::highest_hook,
        {.unit = Unit::length,
         .range = k_position,
         .standard = "under the ceiling, where the plan has one",
         .meaning = "Z above which no hook can be put up."});
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
