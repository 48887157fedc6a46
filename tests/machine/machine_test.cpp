#include "machine/machine.h"

#include <gtest/gtest.h>

namespace bight::machine {
namespace {

plan::Part box(const std::string& name, const Vec3& at, const Vec3& size) {
  plan::Part p;
  p.name = name;
  p.at = at;
  p.size = size;
  return p;
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
