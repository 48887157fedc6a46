#include "machine/load_parts.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>

namespace bight::machine {
namespace {

/// A folder of its own that goes away with the test.
class LoadParts : public ::testing::Test {
 protected:
  LoadParts()
      : folder_(std::filesystem::temp_directory_path() /
                ("bight_load_parts_test_" +
                 std::string(testing::UnitTest::GetInstance()->current_test_info()->name()))) {
    std::filesystem::create_directories(folder_);
  }
  ~LoadParts() override { std::filesystem::remove_all(folder_); }

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

TEST_F(LoadParts, AMeshIsScaledTurnedUpAndPut) {
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

TEST_F(LoadParts, AnOpenMeshIsStillBuiltAndItsHealthTellsOfTheRim) {
  write("wedge.obj", wedge(false));
  Diagnostics diagnostics;
  MeshCache cache;
  const Machine machine = build_machine(
      plan_of({mesh("left", "wedge.obj", 3), mesh("right", "wedge.obj", 9)}), cache, diagnostics);
  for (const auto& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  ASSERT_EQ(machine.parts.size(), 2U);
  EXPECT_FALSE(machine.parts[0].solid->closed);
  // The end that is left out has three edges of its own and shares none: a triangle.
  ASSERT_NE(machine.parts[0].health, nullptr);
  EXPECT_EQ(machine.parts[0].health->open_edges, 3U);
  EXPECT_EQ(machine.parts[1].health, machine.parts[0].health);
  EXPECT_EQ(machine.parts[0].solid, machine.parts[1].solid);  // the same shape in the same place
}

// Two closed wedges in one file, as an assembly is exported: two shells, which is no fault.
TEST_F(LoadParts, AnAssemblyOfSeveralShellsIsBuiltWithoutAWord) {
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

TEST_F(LoadParts, AMissingMeshIsAnErrorAtItsPartAndIsTriedAgain) {
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

TEST_F(LoadParts, AMeshInTheWrongUnitIsRefusedByItsReach) {
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

TEST_F(LoadParts, ASecondBuildSharesWhatHasNotChanged) {
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

TEST_F(LoadParts, AFileExportedAnewIsReadAnew) {
  write("wedge.obj", wedge(true));
  MeshCache cache;
  Diagnostics diagnostics;
  const plan::Plan plan = plan_of({mesh("wedge", "wedge.obj", 3)});
  const Machine first = build_machine(plan, cache, diagnostics);
  write("wedge.obj", wedge(true) + "# exported again\n");
  EXPECT_NE(first.parts.at(0).solid, build_machine(plan, cache, diagnostics).parts.at(0).solid);
}

TEST_F(LoadParts, TheNumberOfThreadsChangesNothing) {
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
    const auto loaded = load_parts(parts, file, cache, diagnostics, threads);
    std::string text;
    for (const auto& d : diagnostics.items()) text += to_text(d) + '\n';
    for (const auto& part : loaded) {
      text += part.solid == nullptr
                  ? "none\n"
                  : std::to_string(shape::bounds(part.solid->mesh).upper.x) + '\n';
    }
    return text;
  };
  const std::string one = run(1);
  EXPECT_EQ(one, run(4));
  EXPECT_NE(one.find("none"), std::string::npos);
}

}  // namespace
}  // namespace bight::machine
