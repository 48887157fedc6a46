// The keys that describe drag chains.

#include "plan/schema_detail.h"

namespace bight::plan {
namespace {

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

}  // namespace bight::plan
