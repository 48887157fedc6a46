#include "study/check_bend_between_legs.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

/// A line of 10 mm that allows 35 mm at its inside, so 40 mm at its centre line, where it is fixed,
/// and 100 mm where it moves.
std::string with_run(const std::string& legs) {
  return small_machine() + R"(
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.2
stiffness = 0.002
bend_radius_fixed = 35
bend_radius_moving = 100
[[line]]
name = "supply"
article = "cable"
run = "way"
[[run]]
name = "way"
)" + legs;
}

std::string clipped(const std::string& body, const std::string& points,
                    const std::string& bend_radius = "0") {
  return "[[run.leg]]\nway = \"fixed\"\nbody = \"" + body + "\"\npoints = " + points +
         "\nbend_radius = " + bend_radius + "\n";
}

/// From the ground to the carriage along X; at its fixed bracket it leaves towards -X.
std::string chain() {
  return R"([[run.leg]]
way = "chain"
chain = "X chain"
[[chain]]
name = "X chain"
moving_body = "carriage"
fixed_at = [500, 500, 0]
moving_at = [0, 500, 200]
opens = [-1, 0, 0]
bend_radius = 100
pitch = 30
inner_width = 40
inner_height = 20
outer_width = 50
outer_height = 30
mass = 0.7
)";
}

std::string free_leg(const std::string& from, const std::string& to) {
  return "[[run.leg]]\nway = \"free\"\nfrom = \"" + from + "\"\nto = \"" + to + "\"\n";
}

/// A hook and a hold on the carriage under it, 500 mm to either side at the ends of X.
std::string hook_and_hold(const std::string& of_hook = "") {
  return "[[support]]\nname = \"hook\"\nat = [500, 0, 1500]\n" + of_hook +
         "\n[[anchor]]\nname = \"hold\"\nbody = \"carriage\"\nat = [0, 0, 600]\n";
}

TEST(BendBetweenLegs, ALineThatComesInAgainstAChainTurnsBackOnItselfAndStops) {
  const StudyResult result =
      study_text(with_run(clipped("ground", "[[0,500,0],[500,500,0]]") + chain()));
  const Finding* finding = find(result, "bend between legs");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_EQ(finding->value, 0.0);
  EXPECT_EQ(finding->limit, 40.0);
  EXPECT_NE(finding->what.find("turns by 180 degrees"), std::string::npos) << finding->what;
}

TEST(BendBetweenLegs, ALineThatComesInAlongAChainDoesNotTurn) {
  const StudyResult result =
      study_text(with_run(clipped("ground", "[[1000,500,0],[500,500,0]]") + chain()));
  EXPECT_EQ(find(result, "bend between legs"), nullptr);
}

TEST(BendBetweenLegs, ACoupleOfDegreesAreNoTurn) {
  // atan(30 / 500) = 3.4 degrees.
  const StudyResult result =
      study_text(with_run(clipped("ground", "[[1000,530,0],[500,500,0]]") + chain()));
  EXPECT_EQ(find(result, "bend between legs"), nullptr);
}

// Square into a chain's bracket the clipped side gives both tangents of R tan 45 degrees: 80 mm.
TEST(BendBetweenLegs, ASquareEntryIntoAChainNeedsTwiceTheRadiusOfStraight) {
  const StudyResult enough =
      study_text(with_run(clipped("ground", "[[500,581,0],[500,500,0]]") + chain()));
  EXPECT_EQ(find(enough, "bend between legs"), nullptr);

  const StudyResult short_of_it =
      study_text(with_run(clipped("ground", "[[500,560,0],[500,500,0]]") + chain()));
  const Finding* finding = find(short_of_it, "bend between legs");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NEAR(finding->value, 30.0, 1e-9);
  EXPECT_NE(finding->advice.find("80 mm"), std::string::npos) << finding->advice;
}

// Two clipped legs share a corner: 40 mm each, of which the bend before it takes 40 of 70.
TEST(BendBetweenLegs, BetweenClippedLegsEachGivesATangent) {
  const std::string before = clipped("ground", "[[0,0,0],[300,0,0],[300,70,0]]", "40");
  const StudyResult result =
      study_text(with_run(before + clipped("ground", "[[300,70,0],[500,70,0]]")));
  const Finding* finding = find(result, "bend between legs");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 30.0, 1e-9);

  const std::string longer = clipped("ground", "[[0,0,0],[300,0,0],[300,81,0]]", "40");
  EXPECT_EQ(find(study_text(with_run(longer + clipped("ground", "[[300,81,0],[500,81,0]]"))),
                 "bend between legs"),
            nullptr);
}

// From one square turn to the next on one straight of 100 mm: 80 mm for the bracket, 40 mm for the
// next clipped leg, so a third of it for each tangent.
TEST(BendBetweenLegs, TwoTurnsShareTheStraightBetweenThem) {
  const std::string up = clipped("ground", "[[500,600,-400],[500,600,0]]");
  const auto with_straight = [&](const std::string& end) {
    std::string legs = chain();
    legs.insert(0, up + clipped("ground", "[[500,600,0],[500," + end + ",0]]"));
    legs.replace(legs.find("[500, 500, 0]"), 13, "[500, " + end + ", 0]");
    legs.replace(legs.find("[0, 500, 200]"), 13, "[0, " + end + ", 200]");
    return study_text(with_run(legs));
  };
  const StudyResult result = with_straight("500");
  const Finding* finding = find(result, "bend between legs");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 100.0 / 3.0, 1e-9);
  EXPECT_EQ(find(with_straight("479"), "bend between legs"), nullptr);
}

// Straight up to a hook and down again: a sharp turn at every pose, the sharpest right below it.
TEST(BendBetweenLegs, OverAHookThatHasNoRadiusASharpTurnAsksToAct) {
  const StudyResult result = study_text(with_run(clipped("ground", "[[500,0,300],[500,0,1500]]") +
                                                 free_leg("hook", "hold") + hook_and_hold()));
  const Finding* finding = find(result, "bend at a hold");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_EQ(finding->limit, 100.0);
  EXPECT_NEAR(finding->pose[0], 500.0, 60.0);
  EXPECT_NE(finding->advice.find("100"), std::string::npos) << finding->advice;
}

TEST(BendBetweenLegs, AHookWithASaddleThatIsWideEnoughIsGood) {
  const std::string legs =
      clipped("ground", "[[500,0,300],[500,0,1500]]") + free_leg("hook", "hold");
  EXPECT_EQ(find(study_text(with_run(legs + hook_and_hold("radius = 100"))), "bend at a hold"),
            nullptr);
  const StudyResult result = study_text(with_run(legs + hook_and_hold("radius = 60")));
  const Finding* finding = find(result, "bend at a hold");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->value, 60.0);
}

// Down to the hook from above and on: at most 90 degrees. 900 mm lower and 500 mm aside the chord
// leans by atan(500 / 900) = 29 degrees, a line with 2 % of slack by a little more at its upper end
// or less.
TEST(BendBetweenLegs, AGentleTurnAtAHookIsNoted) {
  const StudyResult result = study_text(with_run(clipped("ground", "[[500,0,1900],[500,0,1500]]") +
                                                 free_leg("hook", "hold") + hook_and_hold()));
  const Finding* finding = find(result, "bend at a hold");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
}

}  // namespace
}  // namespace bight::study
