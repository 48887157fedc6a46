// The keys that describe the ways of lines, and what holds free legs.

#include "plan/schema_detail.h"

namespace bight::plan {
namespace {

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
         .meaning = "Length between the two holds, when it is given; from a pulley on it counts "
                    "the whole line, with what hangs on its other side."});
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
         .meaning = "Z that its lowest point must stay above; without it the floor of "
                    "[frame], unless it may touch the floor."});
  t.key("may_touch", &Leg::may_touch,
        {.refers_to = {"part", "body", "chain"},
         .only_for = free,
         .meaning = "Parts, bodies or drag chains that it may lie on."});
  return t;
}

}  // namespace

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
  t.key("radius", &Anchor::radius,
        {.unit = Unit::length,
         .range = k_size,
         .standard = "not known",
         .meaning = "Radius of the saddle or loop in which a line bends that is free to turn there "
                    "and goes on in another leg."});
  return t;
}

}  // namespace bight::plan
