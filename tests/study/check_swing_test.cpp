#include "study/check_swing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "rod/catenary.h"
#include "support_fixture.h"

namespace bight::study {
namespace {

/// A line that hangs over the gantry's way: X runs across its plane and stops beside a post.
std::string swinging(const std::string& speeds, const std::string& post = "[640, 200, 400]") {
  return R"(format = 1
name = "swing"
[[joint]]
name = "X"
travel = [0, 600]
)" + speeds +
         R"(
[[body]]
name = "carriage"
joint = "X"
[[anchor]]
name = "left"
body = "carriage"
at = [0, 0, 1000]
[[anchor]]
name = "right"
body = "carriage"
at = [0, 500, 1000]
[[article]]
name = "cord"
kind = "power"
outside_diameter = 8
mass = 0.1
bend_multiple_moving = 4
stiffness = 0.005
[[line]]
name = "supply"
article = "cord"
run = "across"
[[run]]
name = "across"
[[run.leg]]
way = "free"
from = "left"
to = "right"
length = 900
[[part]]
name = "post"
role = "surroundings"
at = )" + post +
         R"(
size = [50, 100, 600]
)";
}

// A move of a month at 0.01 mm/min: were it stepped through, this would not end.
TEST(CheckSwing, AMoveThatLastsForeverIsNotFollowedAndSwingsNothing) {
  const StudyResult result = study_text(swinging("speed = 0.01\nacceleration = 2000\n"));
  EXPECT_EQ(find(result, "swing"), nullptr);
  EXPECT_EQ(result.free_runs.at(0).swing_mm, 0.0);
}

// The line can be sped up and stopped in the worst phase within 40 periods as well as later, so
// twice the way leaves the same swing.
TEST(CheckSwing, ALongerWayThanFortyPeriodsSwingsNoWider) {
  const auto amplitude = [](const std::string& high) {
    std::string text = swinging("speed = 400\nacceleration = 2000\n");
    const std::string written = "travel = [0, 600]";
    text.replace(text.find(written), written.size(), "travel = [" + high + ", 600]");
    return study_text(text).free_runs.at(0).swing_mm;
  };
  EXPECT_GT(amplitude("-600"), 0.5);
  EXPECT_NEAR(amplitude("-600"), amplitude("-1200"), 0.01);
}

TEST(CheckSwing, ARapidStopSwingsTheLineIntoAPost) {
  const StudyResult result = study_text(swinging("speed = 40000\nacceleration = 6000\n"));
  EXPECT_EQ(find(result, "free line clearance"), nullptr);
  const Finding* finding = find(result, "swing");
  ASSERT_NE(finding, nullptr);
  EXPECT_GT(finding->value, 36.0);
  EXPECT_NEAR(finding->limit, 36.0, 0.5);  // 640 - 600 - half the diameter
  EXPECT_NE(finding->advice.find("lower the acceleration of X to "), std::string::npos)
      << finding->advice;
  ASSERT_EQ(result.free_runs.size(), 1U);
  // Like a pendulum of about two thirds of the sag of some 330 mm.
  EXPECT_GT(result.free_runs[0].swing_period_s, 0.8);
  EXPECT_LT(result.free_runs[0].swing_period_s, 1.3);
}

// The acceleration of the advice is tried as the finding was: with it the line stays away.
TEST(CheckSwing, TheAdvisedAccelerationHelps) {
  const StudyResult result = study_text(swinging("speed = 40000\nacceleration = 6000\n"));
  const Finding* finding = find(result, "swing");
  ASSERT_NE(finding, nullptr);
  const std::string said = "lower the acceleration of X to ";
  const std::size_t at = finding->advice.find(said);
  ASSERT_NE(at, std::string::npos);
  const std::string advised = std::to_string(std::stoi(finding->advice.substr(at + said.size())));
  EXPECT_EQ(find(study_text(swinging("speed = 40000\nacceleration = " + advised + "\n")), "swing"),
            nullptr);
}

/// The same, hung along the way of X: it swings in its own plane.
std::string swinging_along(const std::string& speeds) {
  std::string text = swinging(speeds, "[1130, -50, 400]");
  const std::string right = "at = [0, 500, 1000]";
  return text.replace(text.find(right), right.size(), "at = [500, 0, 1000]");
}

TEST(CheckSwing, AlongTheMoveItSwingsInItsOwnPlane) {
  const StudyResult still = study_text(swinging_along(""));
  EXPECT_EQ(find(still, "free line clearance"), nullptr);
  const StudyResult result = study_text(swinging_along("speed = 40000\nacceleration = 6000\n"));
  EXPECT_EQ(find(result, "free line clearance"), nullptr);
  const Finding* finding = find(result, "swing");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_NE(finding->what.find("post"), std::string::npos) << finding->what;
  EXPECT_NE(finding->what.find(" 0.0 mm across"), 0U);
  EXPECT_GT(finding->value, finding->limit);
}

TEST(CheckSwing, ASlowAxisLeavesItAlone) {
  const StudyResult result = study_text(swinging("speed = 1000\nacceleration = 100\n"));
  EXPECT_EQ(find(result, "swing"), nullptr);
  EXPECT_GT(result.free_runs[0].swing_mm, 0.0);
}

TEST(CheckSwing, WithoutASpeedNothingIsSaid) {
  const StudyResult result = study_text(swinging(""));
  EXPECT_EQ(find(result, "swing"), nullptr);
  EXPECT_EQ(result.free_runs[0].swing_mm, 0.0);
}

/// A line from a trolley whose track runs beside the travel, and a post that it comes near to.
std::string on_a_trolley(const std::string& range) {
  return hung(
      "kind = \"trolley\"\nat = [0, 450, 1500]\ntrack = [1, 0, 0]\ntrolley_mass = 0.5\n" + range,
      "length = 1100\n",
      "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nat = [1150, 150, 700]\nsize = "
      "[50, 200, 600]\n");
}

TEST(CheckSwing, ALineOnATrolleySwingsWithIt) {
  const StudyResult result = study_text(on_a_trolley("range = [-900, 1900]\n"));
  ASSERT_EQ(result.free_runs.size(), 1U);
  EXPECT_EQ(result.free_runs[0].swing_left_out, "");
  // The trolley comes along with 100 mm/s: v / omega when that starts, and as much when it stops
  // half a period later (an oscillator that is pushed twice).
  const double omega = 2.0 * std::numbers::pi / result.free_runs[0].swing_period_s;
  EXPECT_NEAR(result.free_runs[0].swing_mm, 2.0 * 100.0 / omega, 0.1 * 2.0 * 100.0 / omega);
  for (const Finding& f : result.findings) {
    EXPECT_EQ(f.what.find("beyond it"), std::string::npos) << f.what;
  }
}

TEST(CheckSwing, ATrolleyThatRunsBeyondItsTrackIsTold) {
  // At standstill it needs 0 to 1000: the track ends 3 mm beyond.
  const StudyResult result = study_text(on_a_trolley("range = [-3, 1003]\n"));
  EXPECT_EQ(find(result, "support range"), nullptr);
  const Finding* finding = nullptr;
  for (const Finding& f : result.findings) {
    if (f.check == "swing" && f.things.front() == "support") finding = &f;
  }
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_GT(finding->value, 1.0);
  EXPECT_NE(finding->advice.find("buffer"), std::string::npos) << finding->advice;
}

/// A post beside where the line from a boom or a cord comes down, at the end of the travel of X.
std::string beside_a_post(const std::string& support, const std::string& length) {
  return hung(support, "length = " + length + "\n",
              "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nat = [1150, -50, 700]\nsize = "
              "[50, 200, 600]\n");
}

TEST(CheckSwing, ALineOnABoomSwingsWithIt) {
  const StudyResult result =
      study_text(beside_a_post("kind = \"boom\"\nat = [500, 900, 1500]\narm = 850\n", "1040"));
  EXPECT_EQ(result.free_runs[0].swing_left_out, "");
  // The tip may trail by its reach, 500 mm to each side; so does the line below it.
  EXPECT_GT(result.free_runs[0].swing_mm, 5.0);
  EXPECT_LT(result.free_runs[0].swing_mm, 500.0);
}

TEST(CheckSwing, ABoomThatTurnsBeyondItsStopIsTold) {
  // At standstill it turns by some 70 degrees.
  const StudyResult wide =
      study_text(beside_a_post("kind = \"boom\"\nat = [500, 900, 1500]\narm = 850\n", "1040"));
  ASSERT_EQ(wide.supports.size(), 1U);
  const SupportFigures& boom = wide.supports[0];
  const std::string swing = "swing = [" + std::to_string(boom.low - 0.05) + ", " +
                            std::to_string(boom.high + 0.05) + "]\n";
  const StudyResult tight = study_text(
      beside_a_post("kind = \"boom\"\nat = [500, 900, 1500]\narm = 850\n" + swing, "1040"));
  EXPECT_EQ(find(tight, "support range"), nullptr);
  const Finding* finding = find(tight, "swing");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_EQ(finding->unit, "deg");
  EXPECT_GT(finding->value, 0.5);
  EXPECT_NE(finding->what.find("turns against one of its stops"), std::string::npos)
      << finding->what;
}

TEST(CheckSwing, ACordBouncesWithItsLine) {
  const std::string cord =
      "kind = \"cord\"\nat = [500, 50, 1500]\ncord_length = 200\ncord_stiffness = 10\n";
  const StudyResult result = study_text(beside_a_post(cord, "1000"));
  EXPECT_EQ(result.free_runs[0].swing_left_out, "");
  EXPECT_GT(result.free_runs[0].swing_mm, 5.0);
  ASSERT_EQ(result.supports.size(), 1U);
  // What it is stretched by at standstill, and a little: a bounce goes beyond.
  const StudyResult limited = study_text(beside_a_post(
      cord + "max_stretch = " + std::to_string(result.supports[0].high + 0.5) + "\n", "1000"));
  EXPECT_EQ(find(limited, "support range"), nullptr);
  const Finding* finding = find(limited, "swing");
  ASSERT_NE(finding, nullptr);
  EXPECT_NE(finding->what.find("beyond what it may"), std::string::npos) << finding->what;
}

TEST(CheckSwing, ALineOverAPulleyOrOutOfAReelSwings) {
  const double on_a_hook =
      study_text(beside_a_post("at = [500, 50, 1500]\n", "1200")).free_runs[0].swing_mm;
  for (const auto& [support, leg] : small_supports()) {
    const bool slides = support.find("pulley") != std::string::npos ||
                        support.find("retractor") != std::string::npos;
    if (!slides) continue;
    SCOPED_TRACE(support);
    const std::string post =
        "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nat = [1150, -50, 700]\nsize = "
        "[50, 200, 600]\n";
    const StudyResult result = study_text(hung(support, leg, post));
    ASSERT_EQ(result.free_runs.size(), 1U);
    EXPECT_EQ(result.free_runs[0].swing_left_out, "");
    EXPECT_GT(result.free_runs[0].swing_mm, 0.5);
    // Kept taut, it swings less; tied off, the slack line snaps to the other side on the way.
    const bool tied = support.find("tie_off") != std::string::npos;
    EXPECT_LT(result.free_runs[0].swing_mm, tied ? 500.0 : on_a_hook);
    EXPECT_GT(result.free_runs[0].swing_period_s, 0.0);
  }
}

// The head is what the last loop comes near to.
TEST(CheckSwing, TheLoopsOfAFestoonSwing) {
  const StudyResult result = study_text(
      with_festoon("at = [-400, 50, 600]\nloops = 4\nstacked_pitch = 60\nsaddle = 40\n"));
  ASSERT_EQ(result.free_runs.size(), 1U);
  const FreeRunFigures& run = result.free_runs[0];
  EXPECT_EQ(run.swing_left_out, "");
  EXPECT_GT(run.swing_mm, 1.0);
  // The slowest mode of equal masses between equal springs (Rayleigh, The Theory of Sound, section
  // 120): half a loop's mass, for the trolleys have none, and the slope of a catenary's pull.
  const double span_mm = (400.0 + run.swing_pose.at(0)) / 4.0 - 40.0;
  const double loop_mm = run.length_mm / 4.0 - 40.0;
  const auto pull = [&](double dx) {
    return rod::solve_catenary({.dx_mm = dx, .length_mm = loop_mm, .mass_kg_m = 0.1})
        .horizontal_force_N;
  };
  const double slope_N_m = 1000.0 * 0.5 * (pull(span_mm + 1.0) - pull(span_mm - 1.0));
  const double mass = 0.5 * 0.1 * loop_mm / 1000.0;
  const double omega = 2.0 * std::sqrt(slope_N_m / mass) * std::sin(std::numbers::pi / 8.0);
  EXPECT_NEAR(run.swing_period_s, 2.0 * std::numbers::pi / omega, 0.01 * run.swing_period_s);
}

/// In place of the cord two of half its weight and stiffness.
std::string halved(std::string plan) {
  const std::string whole = "mass = 0.1\nbend_multiple_moving = 5\nstiffness = 0.002\n";
  plan.replace(plan.find(whole), whole.size(),
               "mass = 0.05\nbend_multiple_moving = 5\nstiffness = 0.001\n");
  return plan + "[[line]]\nname = \"second\"\narticle = \"cord\"\nrun = \"overhead\"\n";
}

// Lines that hang in the same way move as one, whatever carries them.
TEST(CheckSwing, TwoHalvesOfALineSwingAsTheWhole) {
  for (const std::string& plan :
       {on_a_trolley("range = [-900, 1900]\n"),
        beside_a_post("kind = \"boom\"\nat = [500, 900, 1500]\narm = 850\n", "1040"),
        beside_a_post(
            "kind = \"cord\"\nat = [500, 50, 1500]\ncord_length = 200\ncord_stiffness = 10\n",
            "1000")}) {
    const FreeRunFigures whole = study_text(plan).free_runs.at(0);
    const FreeRunFigures halves = study_text(halved(plan)).free_runs.at(0);
    EXPECT_EQ(halves.swing_left_out, "");
    EXPECT_GT(whole.swing_mm, 5.0);
    EXPECT_NEAR(halves.swing_mm, whole.swing_mm, 0.005 * whole.swing_mm);
    EXPECT_NEAR(halves.swing_period_s, whole.swing_period_s, 1e-3 * whole.swing_period_s);
  }
}

/// A heavier line from the wall to the trolley, in a run of its own, and a post beside it.
std::string with_a_feed() {
  return on_a_trolley("range = [-900, 1900]\n") + R"(
[[anchor]]
name = "wall"
at = [500, 900, 1500]
[[article]]
name = "feed"
kind = "power"
outside_diameter = 12
mass = 0.2
bend_multiple_moving = 5
stiffness = 0.01
[[line]]
name = "feed"
article = "feed"
run = "feed"
[[run]]
name = "feed"
[[run.leg]]
way = "free"
from = "wall"
to = "support"
length = 900
[[part]]
name = "second post"
role = "surroundings"
at = [180, 600, 700]
size = [50, 200, 800]
)";
}

// Both ends of the feed stay where the machine has them: its trolley moves it.
TEST(CheckSwing, ALineSwingsWithAnUnlikeOneOnTheSameTrolley) {
  const StudyResult result = study_text(with_a_feed());
  ASSERT_EQ(result.free_runs.size(), 2U);
  for (const FreeRunFigures& run : result.free_runs) {
    EXPECT_EQ(run.swing_left_out, "");
    EXPECT_GT(run.swing_mm, 5.0);
    EXPECT_LT(run.swing_mm, 500.0);
  }
}

// Of what the trolley would run beyond its track, the same is told once, whichever line says it.
TEST(CheckSwing, AStopOfASupportIsToldOnce) {
  std::string plan = with_a_feed();
  const StudyResult wide = study_text(plan);
  ASSERT_EQ(wide.supports.size(), 1U);
  const std::string range = "range = [-900, 1900]";
  plan.replace(plan.find(range), range.size(),
               "range = [" + std::to_string(wide.supports[0].low - 1.0) + ", " +
                   std::to_string(wide.supports[0].high + 1.0) + "]");
  const StudyResult tight = study_text(plan);
  const auto told = std::count_if(
      tight.findings.begin(), tight.findings.end(),
      [](const Finding& f) { return f.check == "swing" && f.things.front() == "support"; });
  EXPECT_EQ(told, 1);
}

/// A festoon of four loops on trolleys of that weight.
std::string with_trolleys(const std::string& trolley_kg) {
  return with_festoon(
      "at = [-400, 50, 600]\nloops = 4\nstacked_pitch = 60\nsaddle = 40\ntrolley_mass = " +
          trolley_kg + "\n",
      "length = 1430\n");
}

// Free trolleys that are heavy run on when the tow stops, whatever the loops weigh.
TEST(CheckSwing, HeavyTrolleysOfAFestoonRunOn) {
  const double light = study_text(with_trolleys("0.01")).free_runs.at(0).swing_mm;
  EXPECT_GT(light, 1.0);
  EXPECT_GT(study_text(with_trolleys("1")).free_runs.at(0).swing_mm, 2.0 * light);
}

// A pin under a trolley whose tow moves a little: at standstill the loops hang to both sides of it.
// After a fast move the trolley goes on from where it rested before, as far again beyond.
TEST(CheckSwing, LoopsOfAFreeTrolleyThatReachAPinAreTold) {
  const auto swing = [](const std::string& rate) {
    std::string plan = with_trolleys("1") + "[rules]\nfree_line_clearance = 0\n" +
                       "[[part]]\nname = \"pin\"\nrole = \"surroundings\"\nshape = "
                       "\"cylinder\"\nat = [612, 50, 0]\nlength = 578\ndiameter = 6\n";
    for (const auto& [from, to] :
         {std::pair<std::string, std::string>("travel = [0, 1000]", "travel = [900, 1000]"),
          std::pair<std::string, std::string>("speed = 6000\nacceleration = 1000", rate)}) {
      plan.replace(plan.find(from), from.size(), to);
    }
    return study_text(plan);
  };
  const StudyResult fast = swing("speed = 24000\nacceleration = 4000");
  EXPECT_EQ(find(fast, "free line clearance"), nullptr);
  const Finding* finding = find(fast, "swing");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->things.back(), "pin");
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_GT(finding->value, finding->limit);
  EXPECT_NE(finding->what.find("its trolleys rolling free"), std::string::npos) << finding->what;
  EXPECT_EQ(finding->advice.rfind("tow the trolleys by cords", 0), 0U) << finding->advice;
  EXPECT_EQ(find(swing("speed = 600\nacceleration = 100"), "swing"), nullptr);
}

TEST(CheckSwing, IsLeftOutForNoSupport) {
  for (const auto& [support, leg] : small_supports()) {
    SCOPED_TRACE(support);
    const StudyResult result = study_text(hung(support, leg));
    ASSERT_EQ(result.free_runs.size(), 1U);
    EXPECT_EQ(result.free_runs[0].swing_left_out, "");
  }
}

}  // namespace
}  // namespace bight::study
