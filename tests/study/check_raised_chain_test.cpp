#include "study/check_raised_chain.h"

#include <cmath>
#include <random>
#include <string>

#include "raised_chain_fixture.h"

namespace bight::study {
namespace {

ChainShapeFigures shape_of(const StudyResult& result) {
  EXPECT_EQ(result.chains.size(), 1U);
  EXPECT_TRUE(result.chains.front().shape.has_value());
  return *result.chains.front().shape;
}

ChainNearFigures near_of(const StudyResult& result) {
  EXPECT_EQ(result.chains.size(), 1U);
  EXPECT_TRUE(result.chains.front().near.has_value());
  return result.chains.front().near.value_or(ChainNearFigures{});
}

TEST(CheckRaisedChain, ARaisedChainTellsTheRoomThatItTakes) {
  const StudyResult result = study_text(with_chain());
  const Finding* finding = find(result, "chain shape");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);  // its shape is known all over its travel
  EXPECT_EQ(find(result, "chain mounting"), nullptr);
  // Closed form of the raised loop (chain/loop.h) at the far end of the travel.
  chain::LoopProblem loop;
  loop.moving_mm = {-500.0, 500.0};
  loop.bend_radius_mm = 60.0;
  loop.pitch_mm = 20.0;
  const chain::RaisedLoop raised = chain::raised_loop(loop, 1200.0, 500.0, 160.0);
  ASSERT_TRUE(raised.possible);
  EXPECT_LT(raised.tilt, 20.0 / 60.0);
  EXPECT_NEAR(finding->value, raised.front_mm + 14.0 - 500.0, 1e-6);
}

TEST(CheckRaisedChain, ARaisedChainThatNeedsMoreRoomAsksForIt) {
  const StudyResult result = study_text(with_chain("links = 40\nroom = 90"));
  const Finding* finding = find(result, "chain shape");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->limit, 90.0);
  EXPECT_GT(finding->value, 90.0);
}

TEST(CheckRaisedChain, ARaisedChainWithTheFewestLinksIsPulledUprightAndStillHasAShape) {
  // The fewest links that reach a level loop pull a raised one upright at the end of its travel.
  const StudyResult result = study_text(with_chain(""));
  const Finding* finding = find(result, "chain shape");
  ASSERT_NE(finding, nullptr);
  const ChainShapeFigures shape = shape_of(result);
  EXPECT_GT(shape.poses, 0U);
  EXPECT_TRUE(shape.has_forces);
  EXPECT_EQ(shape.remark, "");
  EXPECT_GT(shape.pull_N, 0.0);
}

// The links reach from X 500 - 500 to the front of the loop, (L + x_M)/2 - (pi/2 - 1) R = 815.8
// from the fixed bracket: 1315.8, 14 mm more for the outside of the links. Rails 6 mm off wait
// there and below the tray.
TEST(CheckRaisedChain, WhatItsLinksCannotReachIsProvedClear) {
  const StudyResult result =
      study_text(with_chain("links = 60\n" + post("[1340, 200, 300]", "[50, 200, 400]")));
  EXPECT_EQ(find_about(result, "chain clearance", "post"), nullptr);
  const ChainNearFigures near = near_of(result);
  EXPECT_EQ(near.proved_clear, 2U);  // the post, and the spindle beside the chain
  EXPECT_EQ(near.sampled, 0U) << near.clearance_to;
  EXPECT_NE(find(result, "chain shape")->what.find("proved clear of 2 things"), std::string::npos);
}

TEST(CheckRaisedChain, NearerThanItsLinksCanComeItIsSampledAndClear) {
  // Inside the loop's strip, where its links could be but its simulated shape is not: over the
  // lower run near the fixed bracket, under the run above it, 52 mm of room in between.
  const StudyResult result =
      study_text(with_chain("links = 60\n" + post("[520, 290, 450]", "[10, 20, 10]")));
  EXPECT_EQ(find_about(result, "chain clearance", "post"), nullptr);
}

TEST(CheckRaisedChain, WhatItsSimulatedShapeRunsIntoStops) {
  // On the way of the bend.
  const StudyResult result =
      study_text(with_chain("links = 60\n" + post("[1250, 290, 440]", "[20, 20, 20]")));
  const Finding* finding = find_about(result, "chain clearance", "post");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_EQ(finding->value, 0.0);
  EXPECT_GT(finding->poses, 10U);
  EXPECT_GT(finding->step_mm, 0.0);
  ASSERT_EQ(finding->pose.size(), 2U);
  // The bend moves half as far as the bracket and is 2 R back of the front 1315.8 at X 1000: it is
  // at the post for X from about 870 on.
  EXPECT_GT(finding->pose[0], 700.0);
  EXPECT_NE(finding->what.find("X chain hits post in its simulated shape"), std::string::npos)
      << finding->what;
  EXPECT_EQ(result.verdict, Verdict::stop);
}

TEST(CheckRaisedChain, AThinRodAnywhereInTheWayOfTheBendIsMet) {
  // Along Y between the runs: ahead of the bend at X 0, behind it at X 1000, hit in between only.
  for (double x = 860.0; x <= 1290.0; x += 29.0) {
    const StudyResult result = study_text(
        with_chain("links = 60\n" + post("[" + std::to_string(x) + ", 250, 465]", "[3, 100, 3]")));
    const Finding* finding = find_about(result, "chain clearance", "post");
    ASSERT_NE(finding, nullptr) << x;
    EXPECT_EQ(finding->severity, Severity::stop) << x;
  }
}

// What the advice says is enough: moved so, the same part is proved clear, whatever the chain does.
TEST(CheckRaisedChain, AMoveAsAdvisedIsProvedClear) {
  const StudyResult result =
      study_text(with_chain("links = 60\n" + post("[1250, 290, 440]", "[20, 20, 20]")));
  const Finding* finding = find_about(result, "chain clearance", "post");
  ASSERT_NE(finding, nullptr);
  const std::string& advice = finding->advice;
  const std::size_t at = advice.find("move post by ");
  ASSERT_NE(at, std::string::npos) << advice;
  const double distance = std::stod(advice.substr(at + 13));
  const std::size_t to = advice.find("towards ", at);
  ASSERT_NE(to, std::string::npos) << advice;
  const std::string direction = advice.substr(to + 8, 2);
  Vec3 place(1250, 290, 440);
  place[direction[1] - 'X'] += (direction[0] == '+' ? 1.0 : -1.0) * distance;
  const std::string moved = "[" + std::to_string(place.x) + ", " + std::to_string(place.y) + ", " +
                            std::to_string(place.z) + "]";
  const StudyResult after = study_text(with_chain("links = 60\n" + post(moved, "[20, 20, 20]")));
  EXPECT_EQ(find_about(after, "chain clearance", "post"), nullptr);
  EXPECT_EQ(near_of(after).proved_clear, near_of(result).proved_clear + 1);
}

// A sample of the shape itself, against the proof: wherever a small part is proved clear no
// simulated shape comes near to it.
TEST(CheckRaisedChain, NoSimulatedShapeIsWhereItIsProvedClear) {
  std::mt19937 random(3);
  int proved = 0;
  int near = 0;
  for (int i = 0; i < 60; ++i) {
    const double x = 400.0 + static_cast<double>(random() % 1000);
    const double y = 230.0 + static_cast<double>(random() % 140);
    const double z = 340.0 + static_cast<double>(random() % 300);
    const std::string at =
        "[" + std::to_string(x) + ", " + std::to_string(y) + ", " + std::to_string(z) + "]";
    const StudyResult result =
        study_text(with_chain("links = 60\nback_bend_radius = 2000\n" + post(at, "[10, 10, 10]")));
    const ChainNearFigures figures = near_of(result);
    const Finding* finding = find_about(result, "chain clearance", "post");
    if (figures.proved_clear == 2) {
      EXPECT_EQ(finding, nullptr);
      ++proved;
    }
    near += finding != nullptr ? 1 : 0;
  }
  EXPECT_GT(proved, 5);
  EXPECT_GT(near, 5);
}

TEST(CheckRaisedChain, OnItsSideOnlyTheProofSaysAnything) {
  // Friction alone decides the shape: what the links can reach cannot be called clear.
  const StudyResult result = study_text(
      with_chain("links = 60\n" + post("[1250, 360, 390]", "[20, 20, 20]"), "[0, 460, 400]"));
  const Finding* mounting = find(result, "chain mounting");
  ASSERT_NE(mounting, nullptr);
  EXPECT_EQ(mounting->severity, Severity::stop);
  EXPECT_NEAR(mounting->value - mounting->limit, 40.0, 1e-9);
  const Finding* finding = find_about(result, "chain clearance", "post");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NE(finding->what.find("its links can come near to post"), std::string::npos)
      << finding->what;
  const StudyResult off = study_text(
      with_chain("links = 60\n" + post("[1250, 360, 500]", "[20, 20, 20]"), "[0, 460, 400]"));
  EXPECT_EQ(find_about(off, "chain clearance", "post"), nullptr);
}

TEST(CheckRaisedChain, WithoutWeightItIsNotSimulatedAndStops) {
  const StudyResult result =
      study_text(with_chain("links = 60", "[0, 300, 560]", "[1, 0, 0]", "0"));
  const Finding* mounting = find(result, "chain mounting");
  ASSERT_NE(mounting, nullptr);
  EXPECT_EQ(mounting->severity, Severity::stop);
  EXPECT_NE(mounting->advice.find("bend radius of 80.0 mm"), std::string::npos) << mounting->advice;
}

TEST(CheckRaisedChain, AHangingLoopWiderThanItsBendIsLookedAtToo) {
  // On Z, hanging between carriage and head, 200 apart; a bar below it within its reach.
  const auto plan = [](double z) {
    std::string text = with_chain(
        "links = 40\n[[part]]\nname = \"bar\"\nbody = \"carriage\"\nshape = \"box\"\nat = [480, "
        "380, " +
            std::to_string(z) + "]\nsize = [60, 40, 10]\n",
        "[500, 500, 400]", "[0, 0, -1]");
    const std::string body = "moving_body = \"carriage\"";
    text.replace(text.find(body), body.size(), "fixed_body = \"carriage\"\nmoving_body = \"head\"");
    return text;
  };
  const StudyResult hit = study_text(plan(40.0));
  const Finding* finding = find_about(hit, "chain clearance", "bar");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop) << finding->what << hit.chains[0].shape->remark;
  // L 800, at most 100 longer on one side, bend (pi/2 - 1) R: not below 400 - 416.
  const StudyResult clear = study_text(plan(-70.0));
  EXPECT_EQ(find_about(clear, "chain clearance", "bar"), nullptr);
  EXPECT_EQ(find(clear, "chain mounting"), nullptr);
}

// A chain that is solved as a rod hits a bar at the very end of its travel, whose value in plan
// numbers comes back from the bracket's place with a rounding error.
TEST(CheckRaisedChain, TheEndOfTheTravelIsLookedAtHoweverItRounds) {
  for (const char* low : {"-250.3", "-250.30000001"}) {
    const StudyResult result = study_text(R"(format = 1
name = "aslant"
[[joint]]
name = "Z"
direction = [0, 0.29552020666133955, 0.955336489125606]
travel = [)" + std::string(low) + R"(, 250.1]
[[body]]
name = "slide"
joint = "Z"
[tool]
body = "slide"
tip = [0, 0, 3000]
[[part]]
name = "spindle"
body = "slide"
shape = "cylinder"
at = [1000, 0, 3000]
diameter = 60
length = 200
[[chain]]
name = "X chain"
moving_body = "slide"
fixed_at = [0, 0, 2000]
)" + chain_make() + R"(mass = 0.6
links = 50
tray = false
moving_at = [0.0, 143.01301537827433, 1920.904061846303]
opens = [0, -0.29552020666133955, -0.955336489125606]
)" + post("[-50, -1500, 1359.1640554802514]", "[100, 3000, 20]"));
    const Finding* finding = find_about(result, "chain clearance", "post");
    ASSERT_NE(finding, nullptr) << low;
    EXPECT_EQ(finding->severity, Severity::stop) << low;
  }
}

// A thin chain that hangs aslant, solved as a rod at few poses: from one to the next its bend moves
// 25 to 100 mm past a rod between its runs, which its links of 12 mm touch in between only.
TEST(CheckRaisedChain, AThinRodIsMetBetweenTheFewPosesOfARodToo) {
  const Vec3 opens(0.0, -0.29552020666133955, -0.955336489125606);
  const Vec3 across(0.0, 0.955336489125606, -0.29552020666133955);
  const Vec3 fixed(0.0, 0.0, 2000.0);
  const auto text_of = [](const Vec3& v) {
    return "[" + std::to_string(v.x) + ", " + std::to_string(v.y) + ", " + std::to_string(v.z) +
           "]";
  };
  struct Case {
    int travel;
    int links;
    double along;
  };
  std::vector<Case> cases;
  for (const double along : {490.0, 540.0, 590.0, 640.0}) cases.push_back({400, 32, along});
  for (const double off : {-8.0, -4.0, 0.0, 4.0, 8.0}) cases.push_back({1200, 72, 1364.0 + off});
  for (const double off : {0.0, 20.0, 40.0, 60.0}) cases.push_back({1600, 92, 1700.0 + off});
  for (const auto& [travel, links, along] : cases) {
    const StudyResult result = study_text(R"(format = 1
name = "aslant"
[[joint]]
name = "Z"
direction = )" + text_of(-opens) + R"(
travel = [)" + std::to_string(-travel) + ", " +
                                          std::to_string(travel) + R"(]
[[body]]
name = "slide"
joint = "Z"
[tool]
body = "slide"
tip = [0, 0, 4000]
[[part]]
name = "spindle"
body = "slide"
shape = "cylinder"
at = [1000, 0, 4000]
diameter = 60
length = 200
[[chain]]
name = "X chain"
moving_body = "slide"
fixed_at = )" + text_of(fixed) + R"(
moving_at = )" + text_of(fixed + 160.0 * across) +
                                          R"(
opens = )" + text_of(opens) + R"(
bend_radius = 60
pitch = 40
inner_width = 40
inner_height = 8
outer_width = 52
outer_height = 12
load_span = [[0.1, 1200]]
mass = 0.6
links = )" + std::to_string(links) + R"(
tray = false
)" + post(text_of(fixed + along * opens + 80.0 * across - Vec3(50.0, 0.0, 0.0)), "[100, 2, 2]"));
    const Finding* finding = find_about(result, "chain clearance", "post");
    ASSERT_NE(finding, nullptr) << along;
    EXPECT_EQ(finding->severity, Severity::stop) << along << finding->what;
    if (travel == 400) {  // the poses of its simulation alone miss it
      EXPECT_GT(finding->poses, result.chains[0].shape->poses) << along;
      EXPECT_TRUE(near_of(result).settled) << along;
    }
  }
}

TEST(CheckRaisedChain, IsTheSameForAnyNumberOfThreads) {
  const std::string plan = with_chain("links = 60\n" + post("[1250, 290, 440]", "[20, 20, 20]"));
  const StudyResult one = study_text(plan, "", {.threads = 1});
  const StudyResult four = study_text(plan, "", {.threads = 4});
  const Finding* a = find_about(one, "chain clearance", "post");
  const Finding* b = find_about(four, "chain clearance", "post");
  ASSERT_TRUE(a != nullptr && b != nullptr);
  EXPECT_EQ(a->what, b->what);
  EXPECT_EQ(a->advice, b->advice);
  EXPECT_EQ(a->pose, b->pose);
  EXPECT_EQ(near_of(one).clearance_mm, near_of(four).clearance_mm);
}

}  // namespace
}  // namespace bight::study
