#include "machine/machine.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "machine/load_parts.h"

namespace bight::machine {
namespace {

/// A folder of its own that goes away with the test.
class MachineOfFiles : public ::testing::Test {
 protected:
  MachineOfFiles()
      : folder_(std::filesystem::temp_directory_path() /
                ("bight_machine_test_" +
                 std::string(testing::UnitTest::GetInstance()->current_test_info()->name()))) {
    std::filesystem::create_directories(folder_);
  }
  ~MachineOfFiles() override { std::filesystem::remove_all(folder_); }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name) << text;
  }

  plan::Plan plan_of(std::vector<plan::Part> parts) const {
    plan::Plan plan;
    plan.file = (folder_ / "plan.toml").string();
    plan.parts = std::move(parts);
    return plan;
  }

  std::filesystem::path folder_;
};

plan::Part box(const std::string& name, const Vec3& at, const Vec3& size) {
  plan::Part p;
  p.name = name;
  p.at = at;
  p.size = size;
  return p;
}

plan::Part mesh(const std::string& name, const std::string& file, int line) {
  plan::Part p;
  p.name = name;
  p.shape = plan::ShapeKind::mesh;
  p.file = file;
  p.place = {"plan.toml", line, 1};
  return p;
}

/// A wedge, 20 long in X, 10 deep in Y, rising to 5 in Z at its far end; one unit is one inch or
/// one mm as the reader is told. `faces` closes it or not.
std::string wedge(bool closed) {
  std::string text =
      "v 0 0 0\nv 20 0 0\nv 20 10 0\nv 0 10 0\nv 20 0 5\nv 20 10 5\n"
      "f 1 4 3 2\nf 1 5 6 4\nf 2 3 6 5\nf 1 2 5\n";
  if (closed) text += "f 4 6 3\n";
  return text;
}

TEST(Machine, ABoxStandsAtItsLowestCorner) {
  Diagnostics diagnostics;
  MeshCache cache;
  plan::Plan plan;
  plan.rules.minimum_clearance = 7;
  plan.parts = {box("cabinet", {10, 20, 30}, {100, 200, 300})};
  const Machine machine = build_machine(plan, cache, diagnostics);
  EXPECT_TRUE(diagnostics.items().empty());
  ASSERT_EQ(machine.parts.size(), 1U);
  const Box bounds = shape::bounds(machine.parts[0].solid->mesh);
  EXPECT_EQ(bounds.lower, Vec3(10, 20, 30));
  EXPECT_EQ(bounds.upper, Vec3(110, 220, 330));
  EXPECT_TRUE(machine.parts[0].solid->closed);
  EXPECT_EQ(machine.parts[0].minimum_clearance_mm, 7.0);
  EXPECT_EQ(machine.parts[0].body, 0U);
}

// Turned by 90 degrees about Z through its corner, the box's X side points along Y and its Y side
// along -X (right-hand rule).
TEST(Machine, APartTurnsThroughItsPlace) {
  Diagnostics diagnostics;
  MeshCache cache;
  plan::Plan plan;
  plan.parts = {box("rail", {10, 20, 30}, {100, 8, 5})};
  plan.parts[0].turn = {0, 0, 90};
  const Machine machine = build_machine(plan, cache, diagnostics);
  const Box bounds = shape::bounds(machine.parts.at(0).solid->mesh);
  EXPECT_EQ(bounds.lower, Vec3(2, 20, 30));
  EXPECT_EQ(bounds.upper, Vec3(10, 120, 35));
}

// About X first: the box's Z side goes to -Y; then about Z: that points along +X.
TEST(Machine, TurnsAreMadeAboutXThenYThenZ) {
  Diagnostics diagnostics;
  MeshCache cache;
  plan::Plan plan;
  plan.parts = {box("post", {0, 0, 0}, {1, 2, 300})};
  plan.parts[0].turn = {90, 0, 90};
  const Machine machine = build_machine(plan, cache, diagnostics);
  const Box bounds = shape::bounds(machine.parts.at(0).solid->mesh);
  EXPECT_EQ(bounds.lower, Vec3(0, 0, 0));
  EXPECT_EQ(bounds.upper, Vec3(300, 1, 2));
}

TEST(Machine, APartThatIsNotPresentIsNotThere) {
  Diagnostics diagnostics;
  MeshCache cache;
  plan::Plan plan;
  plan.parts = {box("a", {0, 0, 0}, {1, 1, 1}), box("b", {0, 0, 0}, {1, 1, 1})};
  plan.parts[0].present = false;
  const Machine machine = build_machine(plan, cache, diagnostics);
  ASSERT_EQ(machine.parts.size(), 1U);
  EXPECT_EQ(machine.parts[0].name, "b");
}

TEST(Machine, AProfileThatCrossesItselfIsAnErrorAtItsPlace) {
  Diagnostics diagnostics;
  MeshCache cache;
  plan::Plan plan;
  plan::Part bow;
  bow.name = "bow tie";
  bow.shape = plan::ShapeKind::profile;
  bow.outline = {{0, 0}, {10, 10}, {10, 0}, {0, 10}};
  bow.length = 50;
  bow.place = {"plan.toml", 12, 1};
  plan.parts = {bow, box("b", {0, 0, 0}, {1, 1, 1})};
  const Machine machine = build_machine(plan, cache, diagnostics);
  EXPECT_TRUE(diagnostics.has_errors());
  EXPECT_EQ(diagnostics.items().at(0).place.line, 12);
  EXPECT_EQ(machine.parts.size(), 1U);
}

TEST_F(MachineOfFiles, AMeshIsScaledTurnedUpAndPut) {
  write("wedge.obj", wedge(true));
  auto part = mesh("wedge", "wedge.obj", 3);
  part.file_unit_mm = 25.4;
  part.file_up = plan::AxisLetter::y;  // its Y (10) is up, its Z (5) points to -Y of the plan
  part.at = {100, 0, 0};
  Diagnostics diagnostics;
  MeshCache cache;
  const Machine machine = build_machine(plan_of({part}), cache, diagnostics);
  for (const auto& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  ASSERT_EQ(machine.parts.size(), 1U);
  const Box bounds = shape::bounds(machine.parts[0].solid->mesh);
  EXPECT_NEAR(bounds.upper.x, 100 + 508.0, 1e-4);
  EXPECT_NEAR(bounds.lower.y, -127.0, 1e-4);
  EXPECT_NEAR(bounds.upper.z, 254.0, 1e-4);
  EXPECT_TRUE(machine.parts[0].solid->closed);
}

TEST_F(MachineOfFiles, AnOpenMeshIsAWarningSaidOnceAndStillBuilt) {
  write("wedge.obj", wedge(false));
  Diagnostics diagnostics;
  MeshCache cache;
  const Machine machine = build_machine(
      plan_of({mesh("left", "wedge.obj", 3), mesh("right", "wedge.obj", 9)}), cache, diagnostics);
  EXPECT_FALSE(diagnostics.has_errors());
  ASSERT_EQ(diagnostics.items().size(), 1U);
  EXPECT_EQ(diagnostics.items()[0].severity, Severity::warning);
  EXPECT_EQ(diagnostics.items()[0].place.line, 3);
  EXPECT_NE(diagnostics.items()[0].message.find("wedge.obj"), std::string::npos);
  ASSERT_EQ(machine.parts.size(), 2U);
  EXPECT_FALSE(machine.parts[0].solid->closed);
  EXPECT_EQ(machine.parts[0].solid, machine.parts[1].solid);  // the same shape in the same place
}

// Two closed wedges in one file, as an assembly is exported: two shells, which is no fault.
TEST_F(MachineOfFiles, AnAssemblyOfSeveralShellsIsBuiltWithoutAWord) {
  write("pair.obj", wedge(true) +
                        "v 0 0 9\nv 20 0 9\nv 20 10 9\nv 0 10 9\nv 20 0 14\nv 20 10 14\n"
                        "f 7 10 9 8\nf 7 11 12 10\nf 8 9 12 11\nf 7 8 11\nf 10 12 9\n");
  Diagnostics diagnostics;
  MeshCache cache;
  const Machine machine = build_machine(plan_of({mesh("pair", "pair.obj", 3)}), cache, diagnostics);
  for (const auto& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  ASSERT_EQ(machine.parts.size(), 1U);
  EXPECT_TRUE(machine.parts[0].solid->closed);
}

TEST_F(MachineOfFiles, AMissingMeshIsAnErrorAtItsPartAndIsTriedAgain) {
  Diagnostics diagnostics;
  MeshCache cache;
  const plan::Plan plan = plan_of({mesh("wedge", "wedge.obj", 7)});
  EXPECT_TRUE(build_machine(plan, cache, diagnostics).parts.empty());
  ASSERT_TRUE(diagnostics.has_errors());
  EXPECT_EQ(diagnostics.items()[0].place.line, 7);

  write("wedge.obj", wedge(true));
  Diagnostics again;
  EXPECT_EQ(build_machine(plan, cache, again).parts.size(), 1U);
  EXPECT_FALSE(again.has_errors());
}

TEST_F(MachineOfFiles, AMeshInTheWrongUnitIsRefusedByItsReach) {
  write("far.obj",
        "v 0 0 0\nv 2000 0 0\nv 0 2000 0\nv 0 0 2000\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n");
  auto part = mesh("far", "far.obj", 4);
  part.file_unit_mm = 1000;  // 2 km
  Diagnostics diagnostics;
  MeshCache cache;
  EXPECT_TRUE(build_machine(plan_of({part}), cache, diagnostics).parts.empty());
  ASSERT_TRUE(diagnostics.has_errors());
  EXPECT_NE(diagnostics.items()[0].message.find("1 km"), std::string::npos);
  EXPECT_EQ(diagnostics.items()[0].allowed, "look at file_unit");
}

TEST_F(MachineOfFiles, ASecondBuildSharesWhatHasNotChanged) {
  write("wedge.obj", wedge(true));
  MeshCache cache;
  Diagnostics diagnostics;
  plan::Plan plan = plan_of({mesh("wedge", "wedge.obj", 3), box("b", {0, 0, 0}, {1, 1, 1})});
  const Machine first = build_machine(plan, cache, diagnostics);
  plan.parts[1].at.x = 5;
  const Machine second = build_machine(plan, cache, diagnostics);
  EXPECT_EQ(first.parts.at(0).solid, second.parts.at(0).solid);
  EXPECT_NE(first.parts.at(1).solid, second.parts.at(1).solid);
  plan.parts[1].at.x = 0;
  EXPECT_EQ(first.parts.at(1).solid, build_machine(plan, cache, diagnostics).parts.at(1).solid);
}

TEST_F(MachineOfFiles, AFileExportedAnewIsReadAnew) {
  write("wedge.obj", wedge(true));
  MeshCache cache;
  Diagnostics diagnostics;
  const plan::Plan plan = plan_of({mesh("wedge", "wedge.obj", 3)});
  const Machine first = build_machine(plan, cache, diagnostics);
  write("wedge.obj", wedge(true) + "# exported again\n");
  EXPECT_NE(first.parts.at(0).solid, build_machine(plan, cache, diagnostics).parts.at(0).solid);
}

TEST_F(MachineOfFiles, TheNumberOfThreadsChangesNothing) {
  write("open.obj", wedge(false));
  write("bad.obj", "v 0 0 nan\nf 1 1 1\n");
  std::vector<plan::Part> parts;
  for (int i = 0; i < 12; ++i) {
    parts.push_back(box("box", Vec3(i), {1, 1, 1}));
    parts.push_back(mesh("m", i % 2 == 0 ? "open.obj" : "bad.obj", i));
    parts.back().at.x = i;
  }
  const std::string file = (folder_ / "plan.toml").string();
  const auto run = [&](unsigned threads) {
    MeshCache cache;
    Diagnostics diagnostics;
    const auto solids = load_parts(parts, file, cache, diagnostics, threads);
    std::string text;
    for (const auto& d : diagnostics.items()) text += to_text(d) + '\n';
    for (const auto& s : solids) {
      text += s == nullptr ? "none\n" : std::to_string(shape::bounds(s->mesh).upper.x) + '\n';
    }
    return text;
  };
  const std::string one = run(1);
  EXPECT_EQ(one, run(4));
  EXPECT_NE(one.find("none"), std::string::npos);
}

TEST(Machine, BodiesAreFoundByName) {
  plan::Plan plan;
  plan::Body gantry;
  gantry.name = "gantry";
  plan.bodies = {gantry};
  Diagnostics diagnostics;
  MeshCache cache;
  const Machine machine = build_machine(plan, cache, diagnostics);
  EXPECT_EQ(machine.body_index("ground"), 0U);
  EXPECT_EQ(machine.body_index("gantry"), 1U);
  EXPECT_DEATH(machine.body_index("carriage"), "body");
}

}  // namespace
}  // namespace bight::machine
