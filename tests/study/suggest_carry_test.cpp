// What has to move with an anchor, on a post that stands on a foot: places and sizes by hand.

#include "study/suggest_carry.h"

#include <algorithm>

#include "plan_fixture.h"

namespace bight::study {
namespace {

/// A plate on the carriage, a foot that sticks out 200 mm to the left of it, a post at the foot's
/// end with an anchor on top, to which a clipped cord leads up the post.
std::string post_plan() {
  return small_machine() + R"(
[[part]]
name = "plate"
body = "carriage"
at = [0, 50, 300]
size = [400, 20, 400]
[[part]]
name = "foot"
body = "carriage"
at = [-200, 50, 300]
size = [200, 20, 20]
[[part]]
name = "post"
body = "carriage"
at = [-200, 50, 320]
size = [20, 20, 180]
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.2
[[anchor]]
name = "top"
body = "carriage"
at = [-190, 40, 500]
[[anchor]]
name = "outlet"
at = [500, 600, 900]
[[anchor]]
name = "boss"
body = "head"
at = [0, 0, 310]
[[run]]
name = "way"
[[run.leg]]
way = "fixed"
body = "carriage"
points = [[-190, 40, 330], [-190, 40, 500]]
[[run.leg]]
way = "free"
from = "top"
to = "boss"
[[line]]
name = "cord"
article = "cable"
run = "way"
)";
}

class Carry : public ::testing::Test {
 protected:
  void SetUp() override {
    Diagnostics diagnostics;
    plan_ = plan::read_plan(post_plan(), "test.toml", "", diagnostics);
    ASSERT_TRUE(plan_);
    machine_ = machine::build_machine(*plan_, cache_, diagnostics);
    ASSERT_FALSE(diagnostics.has_errors());
    context_.emplace(Context{*plan_, machine_, options_, LengthUnit::mm});
    carriers_.emplace(*context_);
  }

  static std::string value(const std::vector<PlanChange>& way, const std::string& path) {
    for (const PlanChange& change : way) {
      if (change.path == path) return change.value;
    }
    return "";
  }

  std::optional<plan::Plan> plan_;
  machine::MeshCache cache_;
  machine::Machine machine_;
  StudyOptions options_;
  std::optional<Context> context_;
  std::optional<Carriers> carriers_;
};

TEST_F(Carry, AnAnchorSlidesAlongWhatCarriesIt) {
  const Ways ways = carriers_->move_hold("top", {-190, 40, 450}, "");
  ASSERT_FALSE(ways.empty());
  EXPECT_EQ(value(ways[0], "anchor.top.at"), "[-190, 40, 450]");
  EXPECT_EQ(value(ways[0], "part.post.at"), "");
  EXPECT_EQ(value(ways[0], "run.way.leg.1.points"), "[[-190, 40, 330], [-190, 40, 450]]");
}

TEST_F(Carry, AnAnchorAboveItsPostTakesALongerPost) {
  const Ways ways = carriers_->move_hold("top", {-190, 40, 600}, "");
  ASSERT_FALSE(ways.empty());
  EXPECT_EQ(value(ways[0], "part.post.size"), "[20, 20, 280]");
  EXPECT_EQ(value(ways[0], "part.post.at"), "") << "it stands where it stood";
  EXPECT_EQ(value(ways[0], "anchor.top.at"), "[-190, 40, 600]");
  EXPECT_EQ(value(ways[0], "run.way.leg.1.points"), "[[-190, 40, 330], [-190, 40, 600]]");
}

TEST_F(Carry, BesideThePostTheFootGrowsAndThePostGoesAlong) {
  const Ways ways = carriers_->move_hold("top", {-290, 40, 500}, "");
  ASSERT_FALSE(ways.empty());
  EXPECT_EQ(value(ways[0], "part.foot.at"), "[-300, 50, 300]");
  EXPECT_EQ(value(ways[0], "part.foot.size"), "[300, 20, 20]");
  EXPECT_EQ(value(ways[0], "part.post.at"), "[-300, 50, 320]");
  EXPECT_EQ(value(ways[0], "run.way.leg.1.points"), "[[-290, 40, 330], [-290, 40, 500]]");
}

TEST_F(Carry, NoWayLeavesTheAnchorInTheAir) {
  for (const Vec3& to : {Vec3(-290, 40, 500), Vec3(-190, 140, 500), Vec3(-190, 40, 600),
                         Vec3(-90, 40, 500), Vec3(-190, -160, 500)}) {
    for (const auto& way : carriers_->move_hold("top", to, "")) {
      const bool carried = std::any_of(way.begin(), way.end(), [](const PlanChange& c) {
        return c.path.rfind("part.", 0) == 0;
      });
      EXPECT_TRUE(carried) << way.front().what;
    }
  }
}

TEST_F(Carry, WhatNothingCarriesMovesAlone) {
  const Ways ways = carriers_->move_hold("outlet", {0, 600, 900}, "along the wall");
  ASSERT_EQ(ways.size(), 1U);
  ASSERT_EQ(ways[0].size(), 1U);
  EXPECT_EQ(ways[0][0].path, "anchor.outlet.at");
}

TEST_F(Carry, APartTakesWhatStandsOnItAndIsHeldThere) {
  // The foot slides along the plate, down by 10 mm.
  const Ways ways = carriers_->move_part("foot", {0, 0, -10}, "down");
  ASSERT_FALSE(ways.empty());
  const auto& way = ways.back();
  EXPECT_EQ(value(way, "part.foot.at"), "[-200, 50, 290]");
  EXPECT_EQ(value(way, "part.post.at"), "[-200, 50, 310]");
  EXPECT_EQ(value(way, "anchor.top.at"), "[-190, 40, 490]");
}

TEST_F(Carry, WhatABodyIsBuiltOnStays) {
  EXPECT_TRUE(carriers_->move_part("plate", {0, 0, 50}, "up").empty());
}

}  // namespace
}  // namespace bight::study
