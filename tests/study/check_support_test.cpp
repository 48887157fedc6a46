#include "study/check_support.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "rod/catenary.h"
#include "study/check_free_run_bend.h"
#include "study/compare_margin.h"
#include "study/free_run_shapes.h"
#include "study/hook_place.h"
#include "study/hook_surface.h"
#include "support_fixture.h"

namespace bight::study {
namespace {

const SupportFigures& only_support(const StudyResult& result) {
  EXPECT_EQ(result.supports.size(), 1U);
  static const SupportFigures none;
  return result.supports.empty() ? none : result.supports.front();
}

TEST(CheckSupport, ATrolleyOnALevelTrackRestsStraightOverTheOnlyLine) {
  const StudyResult result = study_text(
      hung("kind = \"trolley\"\nat = [0, 50, 1500]\ntrack = [1, 0, 0]\nrange = [-50, 1050]\n"));
  const SupportFigures& rail = only_support(result);
  EXPECT_EQ(find(result, "support range"), nullptr);
  EXPECT_NEAR(rail.low, 0.0, 1.0);
  EXPECT_NEAR(rail.high, 1000.0, 1.0);
  EXPECT_LT(rail.residual_N, 1e-5);
  // It hangs the line alone: no more than all of its weight.
  EXPECT_LT(rail.load_N, 0.1 * k_gravity * result.free_runs[0].length_mm / 1000.0);
}

TEST(CheckSupport, ATrackThatEndsTooEarlyIsLengthenedByWhatTheTrolleyWouldRoll) {
  const StudyResult result = study_text(
      hung("kind = \"trolley\"\nat = [0, 50, 1500]\ntrack = [1, 0, 0]\nrange = [-50, 800]\n"));
  const Finding* finding = find(result, "support range");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_NEAR(finding->value, 1000.0, 1.0);
  EXPECT_EQ(finding->limit, 800.0);
  ASSERT_FALSE(finding->pose.empty());
  EXPECT_NEAR(finding->pose[0], 1000.0, 1e-9);
  EXPECT_NE(finding->advice.find("by at least 200 mm"), std::string::npos) << finding->advice;
}

// Between two lines whose stiffness, not their weight, takes it to the stop: what it would roll is
// how far it goes on a track without an end.
TEST(CheckSupport, WhatATrolleyWouldRollIsFoundWithItsLinesStiff) {
  const auto on_a_track = [](double end) {
    return study_text(
        hung("kind = \"trolley\"\nat = [0, 350, 1500]\ntrack = [1, 0, 0]\nrange = "
             "[-900, " +
                 std::to_string(end) + "]\ntrolley_mass = 0.3\n",
             "length = 1150\n"));
  };
  const SupportFigures endless = only_support(on_a_track(2000.0));
  for (const double short_by : {0.5, 20.0, 150.0}) {
    const StudyResult result = on_a_track(endless.high - short_by);
    const Finding* finding = find(result, "support range");
    ASSERT_NE(finding, nullptr) << short_by;
    EXPECT_NEAR(finding->value, endless.high, 0.5) << short_by;
  }
}

// Out of reach of one leg the other can be as long as it likes.
TEST(CheckSupport, ALegIsNotToldToBeLengthenedForWhatTheOtherOneLacks) {
  const StudyResult result = study_text(
      hung("kind = \"trolley\"\nat = [0, 50, 1500]\ntrack = [1, 0, 0]\nrange = [0, 1000]\n",
           "length = 700\n",
           "[[anchor]]\nname = \"wall\"\nat = [-800, 50, 1500]\n"
           "[[line]]\nname = \"feed\"\narticle = \"cord\"\nrun = \"second\"\n"
           "[[run]]\nname = \"second\"\n[[run.leg]]\nway = \"free\"\nfrom = \"wall\"\n"
           "to = \"support\"\nlength = 2500\n"));
  // At Z = -100 the head is 1000 mm below the track.
  ASSERT_EQ(result.free_runs.size(), 2U);
  EXPECT_GE(result.free_runs[0].min_mm, 1000.0);
  EXPECT_FALSE(result.free_runs[1].min_mm <= result.free_runs[1].max_mm);
  for (const Finding& finding : result.findings) {
    EXPECT_EQ((finding.what + finding.advice).find("inf"), std::string::npos) << finding.what;
  }
  const auto none = std::find_if(
      result.findings.begin(), result.findings.end(),
      [](const Finding& f) { return f.what.find("no length was found") != std::string::npos; });
  ASSERT_NE(none, result.findings.end());
  EXPECT_EQ(none->things[1], "wall");
  EXPECT_EQ(none->advice, "lengthen first what else hangs on support: support to head clamp");
}

// The tip of the cord is in reach of both lines; its hook is not.
TEST(CheckSupport, ACordThatReachesTheLinesByItsStretchIsNotToldThatTheyDoNot) {
  const StudyResult result = study_text(
      hung("kind = \"cord\"\nat = [500, 600, 1580]\ncord_length = 200\ncord_stiffness = 40\n",
           "length = 1250\n",
           "[[anchor]]\nname = \"wall\"\nat = [500, 1580, 1500]\n"
           "[[line]]\nname = \"feed\"\narticle = \"cord\"\nrun = \"second\"\n"
           "[[run]]\nname = \"second\"\n[[run.leg]]\nway = \"free\"\nfrom = \"wall\"\n"
           "to = \"support\"\nlength = 700\n"));
  for (const Finding& finding : result.findings) {
    EXPECT_NE(finding.severity, Severity::stop) << finding.what;
  }
  EXPECT_EQ(find(result, "support range"), nullptr);
  ASSERT_EQ(result.free_runs.size(), 2U);
  EXPECT_LT(result.free_runs[1].farthest_mm, 700.0);
}

TEST(CheckSupport, ALengthThatCanHardlyBeMeantIsDoubtedAndItsSupportNotLookedAt) {
  const StudyResult result = study_text(
      hung("kind = \"trolley\"\nat = [0, 350, 1500]\ntrack = [1, 0, 0]\nrange = [-700, 1700]\n",
           "length = 99999\n"));
  const Finding* finding = find(result, "length window");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NE(finding->what.find("can hardly be meant"), std::string::npos) << finding->what;
  EXPECT_NE(finding->what.find("not looked at"), std::string::npos) << finding->what;
  EXPECT_TRUE(result.supports.empty());
  EXPECT_EQ(result.free_runs.at(0).shape_poses, 0U);
}

TEST(CheckSupport, AFestoonWhoseSaddlesTakeMoreThanAnyLineIsToldToTakeFewerLoops) {
  const StudyResult result =
      study_text(with_festoon("at = [-500, 50, 600]\nloops = 1000\nstacked_pitch = 60\nsaddle = "
                              "40\n"));
  const Finding* finding = find(result, "length window");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_NE(finding->what.find("no length was found"), std::string::npos) << finding->what;
  EXPECT_EQ(finding->advice, "take fewer than 1000 loops");
}

TEST(CheckSupport, FrictionLetsATrolleyStayOnBothSidesOfItsRest) {
  const std::string track = "at = [0, 50, 1500]\ntrack = [1, 0, 0]\nrange = [-200, 1200]\n";
  const StudyResult smooth = study_text(hung("kind = \"trolley\"\n" + track, "length = 1100\n"));
  const StudyResult rough =
      study_text(hung("kind = \"trolley\"\nfriction = 0.05\n" + track, "length = 1100\n"));
  EXPECT_LT(only_support(rough).low, only_support(smooth).low - 5.0);
  EXPECT_GT(only_support(rough).high, only_support(smooth).high + 5.0);
}

TEST(CheckSupport, ABoomPointsAtTheLineItCarries) {
  const StudyResult result =
      study_text(hung("kind = \"boom\"\nat = [500, 900, 1500]\narm = 700\n"));
  // From the post to the anchor, which goes from (0, 50) to (1000, 50).
  const double half = std::atan2(500.0, 850.0) * 180.0 / std::numbers::pi;
  const SupportFigures& boom = only_support(result);
  EXPECT_EQ(boom.unit, "deg");
  const auto turned = [](double deg) { return std::remainder(deg + 90.0, 360.0); };
  EXPECT_NEAR(std::abs(turned(boom.low)), half, 0.5);
  EXPECT_NEAR(std::abs(turned(boom.high)), half, 0.5);
  EXPECT_EQ(find(result, "support range"), nullptr);
}

TEST(CheckSupport, ABoomHeldByAStopIsToldHowFarItWouldSwing) {
  const StudyResult result =
      study_text(hung("kind = \"boom\"\nat = [500, 900, 1500]\narm = 700\nswing = [-110, -30]\n"));
  const Finding* finding = find(result, "support range");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->unit, "deg");
  EXPECT_NEAR(finding->value, -90.0 - std::atan2(500.0, 850.0) * 180.0 / std::numbers::pi, 0.5);
  EXPECT_NE(finding->advice.find("swing to -121 degrees"), std::string::npos) << finding->advice;
}

/// Length of a catenary whose upper end pulls with `pull_N`, by bisection on its length.
double length_for_pull(double run, double rise, double mass, double pull_N) {
  double lower = std::hypot(run, rise) * (1.0 + 1e-9);
  double upper = 1.2 * lower;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (lower + upper);
    const auto c = rod::solve_catenary({run, -rise, middle, mass});
    (std::max(c.tension_start_N, c.tension_end_N) > pull_N ? lower : upper) = middle;
  }
  return upper;
}

TEST(CheckSupport, ARetractorLetsOutWhatItsPullLeavesToTheLine) {
  const std::string reel =
      "kind = \"retractor\"\nat = [500, 50, 1500]\npull = 3\npaid_out = [400, 2000]\n";
  const StudyResult result = study_text(hung(reel));
  const SupportFigures& f = only_support(result);
  EXPECT_EQ(find(result, "support range"), nullptr);
  // Farthest: 500 mm to the side, 1000 mm down. Stiffness of 0.002 N m^2 adds next to nothing.
  EXPECT_NEAR(f.high, length_for_pull(500.0, 1000.0, 0.1, 3.0), 0.2);
  EXPECT_NEAR(f.load_N, 3.0, 0.01);
  // No length of its own can be wrong: the window says what it has to let out.
  EXPECT_NEAR(result.free_runs[0].min_mm, f.high, 1.0);
}

TEST(CheckSupport, ARetractorThatIsFullyOutIsToldHowMuchItNeeds) {
  const StudyResult result = study_text(
      hung("kind = \"retractor\"\nat = [500, 50, 1500]\npull = 3\npaid_out = [400, 1050]\n"));
  const Finding* finding = nullptr;
  for (const Finding& f : result.findings) {
    if (f.check == "support range") finding = &f;
  }
  ASSERT_NE(finding, nullptr);
  EXPECT_GT(finding->value, finding->limit);
  EXPECT_FALSE(finding->pose.empty());
  EXPECT_NE(finding->what.find("support"), std::string::npos);
  EXPECT_FALSE(finding->advice.empty());
}

TEST(CheckSupport, AWeightThatIsTooLightIsReplacedByOneThatHoldsTheLine) {
  const std::string light =
      "kind = \"pulley\"\nat = [500, 50, 1500]\nweight = 0.03\ndrop = [50, 500]\n";
  const StudyResult result = study_text(hung(light, "length = 1400\n"));
  const Finding* finding = find(result, "support range");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_EQ(finding->unit, "kg");
  ASSERT_GT(finding->limit, 0.03);
  // With the weight that is advised, nothing runs out any more.
  const std::string heavy = "kind = \"pulley\"\nat = [500, 50, 1500]\nweight = " +
                            std::to_string(std::ceil(10.0 * finding->limit) / 10.0) +
                            "\ndrop = [50, 500]\n";
  for (const Finding& f : study_text(hung(heavy, "length = 1400\n")).findings) {
    EXPECT_NE(f.unit, "kg") << f.what;
  }
}

TEST(CheckSupport, ACordIsStretchedByTheLoadOverItsStiffness) {
  const StudyResult result = study_text(
      hung("kind = \"cord\"\nat = [500, 50, 1500]\ncord_length = 200\ncord_stiffness = 10\n",
           "length = 1000\n"));
  const SupportFigures& cord = only_support(result);
  EXPECT_GT(cord.high, cord.low);
  EXPECT_NEAR(cord.load_N, 10.0 * cord.high / 1000.0, 1e-6 * cord.load_N);  // Hooke
}

TEST(CheckSupport, ACordThatIsStretchedTooFarIsToldTheStiffnessThatHolds) {
  const StudyResult result = study_text(
      hung("kind = \"cord\"\nat = [500, 50, 1500]\ncord_length = 200\ncord_stiffness = 10\n"
           "max_stretch = 20\n",
           "length = 950\n"));
  const Finding* finding = find(result, "support range");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->limit, 20.0);
  EXPECT_GT(finding->value, 20.0);
  EXPECT_NE(finding->advice.find("N/m"), std::string::npos) << finding->advice;
}

TEST(CheckSupport, LoadsBeyondWhatASupportCarriesAskForAStrongerOne) {
  const StudyResult result = study_text(
      hung("kind = \"retractor\"\nat = [500, 50, 1500]\npull = 30\nmax_load = 20\npaid_out = [400, "
           "2000]\n"));
  const Finding* finding = find(result, "support load");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 30.0, 0.1);
  EXPECT_EQ(finding->limit, 20.0);
}

TEST(CheckSupport, AFestoonWithoutRoomToStackIsMovedBack) {
  const StudyResult result = study_text(
      with_festoon("at = [-100, 50, 600]\nloops = 4\nstacked_pitch = 60\nsaddle = 40\n"));
  const Finding* finding = find(result, "support range");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_EQ(finding->certainty, Certainty::proved);
  EXPECT_EQ(finding->value, 240.0);  // 4 x 60
  EXPECT_NEAR(finding->limit, 100.0, 1e-9);
  EXPECT_NE(finding->advice.find("back by 140 mm"), std::string::npos) << finding->advice;
  EXPECT_NE(finding->advice.find("take 1 loops"), std::string::npos) << finding->advice;
}

TEST(CheckSupport, ARowOfLoopsSharesItsTravelEqually) {
  const StudyResult result = study_text(
      with_festoon("at = [-400, 50, 600]\nloops = 4\nstacked_pitch = 60\nsaddle = 40\n"));
  const SupportFigures& row = only_support(result);
  EXPECT_NEAR(row.low, 400.0 / 4.0, 1e-6);
  EXPECT_NEAR(row.high, 1400.0 / 4.0, 1e-6);
  const FreeRunFigures& run = result.free_runs[0];
  EXPECT_GE(run.length_mm, 1.02 * 1400.0 - 1e-6);
  // A level catenary over 60 mm of the loop's length, where the tow is nearest.
  const auto loop = rod::solve_catenary({60.0, 0.0, run.length_mm / 4.0 - 40.0, 0.1});
  EXPECT_NEAR(run.lowest_mm, 600.0 + loop.lowest.y, 1e-6);
}

TEST(CheckSupport, OneAndManyThreadsGiveTheSameBitsForEachKindOfSupport) {
  std::vector<std::string> texts;
  for (const auto& [support, leg] : small_supports()) texts.push_back(hung(support, leg));
  texts.push_back(
      with_festoon("at = [-400, 50, 600]\nloops = 4\nstacked_pitch = 60\nsaddle = 40\nfriction = "
                   "0.02\n"));
  for (const std::string& text : texts) {
    SCOPED_TRACE(text);
    const std::string one = exact_text(study_text(text, "", {.threads = 1}));
    EXPECT_FALSE(one.empty());
    EXPECT_EQ(one, exact_text(study_text(text, "", {.threads = 5})));
  }
}

// --- what is advised
// ---------------------------------------------------------------------------------

std::string with_hook(const std::string& article, const std::string& more = "") {
  std::string text = hung("at = [500, 50, 1500]\n", "", more);
  const std::string key = "stiffness = 0.002\n";
  return text.replace(text.find(key), key.size(), key + article);
}

TEST(CheckFreeRunLength, ALineTooHeavyForItsPullIsToldSoWithoutInfinity) {
  // 5 kg/m over 1000 mm of height pull with 49 N at least, whatever the length.
  std::string text =
      with_hook("max_pull = 20\ncores = 3\ncore_area = 1.5\n", "[rules]\nspare_percent = 5\n");
  const std::string mass = "mass = 0.1";
  text.replace(text.find(mass), mass.size(), "mass = 5");
  const std::string run = "run = \"overhead\"\n";
  text.replace(text.find(run), run.size(), run + "[line.circuit]\nvoltage = 230\ncurrent = 5\n");
  const StudyResult result = study_text(text);
  const Finding* finding = find(result, "length window");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_NE(finding->what.find("whatever its length"), std::string::npos) << finding->what;
  EXPECT_TRUE(std::isfinite(finding->value));
  EXPECT_TRUE(std::isfinite(finding->limit));
  EXPECT_GT(finding->value, 49.0);
  for (const Finding& f : result.findings) {
    for (const std::string& said : {f.what, f.advice}) {
      EXPECT_EQ(said.find("inf"), std::string::npos) << said;
      EXPECT_EQ(said.find("nan"), std::string::npos) << said;
      EXPECT_EQ(said.find("negative"), std::string::npos) << said;
    }
  }
  ASSERT_FALSE(result.lines.empty());
  EXPECT_TRUE(std::isfinite(result.lines[0].cut_mm));
  ASSERT_TRUE(result.lines[0].drop);
  EXPECT_TRUE(std::isfinite(result.lines[0].drop->drop_V));
}

TEST(HookSurface, NoHoldIsPutThroughTheCeilingOrAboveTheHighestHook) {
  const auto context_of = [](const std::string& more, const auto& ask) {
    Diagnostics diagnostics;
    const auto plan =
        plan::read_plan(hung("at = [500, 50, 1500]\n", "", more), "t.toml", "", diagnostics);
    ASSERT_TRUE(plan);
    machine::MeshCache cache;
    const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
    const StudyOptions options;
    ask(Context{*plan, machine, options});
  };
  const Vec3 hook(500.0, 50.0, 1500.0);
  context_of(
      "[[part]]\nname = \"ceiling\"\nrole = \"surroundings\"\nat = [-1000, -1000, 1600]\nsize = "
      "[3000, 3000, 20]\n",
      [&](const Context& context) {
        EXPECT_TRUE(can_be_held_at(context, hook, hook + Vec3(0.0, 0.0, 90.0)));
        EXPECT_TRUE(can_be_held_at(context, hook, hook + Vec3(300.0, 0.0, 0.0)));
        EXPECT_FALSE(can_be_held_at(context, hook, hook + Vec3(0.0, 0.0, 200.0)));
      });
  context_of("[rules]\nhighest_hook = 1550\n", [&](const Context& context) {
    EXPECT_TRUE(can_be_held_at(context, hook, hook + Vec3(0.0, 0.0, 50.0)));
    EXPECT_FALSE(can_be_held_at(context, hook, hook + Vec3(0.0, 0.0, 60.0)));
  });
}

TEST(HookPlace, TheShortestLineHangsOverTheMiddleOfTheTravelForAnyNumberOfThreads) {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(hung("at = [300, 200, 1500]\n", "keep_above = 300\n"), "t.toml",
                                    "", diagnostics);
  ASSERT_TRUE(plan);
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  const HookMaps one = map_hooks(*plan, machine, {.threads = 1});
  const HookMaps many = map_hooks(*plan, machine, {.threads = 6});
  ASSERT_EQ(one.maps.size(), 1U);
  ASSERT_TRUE(one.maps[0].map.best);
  // By symmetry: X at the middle of 0 to 1000, Y in the plane of the anchor, 50.
  const free::HookPlaceWindow& best = one.maps[0].map.places[*one.maps[0].map.best];
  EXPECT_NEAR(best.place.x, 500.0, one.maps[0].map.step_mm);
  EXPECT_NEAR(best.place.y, 50.0, one.maps[0].map.step_mm);
  EXPECT_NEAR(best.place.z, 1500.0, 1e-9);
  ASSERT_EQ(one.maps[0].map.places.size(), many.maps[0].map.places.size());
  for (std::size_t i = 0; i < one.maps[0].map.places.size(); ++i) {
    EXPECT_EQ(one.maps[0].map.places[i].min_mm, many.maps[0].map.places[i].min_mm);
    EXPECT_EQ(one.maps[0].map.places[i].max_mm, many.maps[0].map.places[i].max_mm);
  }
}

TEST(HookPlace, ACancelledMapSaysSo) {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(hung("at = [300, 200, 1500]\n"), "t.toml", "", diagnostics);
  ASSERT_TRUE(plan);
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  Progress progress;
  progress.cancel();
  EXPECT_TRUE(map_hooks(*plan, machine, {}, &progress).cancelled);
}

TEST(HookPlace, ARunThatDoesNotExistIsAProblem) {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(hung("at = [300, 200, 1500]\n"), "t.toml", "", diagnostics);
  ASSERT_TRUE(plan);
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  const HookMaps maps = map_hooks(*plan, machine, {.run = "nowhere"});
  EXPECT_TRUE(maps.maps.empty());
  EXPECT_NE(maps.problem.find("nowhere"), std::string::npos);
}

// --- findings about shapes
// ---------------------------------------------------------------------------

TEST(CheckFreeRunBend, AClampThatSendsAStiffLineDownMakesItDroopBelowALimpOne) {
  // From a hook that travels along: 600 mm to the side and 900 mm up, a limp line of 1095 mm has
  // its lowest point at the head, which goes down to 500. Clamped downwards it dips below that.
  const std::string leg = "length = 1095\nslack_percent = 1\nkeep_above = 497\n";
  std::string text = hung("body = \"head\"\nat = [600, 50, 1500]\n", leg);
  const std::string bend = "bend_multiple_moving = 5";  // would ask for more at the clamp
  text.replace(text.find(bend), bend.size(), "bend_multiple_moving = 0.1");
  EXPECT_EQ(find(study_text(text), "line droop"), nullptr);
  const std::string clamp = "at = [0, 50, 600]\n";
  text.replace(text.find(clamp), clamp.size(), clamp + "direction = [0, 0, -1]\n");
  const StudyResult result = study_text(text);
  const Finding* finding = find(result, "line droop");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_LT(finding->value, 497.0);
  EXPECT_GT(finding->value, 480.0);
  EXPECT_EQ(finding->limit, 497.0);
  EXPECT_NEAR(finding->pose[1], -100.0, 1e-9);  // Z at its lowest
  EXPECT_FALSE(finding->advice.empty());
}

/// Shapes of the line of a small plan, to be spoilt by a test.
template <class Spoil>
std::vector<Finding> spoilt_findings(const Spoil& spoil) {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(hung("at = [500, 50, 1500]\n"), "t.toml", "", diagnostics);
  EXPECT_TRUE(plan);
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  const StudyOptions options;
  const Context context{*plan, machine, options};
  const std::vector<FreeRun> runs = make_free_runs(context);
  const RunWindow window = window_of(context, runs[0]);
  const RunRod line = rods_of(context, runs[0], window.length_mm)[0];
  const PoseGrid grid = shaping_grid(
      free_run_grid(context, runs[0], std::vector<bool>(machine.joints.size(), false)), runs[0]);
  FreeRunShapes shapes =
      free_run_shapes(context, make_rod(runs[0], line.rod, home_pose(context)), coarser(grid, 30));
  spoil(shapes);
  return check_free_run_bend(context, runs[0], window, line, shapes, rod_extremes(context, shapes));
}

const Finding* find_in(const std::vector<Finding>& findings, const std::string& check) {
  for (const Finding& f : findings) {
    if (f.check == check) return &f;
  }
  return nullptr;
}

TEST(CheckFreeRunBend, PosesWithoutAStableShapeAreCountedAndTold) {
  const auto findings = spoilt_findings([](FreeRunShapes& shapes) {
    for (const std::size_t i : {3U, 7U}) {
      shapes.shapes[i].status = rod::RodStatus::not_converged;
      ++shapes.not_converged;
    }
    shapes.first_not_converged = shapes.grid.pose(3);
  });
  const Finding* finding = find_in(findings, "line shape");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->value, 2.0);
  EXPECT_EQ(finding->unit, "poses");
  EXPECT_FALSE(finding->pose.empty());
}

TEST(CheckFreeRunBend, TheLargestSnapIsTold) {
  const auto findings = spoilt_findings([](FreeRunShapes& shapes) {
    shapes.snaps.push_back({shapes.grid.pose(0), shapes.grid.pose(1), 60.0});
    shapes.snaps.push_back({shapes.grid.pose(1), shapes.grid.pose(2), 90.0});
  });
  const Finding* finding = find_in(findings, "line snap");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_EQ(finding->value, 90.0);
}

TEST(CompareMargin, TheSupportLoadIsTheOneThatTheCheckHoldsAgainstItsLimit) {
  // Two legs on one hook: the check adds both.
  const std::string text =
      hung("at = [500, 50, 1500]\nmax_load = 0.9\n", "",
           "[[anchor]]\nname = \"outlet\"\nat = [1500, 50, 1400]\n[[run]]\nname = \"second\"\n"
           "[[run.leg]]\nway = \"free\"\nfrom = \"outlet\"\nto = \"support\"\n[[line]]\nname = "
           "\"other\"\narticle = \"cord\"\nrun = \"second\"\n");
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(text, "t.toml", "", diagnostics);
  ASSERT_TRUE(plan);
  const StudyResult result = study_text(text);
  const Finding* finding = find(result, "support load");
  ASSERT_NE(finding, nullptr);
  for (const Margin& margin : worst_margins(*plan, result)) {
    if (margin.check != "support load") continue;
    EXPECT_EQ(margin.value, finding->value);
    return;
  }
  ADD_FAILURE() << "no margin for the support load";
}

TEST(CheckGap, AGapThatNeverChangesIsSaidToBeIdle) {
  const StudyResult result = study_text(
      small_machine() +
      "[[part]]\nname = \"post\"\nat = [2000, 0, 0]\nsize = [50, 50, 500]\n[[part]]\nname = "
      "\"wall\"\nat = [3000, 0, 0]\nsize = [50, 50, 500]\n[[gap]]\nbetween = [\"post\", "
      "\"wall\"]\n");
  const Finding* finding = find(result, "crush gap");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_NE(finding->what.find("never changes"), std::string::npos);
}

}  // namespace
}  // namespace bight::study
