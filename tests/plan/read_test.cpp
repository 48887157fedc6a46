#include "plan/read.h"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>

#include "base/file.h"
#include "base/tolerance.h"

namespace bight::plan {
namespace {

std::string corpus(const std::string& name) {
  const FileText read = read_file(
      std::filesystem::path(BIGHT_SOURCE_DIR) / "tests" / "corpus" / "plan" / "good" / name,
      k_plan_bytes_limit);
  EXPECT_TRUE(read.text) << read.problem;
  return read.text.value_or("");
}

Plan good(const std::string& text, const std::string& option = "") {
  Diagnostics diagnostics;
  auto plan = read_plan(text, "shed.toml", option, diagnostics);
  for (const Diagnostic& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  return plan.value_or(Plan{});
}

/// A joint that carries nothing is the least there is to a plan.
const std::string k_least = "format = 1\n[[joint]]\nname = \"Y\"\ntravel = [0, 800]\n";

TEST(ReadPlan, FillsEveryMemberFromItsKey) {
  const Plan plan = good(corpus("every_key.toml"));
  EXPECT_EQ(plan.name, "Every key");
  EXPECT_EQ(plan.about, "Exercises the reader.");
  EXPECT_EQ(plan.currency, "CHF");
  EXPECT_FALSE(plan.inches);

  ASSERT_EQ(plan.joints.size(), 4U);
  EXPECT_EQ(plan.joints[0].name, "X");
  EXPECT_EQ(plan.joints[0].travel, (std::array<double, 2>{0.0, 1200.0}));
  EXPECT_EQ(plan.joints[0].stops, (std::array<double, 2>{-10.0, 1210.0}));
  EXPECT_EQ(plan.joints[0].speed, 6000.0);
  EXPECT_EQ(plan.joints[0].acceleration, 1000.0);
  EXPECT_FALSE(plan.joints[0].moves_work);
  EXPECT_FALSE(plan.joints[1].stops);
  EXPECT_FALSE(plan.joints[1].speed);
  EXPECT_EQ(plan.joints[2].home, End::high);
  EXPECT_TRUE(plan.joints[3].moves_work);

  ASSERT_TRUE(plan.frame);
  EXPECT_FALSE(plan.frame->moving_table);
  EXPECT_EQ(plan.frame->bed_size, Vec2(1400.0, 1100.0));
  EXPECT_EQ(plan.frame->bed_height, 750.0);
  EXPECT_EQ(plan.frame->carriage_size, Vec3(125.0, 15.0, 120.0));
  EXPECT_EQ(plan.frame->running_gap, 3.0);
  EXPECT_EQ(plan.frame->tool_length, 40.0);
  EXPECT_EQ(plan.frame->tip, Vec3(100.0, 150.0, 130.0));

  ASSERT_EQ(plan.bodies.size(), 2U);
  EXPECT_EQ(plan.bodies[1].carried_by, k_ground);
  EXPECT_EQ(plan.bodies[1].joint, "Y");
  EXPECT_EQ(plan.bodies[1].ratio, 0.5);

  ASSERT_EQ(plan.parts.size(), 5U);
  const Part& box = plan.parts[0];
  EXPECT_EQ(box.role, Role::surroundings);
  EXPECT_EQ(box.turn, Vec3(0.0, 0.0, 45.0));
  EXPECT_EQ(box.minimum_clearance, 8.0);
  EXPECT_EQ(plan.parts[1].shape, ShapeKind::cylinder);
  EXPECT_EQ(plan.parts[1].along, AxisLetter::z);
  EXPECT_EQ(plan.parts[2].shape, ShapeKind::capsule);
  EXPECT_EQ(plan.parts[2].along, AxisLetter::x);
  EXPECT_EQ(plan.parts[3].role, Role::clamp);
  EXPECT_EQ(plan.parts[3].outline.size(), 6U);
  EXPECT_EQ(plan.parts[3].outline[2], Vec2(40.0, 10.0));
  EXPECT_EQ(plan.parts[4].file, "meshes/cover.stl");
  EXPECT_EQ(plan.parts[4].file_unit_mm, 25.4);
  EXPECT_EQ(plan.parts[4].file_up, AxisLetter::y);
  EXPECT_FALSE(plan.parts[4].present);

  EXPECT_EQ(plan.touching.at(0).between[1], "rail");
  EXPECT_EQ(plan.touching.at(0).why, "The post is bolted to the rail.");
  EXPECT_EQ(plan.gaps.at(0).limb, "finger");
  EXPECT_EQ(plan.switches.at(0).actuator_size, Vec3(30.0, 10.0, 20.0));
  EXPECT_EQ(plan.switches.at(0).overtravel, 12.0);
  ASSERT_TRUE(plan.tool);
  EXPECT_EQ(plan.tool->body, "head");
  EXPECT_EQ(plan.work_areas.at(0).to, Vec3(1300.0, 950.0, 100.0));
  ASSERT_TRUE(plan.work_offset);
  EXPECT_EQ(plan.work_offset->name, "G55");

  const Article& cord = plan.articles.at(0);
  EXPECT_EQ(cord.kind, LineKind::power);
  EXPECT_EQ(cord.bend_radius_moving, 70.0);
  EXPECT_FALSE(cord.bend_multiple_moving);
  EXPECT_EQ(cord.stiffness, 0.02);
  EXPECT_EQ(cord.cores, 3);
  EXPECT_TRUE(cord.tinned && cord.screened);
  EXPECT_EQ(cord.connector, Vec2(40.0, 30.0));
  EXPECT_EQ(cord.purchase_step, 500.0);
  EXPECT_EQ(plan.articles.at(1).bend_multiple_fixed, 4.0);

  const Line& line = plan.lines.at(0);
  EXPECT_EQ(line.service_loop, 100.0);
  ASSERT_TRUE(line.circuit);
  EXPECT_EQ(line.circuit->system, Circuit::System::single_phase);
  EXPECT_EQ(line.circuit->power_factor, 0.9);
  EXPECT_EQ(line.circuit->max_drop_percent, 3.0);
  EXPECT_FALSE(plan.lines.at(1).circuit);

  const plan::Run& run = plan.runs.at(0);
  ASSERT_EQ(run.legs.size(), 2U);
  EXPECT_EQ(run.legs[0].way, LegWay::fixed);
  EXPECT_EQ(run.legs[0].points.size(), 3U);
  EXPECT_EQ(run.legs[0].bend_radius, 50.0);
  EXPECT_EQ(run.legs[1].length, 2400.0);
  EXPECT_EQ(run.legs[1].keep_above, 20.0);
  EXPECT_EQ(run.legs[1].may_touch, (std::vector<std::string>{"rail", "gantry"}));
  EXPECT_EQ(plan.runs.at(1).legs.at(0).chain, "Y chain");
  EXPECT_EQ(plan.anchors.at(0).direction, Vec3(0.0, 0.0, 1.0));  // scaled to length 1
  EXPECT_EQ(plan.supports.at(0).max_load, 100.0);

  const Chain& chain = plan.chains.at(0);
  EXPECT_EQ(chain.opens, Vec3(0.0, 1.0, 0.0));
  EXPECT_EQ(chain.links, 26);
  EXPECT_EQ(chain.load_span.at(1), Vec2(1.0, 1200.0));
  EXPECT_EQ(chain.dividers, (std::vector<double>{20.0, 35.0}));
  EXPECT_EQ(chain.room, 300.0);
  EXPECT_EQ(chain.places.at(0).line, "air");
  EXPECT_EQ(chain.places.at(0).at, Vec2(10.0, 12.0));

  EXPECT_EQ(plan.rules.minimum_clearance, 6.0);
  EXPECT_EQ(plan.rules.spare_percent, 7.0);
  ASSERT_EQ(plan.options.size(), 2U);
  EXPECT_EQ(plan.options[0].set.size(), 6U);
  EXPECT_EQ(plan.options[0].set[0].path, "run.overhead.leg.2.length");
  EXPECT_EQ(plan.options[0].set[0].value, "2700");
}

TEST(ReadPlan, TakesTheDefaultsOfItsTypes) {
  const Plan plan = good(k_least + "[[part]]\nname = \"post\"\nsize = [1, 2, 3]\n");
  EXPECT_EQ(plan.name, "shed");  // of the file
  EXPECT_EQ(plan.currency, "EUR");
  EXPECT_EQ(plan.joints.at(0).direction, Vec3(0.0, 1.0, 0.0));  // ISO 841: along its letter
  EXPECT_EQ(plan.parts.at(0).body, k_ground);
  EXPECT_EQ(plan.parts.at(0).role, Role::machine);
  EXPECT_TRUE(plan.parts.at(0).present);
  EXPECT_EQ(plan.rules.free_line_clearance, 25.0);      // IEC 60204-1
  EXPECT_EQ(plan.rules.default_multiple_moving, 10.0);  // DGUV Information 203-079
  EXPECT_FALSE(plan.frame || plan.tool || plan.work_offset);
}

TEST(ReadPlan, GivesEveryElementItsPlaceInTheFile) {
  const Plan plan = good(k_least + "\n[[part]]\nname = \"post\"\nsize = [1, 2, 3]\n");
  EXPECT_EQ(plan.joints.at(0).place.line, 2);
  EXPECT_EQ(plan.parts.at(0).place.line, 6);
  EXPECT_EQ(plan.parts.at(0).place.file, "shed.toml");
}

TEST(ReadPlan, AcceptsWholeNumbersForNumbers) {
  EXPECT_EQ(good(k_least).joints.at(0).travel[1], 800.0);
}

// Everything that is a length, a speed or an acceleration grows by 25.4, nothing else does.
TEST(ReadPlan, ConvertsInchesOfLengthsAlone) {
  std::string text = corpus("every_key.toml");
  const Plan mm = good(text);
  text.replace(text.find("units = \"mm\""), 12, "units = \"in\"");
  const Plan in = good(text);
  EXPECT_TRUE(in.inches);
  const auto grown = [](double value, double from) {
    EXPECT_NEAR(value, 25.4 * from, 1e-9 * std::abs(25.4 * from));
  };
  grown(in.joints[0].travel[1], mm.joints[0].travel[1]);
  grown((*in.joints[0].stops)[0], (*mm.joints[0].stops)[0]);
  grown(*in.joints[0].speed, *mm.joints[0].speed);
  grown(*in.joints[0].acceleration, *mm.joints[0].acceleration);
  grown(in.frame->bed_size.x, mm.frame->bed_size.x);
  grown(in.frame->tip.z, mm.frame->tip.z);
  grown(in.parts[3].outline[1].x, mm.parts[3].outline[1].x);
  grown(*in.parts[0].minimum_clearance, *mm.parts[0].minimum_clearance);
  grown(in.articles[0].outside_diameter, mm.articles[0].outside_diameter);
  grown(in.articles[0].purchase_step, mm.articles[0].purchase_step);
  grown(in.runs[0].legs[0].points[1].z, mm.runs[0].legs[0].points[1].z);
  grown(*in.runs[0].legs[1].length, *mm.runs[0].legs[1].length);
  grown(in.chains[0].load_span[1].y, mm.chains[0].load_span[1].y);
  grown(in.chains[0].dividers[1], mm.chains[0].dividers[1]);
  grown(in.rules.minimum_clearance, mm.rules.minimum_clearance);

  EXPECT_EQ(in.chains[0].load_span[1].x, mm.chains[0].load_span[1].x);
  EXPECT_EQ(in.chains[0].mass, mm.chains[0].mass);
  EXPECT_EQ(in.chains[0].links, mm.chains[0].links);
  EXPECT_EQ(in.articles[0].mass, mm.articles[0].mass);
  EXPECT_EQ(in.articles[0].core_area, mm.articles[0].core_area);
  EXPECT_EQ(in.articles[0].stiffness, mm.articles[0].stiffness);
  EXPECT_EQ(in.articles[1].bend_multiple_moving, mm.articles[1].bend_multiple_moving);
  EXPECT_EQ(in.parts[0].turn, mm.parts[0].turn);
  EXPECT_EQ(in.parts[4].file_unit_mm, mm.parts[4].file_unit_mm);
  EXPECT_EQ(in.anchors[0].direction, mm.anchors[0].direction);
  EXPECT_EQ(in.bodies[1].ratio, mm.bodies[1].ratio);
  EXPECT_EQ(in.lines[0].circuit->voltage, mm.lines[0].circuit->voltage);
  // A default is a length of its own, not one of the file.
  EXPECT_EQ(good("format = 1\nunits = \"in\"\n").rules.minimum_clearance, 5.0);
}

TEST(ReadPlan, AppliesAnOptionByItsPaths) {
  const std::string text = corpus("every_key.toml");
  const Plan plan = good(text, "longer cord");
  EXPECT_EQ(plan.chosen_option, "longer cord");
  EXPECT_EQ(plan.runs[0].legs[1].length, 2700.0);
  EXPECT_TRUE(plan.parts[4].present);
  EXPECT_EQ(plan.gaps[0].limb, "hand");
  EXPECT_EQ(plan.chains[0].places[0].at, Vec2(8.0, 12.0));
  EXPECT_EQ(plan.lines[1].termination_end, 80.0);  // a key that the base does not have
  EXPECT_EQ(plan.rules.spare_percent, 0.0);
  EXPECT_EQ(plan.lines[0].termination_end, 250.0);  // everything else stays

  const Plan dotted = good(text, "dotted keys");
  EXPECT_EQ(dotted.tool->tip.z, 130.0);
  EXPECT_EQ(dotted.lines[0].circuit->current, 8.0);
}

TEST(ReadPlan, MakesATableThatOnlyAnOptionHas) {
  const Plan plan =
      good(k_least + "[[option]]\nname = \"a\"\n[option.set]\n\"rules.spare_percent\" = 9\n", "a");
  EXPECT_EQ(plan.rules.spare_percent, 9.0);
  EXPECT_EQ(plan.rules.minimum_clearance, 5.0);
}

TEST(ReadPlan, ReadsThePlanAndAllItsOptionsInOneGo) {
  Diagnostics diagnostics;
  const auto plans = read_plan_and_options(corpus("every_key.toml"), "e.toml", diagnostics);
  ASSERT_TRUE(plans);
  ASSERT_EQ(plans->size(), 3U);
  EXPECT_EQ((*plans)[0].chosen_option, "");
  EXPECT_EQ((*plans)[1].chosen_option, "longer cord");
  EXPECT_EQ((*plans)[2].chosen_option, "dotted keys");
  EXPECT_EQ((*plans)[0].runs[0].legs[1].length, 2400.0);
}

TEST(ReadPlan, SaysWhichOptionsThereAreWhenTheChosenOneIsNot) {
  Diagnostics diagnostics;
  EXPECT_FALSE(read_plan(corpus("every_key.toml"), "e.toml", "short cord", diagnostics));
  ASSERT_EQ(diagnostics.items().size(), 1U);
  EXPECT_EQ(diagnostics.items()[0].allowed, "\"longer cord\" or \"dotted keys\"");
}

TEST(ReadPlan, ReadsTheSameFromWindowsLineEnds) {
  const std::string text = corpus("every_key.toml");
  std::string windows;
  for (const char c : text) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
  const Plan plan = good(windows);
  EXPECT_EQ(plan.chains.at(0).place.line, good(text).chains.at(0).place.line);
}

TEST(ReadPlan, RefusesATextThatIsTooLarge) {
  Diagnostics diagnostics;
  const std::string text = k_least + std::string(k_plan_bytes_limit, '#');
  EXPECT_FALSE(read_plan(text, "big.toml", "", diagnostics));
  ASSERT_EQ(diagnostics.items().size(), 1U);
  EXPECT_NE(diagnostics.items()[0].message.find("too large"), std::string::npos);
}

TEST(ReadPlan, NeedsNoMoreThanAFormat) {
  const Plan plan = good("format = 1\n");
  EXPECT_TRUE(plan.joints.empty());
}

// Bodies of a frame may be referred to, and a part or body of its name replaces the frame's.
TEST(ReadPlan, KnowsWhatAFrameMakes) {
  std::string text = corpus("every_key.toml");
  text += "\n[[part]]\nname = \"router\"\nbody = \"head\"\nsize = [60, 60, 200]\n";
  EXPECT_EQ(good(text).parts.back().name, "router");
}

TEST(LoadPlan, ReadsFromDiskAndReportsWhatIsNotThere) {
  const auto path = std::filesystem::temp_directory_path() / "bight_read_test.toml";
  std::ofstream(path) << k_least;
  Diagnostics diagnostics;
  const auto plan = load_plan(path, "", diagnostics);
  ASSERT_TRUE(plan);
  EXPECT_EQ(plan->file, path.string());
  std::filesystem::remove(path);
  EXPECT_FALSE(load_plan(path, "", diagnostics));
  EXPECT_TRUE(diagnostics.has_errors());
}

TEST(DemoPlan, ReadsWithoutErrors) {
  Diagnostics diagnostics;
  const auto path = std::filesystem::path(BIGHT_SOURCE_DIR) / "assets" / "demo" / "plan.toml";
  const auto plans = load_plan_and_options(path, diagnostics);
  for (const Diagnostic& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  EXPECT_TRUE(plans);
}

}  // namespace
}  // namespace bight::plan
