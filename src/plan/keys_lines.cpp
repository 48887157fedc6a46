// The keys that describe cables and hoses.

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
         .meaning = "Bending stiffness EI; 0: limp, as a chain."});
  t.key("max_pull", &Article::max_pull,
        {.unit = Unit::newton, .range = Range{0.0, 1e6, true}, .meaning = "Largest pull on it."});
  t.key("cores", &Article::cores,
        {.range = Range{0.0, 1000.0},
         .meaning = "Number of conductors; a line with a circuit needs 2, with three phases 3."});
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

}  // namespace bight::plan
