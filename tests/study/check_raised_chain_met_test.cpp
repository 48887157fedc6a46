#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "chain/loop.h"
#include "clearance/query.h"
#include "raised_chain_fixture.h"
#include "study/check_chain.h"
#include "study/raised_chain.h"

namespace bight::study {
namespace {

/// X of the pitch line's foremost point with the carriage at `x`, by the closed form of the raised
/// loop (chain/loop.h): the chain of with_chain() with 60 links.
double front_at(double x) {
  chain::LoopProblem loop;
  loop.moving_mm = {-500.0, 500.0};
  loop.bend_radius_mm = 60.0;
  loop.pitch_mm = 20.0;
  const chain::RaisedLoop raised = chain::raised_loop(loop, 1200.0, x - 500.0, 160.0);
  EXPECT_TRUE(raised.possible);
  return 500.0 + raised.front_mm;
}

std::string at(double x, double y, double z) {
  return "[" + std::to_string(x) + ", " + std::to_string(y) + ", " + std::to_string(z) + "]";
}

/// A second chain of the same make, with more keys.
std::string another(const std::string& keys) {
  return R"(
[[chain]]
name = "other chain"
mass = 0.6
)" + chain_make() +
         keys;
}

/// The mirror image of X chain on the same carriage, opening towards it, bend against bend: as both
/// bends move half as fast as the carriage their distance stays the same.
std::string facing(double apart_mm) {
  // At X 0 this one's loop is shortest and the other one's longest, at X 1000 the other way round.
  const double front_of_other = front_at(0.0) + 2.0 * 14.0 + apart_mm;
  const double fixed = front_of_other + (front_at(1000.0) - 500.0);
  return with_chain(
      "links = 60\n" +
      another("links = 60\nmoving_body = \"carriage\"\nfixed_at = " + at(fixed, 300, 400) +
              "\nmoving_at = " + at(fixed - 500.0, 300, 560) + "\nopens = [-1, 0, 0]\n"));
}

const ChainFigures& chain_named(const StudyResult& result, const std::string& name) {
  const auto found = std::find_if(result.chains.begin(), result.chains.end(),
                                  [&](const ChainFigures& f) { return f.name == name; });
  EXPECT_NE(found, result.chains.end());
  return *found;
}

TEST(TwoRaisedChains, BendAgainstBendComeAsNearAsTheClosedFormSays) {
  const StudyResult result = study_text(facing(1.0));
  const Finding* finding = find_about(result, "chain clearance", "other chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_EQ(finding->things, (std::vector<std::string>{"X chain", "other chain"}));
  // The links are plates along the chords of the bend: less than a chord's rise nearer or farther.
  const double rise = 60.0 * (1.0 - std::cos(0.5 * 20.0 / 60.0));
  EXPECT_NEAR(finding->value, 1.0, 2.0 * rise);
  // Both chains tell of it in their figures, one finding does.
  for (const char* name : {"X chain", "other chain"}) {
    const auto& near = chain_named(result, name).near;
    ASSERT_TRUE(near);
    EXPECT_EQ(near->clearance_to, name[0] == 'X' ? "other chain" : "X chain");
    EXPECT_EQ(near->clearance_mm, finding->value);
  }
  EXPECT_EQ(std::count_if(result.findings.begin(), result.findings.end(),
                          [](const Finding& f) { return f.check == "chain clearance"; }),
            1);
}

TEST(TwoRaisedChains, ThatOverlapStop) {
  const StudyResult result = study_text(facing(-10.0));
  const Finding* finding = find_about(result, "chain clearance", "other chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_EQ(finding->value, 0.0);
  EXPECT_NE(finding->what.find("X chain hits other chain, both in their simulated shapes"),
            std::string::npos)
      << finding->what;
  EXPECT_EQ(result.verdict, Verdict::stop);
}

TEST(TwoRaisedChains, FartherApartThanTheirLinksCanComeAreProvedClear) {
  const StudyResult result = study_text(facing(20.0));
  EXPECT_EQ(find_about(result, "chain clearance", "other chain"), nullptr);
  for (const char* name : {"X chain", "other chain"}) {
    const auto& near = chain_named(result, name).near;
    ASSERT_TRUE(near);
    EXPECT_EQ(near->proved_clear, 2U);  // the spindle and each other
    EXPECT_EQ(near->sampled, 0U);
  }
}

/// Hangs between carriage and head and is worked by Z: at `x` of the machine with X at zero, its
/// loop across the other chain's plane.
std::string crossing(double x, double z) {
  return with_chain("links = 60\n" +
                    another("links = 24\nfixed_body = \"carriage\"\nmoving_body = \"head\"\n"
                            "fixed_at = " +
                            at(x, 200, z) + "\nmoving_at = " + at(x, 360, z) +
                            "\nopens = [0, 0, -1]\n"));
}

// Against every pair of shapes on a grid of both joints that is finer in Z: nothing is nearer than
// was found.
TEST(TwoRaisedChains, OnDifferentJointsTheNearestOfAllPairsIsFound) {
  int hits = 0;
  int nears = 0;
  for (const double z : {850.0, 809.0, 790.0}) {
    Diagnostics diagnostics;
    const auto plan = plan::read_plan(crossing(700.0, z), "test.toml", "", diagnostics);
    ASSERT_TRUE(plan);
    machine::MeshCache cache;
    const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
    const StudyOptions options;
    const Context context{*plan, machine, options};
    const auto simulated = simulate_chains(context, check_chains(context).chains);
    const std::vector<RaisedChain> raised = raised_chains(context, simulated);
    ASSERT_EQ(raised.size(), 2U);
    double nearest = 1e9;
    for (int i = 0; i <= 100; ++i) {
      const double x = 10.0 * i;
      for (int k = 0; k <= 50; ++k) {
        const double down = -2.0 * k;
        const RaisedChain::Links a = raised[0].links_at(x);
        const RaisedChain::Links b = raised[1].links_at(down);
        ASSERT_TRUE(a.solid && b.solid);
        const clearance::Travel carriage{{Vec3(-x, 0, 0), 1.0, 1.0}};
        const auto found =
            clearance::query_clearance(*a.solid, *b.solid, carriage, {.tolerance_mm = 0.01});
        nearest = std::min(nearest, found.lower_mm <= 0.0 ? 0.0 : found.upper_mm);
      }
    }
    const StudyResult result = run_study(*plan, machine, options);
    const auto& near = chain_named(result, "X chain").near;
    ASSERT_TRUE(near);
    if (near->clearance_to != "other chain") continue;
    EXPECT_LE(near->clearance_mm, nearest + 0.05) << z;
    const Finding* finding = find_about(result, "chain clearance", "other chain");
    EXPECT_EQ(finding != nullptr, near->clearance_mm < near->clearance_wanted_mm - 0.01) << z;
    hits += near->clearance_mm == 0.0 ? 1 : 0;
    nears += near->clearance_mm > 0.0 ? 1 : 0;
  }
  EXPECT_GE(hits, 1);
  EXPECT_GE(nears, 1);
}

/// A cord of its own run, whose legs follow.
std::string cord(const std::string& run, const std::string& stiffness) {
  return R"([[article]]
name = "cord"
kind = "power"
outside_diameter = 8
mass = 0.1
bend_multiple_moving = 5
stiffness = )" +
         stiffness + "\n[[line]]\nname = \"supply\"\narticle = \"cord\"\nrun = \"" + run +
         "\"\n[[run]]\nname = \"" + run + "\"\n";
}

/// A cord between two points of the ground, both in front of X chain's bend or in its way.
std::string with_line(const std::string& from, const std::string& to, const std::string& leg = "") {
  return with_chain(
      "links = 60\n"
      "[[support]]\nname = \"hook\"\nat = " +
      from + "\n[[anchor]]\nname = \"cleat\"\nat = " + to + "\n" + cord("drop", "1e-5") +
      R"([[run.leg]]
way = "free"
from = "hook"
to = "cleat"
)" + leg);
}

// It hangs down in the plane x = constant, all along the height of the bend.
std::string hanging_in_front(double apart_mm, const std::string& leg = "") {
  const double x = front_at(1000.0) + 14.0 + 4.0 + apart_mm;
  return with_line(at(x, 290, 700), at(x, 310, 300), "length = 401\n" + leg);
}

TEST(LineAndRaisedChain, ALineInFrontOfTheBendIsAsNearAsTheClosedFormSays) {
  const StudyResult result = study_text(hanging_in_front(10.0));
  const Finding* finding = find_about(result, "free line clearance", "X chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_NEAR(finding->pose[0], 1000.0, 1e-9);  // the bend is foremost there
  const double rise = 60.0 * (1.0 - std::cos(0.5 * 20.0 / 60.0));
  EXPECT_NEAR(finding->value, 10.0, 2.0 * rise);
}

TEST(LineAndRaisedChain, FartherThanTheLinksCanComeIsProvedClear) {
  const StudyResult near = study_text(hanging_in_front(10.0));
  const StudyResult far = study_text(hanging_in_front(150.0));
  EXPECT_EQ(find_about(far, "free line clearance", "X chain"), nullptr);
  ASSERT_EQ(far.free_runs.size(), 1U);
  EXPECT_EQ(far.free_runs[0].proved_clear, near.free_runs[0].proved_clear + 1);
}

TEST(LineAndRaisedChain, WhatMayTouchIsNotHeldAgainstIt) {
  const StudyResult result = study_text(hanging_in_front(-20.0, "may_touch = [\"X chain\"]\n"));
  EXPECT_EQ(find_about(result, "free line clearance", "X chain"), nullptr);
  EXPECT_NE(find_about(study_text(hanging_in_front(-20.0)), "free line clearance", "X chain"),
            nullptr);
}

// Across the loop, half way between the runs: the bend is there at one stretch of the travel only,
// before it the line lies ahead of the chain, after it between the runs.
TEST(LineAndRaisedChain, ALineThatOnlyTheBendComesToIsTouched) {
  const StudyResult result =
      study_text(with_line(at(1000, 100, 490), at(1000, 500, 490), "length = 401\n"));
  const Finding* finding = find_about(result, "free line clearance", "X chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->value, 0.0);
  EXPECT_NE(finding->what.find("supply touches X chain"), std::string::npos) << finding->what;
  EXPECT_NEAR(front_at(finding->pose[0]), 1000.0, 14.0 + 4.0 + 1.0);
}

TEST(LineAndRaisedChain, ALineBetweenTheRunsThatTheBendNeverComesToIsClear) {
  // Behind where the bend begins its travel: the wanted distance from both runs at every pose.
  const StudyResult result =
      study_text(with_line(at(680, 100, 463), at(680, 500, 463), "length = 400.3\n"));
  EXPECT_EQ(find_about(result, "free line clearance", "X chain"), nullptr);
  ASSERT_EQ(result.free_runs.size(), 1U);
  EXPECT_EQ(result.free_runs[0].clearance_to, "X chain");
  // Half of what is between plates 28 high of runs 120 apart at the bend: 46, less the cord's 4,
  // its sag and the slope of the upper run.
  EXPECT_GT(result.free_runs[0].clearance_mm, 25.0);
  EXPECT_LT(result.free_runs[0].clearance_mm, 46.0 - 4.0);
}

// A line across the way of the bend, nearly straight: at four poses of the chain none is near it.
TEST(LineAndRaisedChain, ALineAcrossItsWayIsMetBetweenFewPoses) {
  const std::string text = with_line(at(950, 100, 490), at(950, 500, 490), "length = 401\n");
  const StudyResult few = study_text(text, "", {.free_run_poses = 4});
  const Finding* finding = find_about(few, "free line clearance", "X chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->value, 0.0);
}

// More links than the pieces that hold them are made for: nothing is proved, so it is sampled.
TEST(LineAndRaisedChain, AChainOfVeryManyLinksIsHeldAgainstItToo) {
  std::string text = hanging_in_front(10.0);
  for (const auto& [from, to] :
       {std::pair("pitch = 20", "pitch = 0.2"), std::pair("links = 60", "links = 6000")}) {
    text.replace(text.find(from), std::string(from).size(), to);
  }
  const StudyResult result = study_text(text, "", {.free_run_poses = 4});
  const Finding* finding = find_about(result, "free line clearance", "X chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 10.0, 0.5);  // the same length of chain, its bend rounder
}

// Standing on its side friction alone decides its shape.
TEST(LineAndRaisedChain, WhereItsShapeIsNotKnownTheLineIsNotCalledClear) {
  std::string text = hanging_in_front(-100.0);
  const std::string moving = "moving_at = [0, 300, 560]";
  text.replace(text.find(moving), moving.size(), "moving_at = [0, 460, 400]");
  const StudyResult result = study_text(text);
  const Finding* finding = find_about(result, "free line clearance", "X chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NE(finding->what.find("where the shape of X chain is not known"), std::string::npos)
      << finding->what;
}

// From the chain's moving bracket on, the line hangs free: it leaves the chain there by design.
TEST(LineAndRaisedChain, ALineThatGoesOnIntoTheChainMayLeaveIt) {
  for (const char* height : {"560", "520"}) {  // raised, and with its ideal loop
    const std::string moving_at = "[0, 300, " + std::string(height) + "]";
    const StudyResult result = study_text(with_chain("links = 60\n", moving_at) + R"(
[[anchor]]
name = "out"
body = "carriage"
at = )" + moving_at + R"(
[[anchor]]
name = "in"
body = "head"
at = [-200, 300, 900]
)" + cord("way", "1e-3") + R"([[run.leg]]
way = "chain"
chain = "X chain"
[[run.leg]]
way = "free"
from = "out"
to = "in"
)");
    ASSERT_EQ(result.free_runs.size(), 1U);
    EXPECT_EQ(find_about(result, "free line clearance", "X chain"), nullptr) << height;
  }
}

TEST(LineAndRaisedChain, AFestoonsLoopsAreHeldAgainstItToo) {
  std::string text = hanging_in_front(2000.0);
  text += R"(
[[anchor]]
name = "tow"
body = "carriage"
at = [0, 300, 680]
[[support]]
name = "row"
kind = "festoon"
at = [-400, 300, 680]
track = [1, 0, 0]
loops = 4
stacked_pitch = 60
[[line]]
name = "feed"
article = "cord"
run = "along"
[[run]]
name = "along"
[[run.leg]]
way = "free"
from = "row"
to = "tow"
)";
  const StudyResult result = study_text(text);
  const Finding* finding = find_about(result, "free line clearance", "X chain");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->things[0], "along");
}

}  // namespace
}  // namespace bight::study
