// The keys that describe overhead supports.

#include "plan/schema_detail.h"

namespace bight::plan {

TableOf<Support> support_table() {
  const OnlyFor trolley{"kind", {"trolley"}};
  const OnlyFor on_track{"kind", {"trolley", "festoon"}};
  const OnlyFor boom{"kind", {"boom"}};
  const OnlyFor pulley{"kind", {"pulley"}};
  const OnlyFor retractor{"kind", {"retractor"}};
  const OnlyFor cord{"kind", {"cord"}};
  const OnlyFor festoon{"kind", {"festoon"}};
  TableOf<Support> t("support", "An overhead support of free legs.");
  t.key("name", &Support::name, {.type = KeyType::name, .required = true, .meaning = "Its name."});
  t.key("kind", &Support::kind,
        {.choices = {"hook", "pulley", "trolley", "boom", "retractor", "cord", "festoon"},
         .meaning = "A hook stays where it is; over a pulley the line slides to a weight or a "
                    "tie-off; a trolley rolls freely on a straight track; a boom swings about a "
                    "post; a retractor pulls the line in; a cord stretches; a festoon is a row of "
                    "trolleys with equal loops between them."});
  t.key("body", &Support::body, {.refers_to = {"body"}, .meaning = "Body that it is fixed to."});
  t.key("at", &Support::at,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .meaning = "Where the line hangs, all joints at zero; a place on the track of a trolley, "
                    "the fixed end of a festoon, the post of a boom at the height of its tip, the "
                    "hook of a cord."});
  t.key("present", &Support::present,
        {.meaning = "false: only there in options that set it to true."});
  t.key("max_load", &Support::max_load,
        {.unit = Unit::newton,
         .range = Range{0.0, 1e6, true},
         .meaning = "Largest load that it carries."});
  t.key("radius", &Support::radius,
        {.unit = Unit::length,
         .range = k_size,
         .standard = "not known",
         .meaning = "Radius of what the line bends over there, at its inside: the wheel of a "
                    "pulley, the drum of a retractor, the saddle of the others."});
  t.key("track", &Support::track,
        {.type = KeyType::direction,
         .range = k_position,
         .required = true,
         .only_for = on_track,
         .meaning = "Direction of the track; of a festoon, level, from its fixed end to its tow."});
  t.key("range", &Support::range,
        {.unit = Unit::length,
         .range = k_position,
         .required = true,
         .only_for = trolley,
         .meaning = "Ends of the track, from `at` along it."});
  t.key("trolley_mass", &Support::trolley_mass,
        {.unit = Unit::kilogram,
         .range = Range{0.0, 1e4},
         .only_for = on_track,
         .meaning = "Mass of one trolley."});
  t.key("friction", &Support::friction,
        {.range = Range{0.0, 10.0},
         .only_for = OnlyFor{"kind", {"trolley", "festoon", "pulley"}},
         .meaning = "Coefficient of friction: of a trolley's wheels, of the line on a pulley."});
  t.key("arm", &Support::arm,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .only_for = boom,
         .meaning = "From its post to its tip; the line is tied along it."});
  t.key("swing", &Support::swing,
        {.unit = Unit::degree,
         .range = Range{-720.0, 720.0},
         .only_for = boom,
         .standard = "[0, 360], all round",
         .meaning = "Stops of the boom, from +X towards +Y."});
  t.key("friction_moment", &Support::friction_moment,
        {.unit = Unit::newton_m,
         .range = Range{0.0, 1e5},
         .only_for = boom,
         .meaning = "Moment that its pivot holds."});
  t.key("weight", &Support::weight,
        {.unit = Unit::kilogram,
         .range = Range{0.0, 1e4, true},
         .only_for = pulley,
         .meaning = "Weight on the line's other end."});
  t.key("drop", &Support::drop,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .only_for = pulley,
         .standard = "needed with `weight`",
         .meaning = "How far the weight can hang below the pulley: [where it meets the pulley, "
                    "where it meets the floor]."});
  t.key("tie_off", &Support::tie_off,
        {.unit = Unit::length,
         .range = k_position,
         .only_for = pulley,
         .meaning = "Where the line's other end is tied, instead of a weight; on the same body."});
  t.key("pull", &Support::pull,
        {.unit = Unit::newton,
         .range = Range{0.0, 1e6, true},
         .required = true,
         .only_for = retractor,
         .meaning = "Its constant pull."});
  t.key("friction_pull", &Support::friction_pull,
        {.unit = Unit::newton,
         .range = Range{0.0, 1e6},
         .only_for = retractor,
         .meaning = "The pull is less by this as the line goes in and more as it goes out."});
  t.key("paid_out", &Support::paid_out,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .only_for = retractor,
         .meaning = "Line outside of it when it is fully in and fully out."});
  t.key("cord_length", &Support::cord_length,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .required = true,
         .only_for = cord,
         .meaning = "Length of the cord without pull."});
  t.key("cord_stiffness", &Support::cord_stiffness,
        {.unit = Unit::newton_per_m,
         .range = Range{0.0, 1e7, true},
         .required = true,
         .only_for = cord,
         .meaning = "Pull for each metre that it is stretched."});
  t.key("max_stretch", &Support::max_stretch,
        {.unit = Unit::length,
         .range = k_size,
         .only_for = cord,
         .meaning = "How far it may be stretched."});
  t.key("loops", &Support::loops,
        {.range = Range{1.0, 1000.0},
         .required = true,
         .only_for = festoon,
         .meaning = "Number of loops; there is a free trolley between each two of them."});
  t.key("stacked_pitch", &Support::stacked_pitch,
        {.unit = Unit::length,
         .range = k_size,
         .required = true,
         .only_for = festoon,
         .meaning = "Distance of trolleys that are pushed together."});
  t.key("saddle", &Support::saddle,
        {.unit = Unit::length,
         .range = k_size_or_none,
         .only_for = festoon,
         .meaning = "Width of a trolley on which the line lies."});
  return t;
}

}  // namespace bight::plan
