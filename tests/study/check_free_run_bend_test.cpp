// Lines that jump from one shape to another, and lines that have no shape: plans in which this
// happens, computed all the way from the text of the plan.

#include "study/check_free_run_bend.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "base/number.h"
#include "plan_fixture.h"
#include "study/free_run.h"

namespace bight::study {
namespace {

/// A cord from a post to the head, which passes it along X: both held in a direction.
std::string clamped(const std::string& post, const std::string& post_direction,
                    const std::string& head_direction, const std::string& length,
                    const std::string& stiffness, const std::string& mass = "0.3") {
  return small_machine() + "[[anchor]]\nname = \"post\"\nat = " + post +
         "\ndirection = " + post_direction +
         "\n[[anchor]]\nname = \"head clamp\"\nbody = \"head\"\nat = [0, 120, 600]\ndirection = " +
         head_direction + R"(
[[article]]
name = "cord"
kind = "power"
outside_diameter = 8
bend_radius_moving = 5
mass = )" +
         mass + "\nstiffness = " + stiffness + R"(
[[line]]
name = "supply"
article = "cord"
run = "overhead"
[[run]]
name = "overhead"
[[run.leg]]
way = "free"
from = "post"
to = "head clamp"
length = )" +
         length + "\n";
}

/// The run of a plan that has one, for following its line by hand.
struct OneRun {
  std::optional<plan::Plan> plan;
  machine::MeshCache cache;
  machine::Machine machine;
  StudyOptions options;
};
OneRun one_run(const std::string& text) {
  OneRun r;
  Diagnostics diagnostics;
  r.plan = plan::read_plan(text, "test.toml", "", diagnostics);
  EXPECT_TRUE(r.plan.has_value());
  r.machine = machine::build_machine(*r.plan, r.cache, diagnostics);
  return r;
}

std::string at_x(double x) {
  return "X " + fixed(x, 1);
}

/// The line of a plan along straight ways of (X, Z), in steps far below those of the check.
class Followed {
 public:
  explicit Followed(const std::string& plan)
      : r_(one_run(plan)),
        context_{*r_.plan, r_.machine, r_.options},
        run_(make_free_runs(context_).front()),
        rod_(make_rod(run_, rods_of(context_, run_, window_of(context_, run_).length_mm)[0].rod,
                      home_pose(context_))),
        at_(home_pose(context_)),
        shape_(rod_.solve_cold(at_)) {}

  struct Way {
    double most_mm = 0.0;       ///< largest change of shape in one step
    double next_mm = 0.0;       ///< and the next largest
    double released_Nmm = 0.0;  ///< energy set free in the largest
    double at_x = 0.0;
  };
  Way go(double x, double z, double step) {
    const std::vector<double> from = at_;
    const int steps = static_cast<int>(std::ceil(std::hypot(x - from[0], z - from[1]) / step));
    Way way;
    for (int i = 1; i <= steps; ++i) {
      const double t = static_cast<double>(i) / steps;
      at_ = {from[0] + t * (x - from[0]), from[1] + t * (z - from[1])};
      const RodShape next = rod_.solve(at_);
      EXPECT_TRUE(next.converged()) << at_[0] << ' ' << at_[1];
      const double change = shape_change(shape_, next);
      way.next_mm = std::max(way.next_mm, std::min(change, way.most_mm));
      if (change > way.most_mm) {
        way.most_mm = change;
        way.released_Nmm = shape_.energy_Nmm - next.energy_Nmm;
        way.at_x = at_[0];
      }
      shape_ = next;
    }
    return way;
  }
  const RodShape& shape() const { return shape_; }

 private:
  OneRun r_;
  Context context_;
  FreeRun run_;
  FreeRunRod rod_;
  std::vector<double> at_;
  RodShape shape_;
};

// A stiff cord leaves its post level across X and comes to the head from above. As the head passes,
// its bow trails behind until it cannot any more and swings over. In steps of 0.1 mm all of that
// still comes in one, where the check says so, and it sets energy free, as a snap does.
TEST(CheckFreeRunBend, ABowThatTrailsBehindTheHeadSnapsOver) {
  const std::string plan = clamped("[500, 300, 650]", "[0, 1, 0]", "[0, 0, 1]", "600", "5");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "line snap");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  ASSERT_EQ(finding->pose.size(), 2U);
  EXPECT_GT(finding->pose[0], 500.0);  // behind the post as seen from home, X 0
  EXPECT_EQ(finding->pose[1], -100.0);
  EXPECT_NE(finding->what.find("can snap by " + fixed(finding->value, 0) + " mm"),
            std::string::npos)
      << finding->what;
  EXPECT_NE(finding->what.find(at_x(finding->pose[0]) + ", Z -100.0 mm"), std::string::npos)
      << finding->what;
  EXPECT_NE(finding->advice.find("keep clear of it there"), std::string::npos);

  Followed line(plan);
  line.go(finding->pose[0] - 20.0, -100.0, 1.0);
  const Followed::Way way = line.go(finding->pose[0] + 20.0, -100.0, 0.1);
  EXPECT_NEAR(way.at_x, finding->pose[0], 2.0);
  EXPECT_NEAR(way.most_mm, finding->value, 0.2 * finding->value);
  EXPECT_LT(way.next_mm, 0.2 * way.most_mm);
  EXPECT_GT(way.released_Nmm, 0.0);
}

// Held across X at both ends, a slacker cord keeps either of two bows: which one it has depends on
// the way that the head took, and where two ways meet it can jump. Followed on both ways by hand it
// comes to the same pose in two shapes.
TEST(CheckFreeRunBend, AShapeThatDependsOnTheWayIsASnapBetweenNeighbours) {
  const std::string plan = clamped("[500, 300, 650]", "[0, 1, 0]", "[0, -1, 0]", "600", "0.05");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "line snap");
  ASSERT_NE(finding, nullptr);
  const double x = finding->pose[0];
  const double z = finding->pose[1];
  const std::string& what = finding->what;
  const std::size_t between = what.find("between X ");
  ASSERT_NE(between, std::string::npos) << what;
  const double from = std::stod(what.substr(between + 10));
  EXPECT_LT(from, x);
  EXPECT_LE(x - from, finding->step_mm + 0.1);
  Followed one(plan);
  one.go(from, -100.0, 2.0);
  one.go(from, z, 2.0);
  one.go(x, z, 2.0);
  Followed other(plan);
  other.go(x, -100.0, 2.0);
  other.go(x, z, 2.0);
  EXPECT_GT(shape_change(one.shape(), other.shape()), 0.5 * finding->value);
}

// The plan is its own mirror image about the post, so on the way back the same snap comes as late
// on the other side.
TEST(CheckFreeRunBend, OutAndBackTheSnapComesEquallyLate) {
  Followed line(clamped("[500, 300, 650]", "[0, 1, 0]", "[0, -1, 0]", "600", "0.05"));
  const Followed::Way out = line.go(1000.0, -100.0, 2.0);
  const Followed::Way back = line.go(0.0, -100.0, 2.0);
  EXPECT_GT(out.most_mm, 10.0 * out.next_mm);
  EXPECT_GT(out.at_x, 600.0);
  EXPECT_NEAR(out.at_x + back.at_x, 1000.0, 2.1);
  EXPECT_NEAR(out.most_mm, back.most_mm, 0.02 * out.most_mm);
  EXPECT_GT(out.released_Nmm, 0.0);
  EXPECT_GT(back.released_Nmm, 0.0);
}

TEST(CheckFreeRunBend, ASuppleLineInTheSamePlaceFollowsWithoutASnap) {
  EXPECT_EQ(find(study_text(clamped("[500, 300, 650]", "[0, 1, 0]", "[0, -1, 0]", "900", "0.001")),
                 "line snap"),
            nullptr);
}

// Clamped upright right under its post, a stiff cord bows to one side before and to the other
// behind it: by symmetry about the post it turns over right there.
TEST(CheckFreeRunBend, AStiffLineUnderItsHookTurnsOverThereAndThePoseIsSaidOnce) {
  const std::string hook = "name = \"post\"\nat = [500, 120, 1292]";
  std::string plan = clamped("[500, 120, 1292]", "[0, 0, 1]", "[0, 0, 1]", "1200", "0.3", "0.15");
  const std::string direction = hook + "\ndirection = [0, 0, 1]";
  plan.replace(plan.find(direction), direction.size(), hook);  // free to turn
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "line snap");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->pose[0], 500.0, 14.0);  // the step of the grid
  EXPECT_NE(finding->what.find("from one shape to another at X 500.0"), std::string::npos)
      << finding->what;
}

// Stretched to its last tenth of a micrometre between clamps that point across, a line that is
// stiff beside its weight has no shape that can be computed at the two farthest corners, and says
// so; with the length that its window asks for it has one everywhere.
TEST(CheckFreeRunBend, ALineWithoutAShapeAtSomePosesTellsHowManyAndWhere) {
  const double farthest = std::sqrt(500.0 * 500.0 + 180.0 * 180.0 + 150.0 * 150.0);
  const auto plan = [&](double length) {
    return clamped("[500, 300, 650]", "[0, 1, 0]", "[0, 0, -1]", std::to_string(length), "1000",
                   "0.001");
  };
  const StudyResult result = study_text(plan(farthest + 1e-4));
  const Finding* finding = find(result, "line shape");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->unit, "poses");
  ASSERT_GE(finding->value, 1.0);
  EXPECT_LE(finding->value, 4.0);
  EXPECT_EQ(static_cast<std::size_t>(finding->value), result.free_runs[0].not_converged);
  // A farthest corner: Z down, X at either end.
  EXPECT_EQ(finding->pose[1], -100.0);
  EXPECT_TRUE(finding->pose[0] == 0.0 || finding->pose[0] == 1000.0) << finding->pose[0];
  EXPECT_NE(finding->what.find("no stable shape was found at " +
                               std::to_string(static_cast<int>(finding->value)) + " of " +
                               std::to_string(finding->poses) + " poses"),
            std::string::npos)
      << finding->what;
  EXPECT_NE(finding->advice.find("by hand"), std::string::npos);
  EXPECT_EQ(find(study_text(plan(farthest + 40.0)), "line shape"), nullptr);
}

// Both ends clamped along X in the plane in which the head moves: what bows out of the plane is
// told with how far, what only finds another shape in it with that.
TEST(CheckFreeRunBend, AnotherShapeInThePlaneIsNotCalledABowOutOfIt) {
  const StudyResult result =
      study_text(clamped("[500, 120, 600]", "[1, 0, 0]", "[1, 0, 0]", "1200", "5"));
  const Finding* finding = find(result, "line sideways");
  ASSERT_NE(finding, nullptr);
  EXPECT_GT(finding->value, 1.0) << finding->what;
  EXPECT_EQ(finding->what.find("by 0 mm"), std::string::npos) << finding->what;
  EXPECT_NE(finding->what.find("to another shape in it"), std::string::npos) << finding->what;
}

// The window knows of a stiff line only that a shorter one cannot do: what the program chose from
// it can bend too tightly, and the advice is the length to give.
TEST(CheckFreeRunBend, ALengthThatWasChosenAndBendsTooTightlyIsToldWhichToGive) {
  const auto loop = [](const std::string& length) {
    return study_text(R"(format = 1
[[joint]]
name = "X"
travel = [0, 100]
[[body]]
name = "carriage"
joint = "X"
[[anchor]]
name = "left"
at = [0, 0, 1000]
[[anchor]]
name = "right"
body = "carriage"
at = [0, 0, 1000]
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.2
[[line]]
name = "supply"
article = "cable"
run = "loop"
[[run]]
name = "loop"
[[run.leg]]
way = "free"
from = "left"
to = "right"
)" + length);
  };
  const StudyResult chosen = loop("");
  const Finding* finding = find(chosen, "line bend");
  ASSERT_NE(finding, nullptr);
  EXPECT_GE(chosen.free_runs.at(0).length_mm, chosen.free_runs.at(0).min_mm);
  EXPECT_EQ(finding->advice.rfind("give it a length of 1110 mm", 0), 0U) << finding->advice;
  EXPECT_EQ(find(loop("length = 1110\n"), "line bend"), nullptr);
}

}  // namespace
}  // namespace bight::study
