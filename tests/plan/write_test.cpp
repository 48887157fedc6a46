#include "plan/write.h"

#include <gtest/gtest.h>

#include <limits>
#include <random>

#include "plan/read.h"

namespace bight::plan {
namespace {

std::vector<Plan> read_back(const StarterAnswers& answers) {
  const StarterPlan starter = starter_plan(answers);
  EXPECT_EQ(starter.problem, "");
  Diagnostics diagnostics;
  auto plans = read_plan_and_options(starter.text, "starter.toml", diagnostics);
  for (const Diagnostic& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  return plans.value_or(std::vector<Plan>(1));
}

TEST(StarterPlan, ReadsBackAsTheMachineThatWasAskedFor) {
  const StarterAnswers answers;
  const std::vector<Plan> plans = read_back(answers);
  ASSERT_EQ(plans.size(), 3U);  // as written, and the two ways of the cord
  const Plan& plan = plans.front();
  EXPECT_EQ(plan.name, "My machine");
  ASSERT_EQ(plan.joints.size(), 3U);
  for (int k = 0; k < 3; ++k) {
    const auto& travel = plan.joints[static_cast<std::size_t>(k)].travel;
    EXPECT_EQ(travel[1] - travel[0], answers.travel[k]);
  }
  ASSERT_TRUE(plan.frame);
  EXPECT_EQ(plan.frame->bed_size, answers.bed_size);
  EXPECT_EQ(plan.frame->clear_height, answers.clear_height);
  EXPECT_EQ(plan.frame->router_length, answers.router_length);
  EXPECT_EQ(plan.chains.size(), 3U);
  EXPECT_EQ(plan.lines.size(), 3U);
  EXPECT_EQ(plan.switches.size(), 3U);
}

TEST(StarterPlan, TakesTheWayOfSupplyThatWasAskedForFirst) {
  StarterAnswers answers;
  EXPECT_EQ(read_back(answers).front().lines.at(0).run, "chains to the head");
  EXPECT_EQ(read_back(answers).at(1).chosen_option, "cord in the chains");
  answers.supply = SupplyWay::hook;
  EXPECT_EQ(read_back(answers).front().lines.at(0).run, "over the hook");
  EXPECT_EQ(read_back(answers).at(1).chosen_option, "cord from a hook");
}

TEST(StarterPlan, HasNoChainAlongATableThatMoves) {
  StarterAnswers answers;
  answers.moving_table = true;
  const Plan plan = read_back(answers).front();
  EXPECT_TRUE(plan.frame->moving_table);
  EXPECT_TRUE(plan.joints.at(1).moves_work);
  ASSERT_EQ(plan.chains.size(), 2U);
  EXPECT_EQ(plan.chains[0].name, "X chain");
}

TEST(StarterPlan, QuotesTheName) {
  StarterAnswers answers;
  answers.name = "The \"big\" one\\two";
  EXPECT_EQ(read_back(answers).front().name, answers.name);
}

// Common practice: the two runs of a chain lie twice the bend radius apart, and a chain fixed at
// the middle of its travel is the shortest.
TEST(StarterPlan, MountsItsChainsSoThatTheyRoll) {
  const Plan plan = read_back(StarterAnswers{}).front();
  for (const Chain& chain : plan.chains) {
    const Vec3 apart = chain.moving_at - chain.fixed_at;
    const Vec3 across = apart - glm::dot(apart, chain.opens) * chain.opens;
    EXPECT_NEAR(glm::length(across), 2.0 * chain.bend_radius, 1e-9) << chain.name;
  }
}

TEST(StarterPlan, SaysWhatDoesNotFitTogether) {
  StarterAnswers narrow;
  narrow.travel.x = 1400.0;
  EXPECT_NE(starter_plan(narrow).problem.find("bed must be at least"), std::string::npos);
  EXPECT_TRUE(starter_plan(narrow).text.empty());

  StarterAnswers deep;
  deep.travel.y = 1200.0;
  EXPECT_NE(starter_plan(deep).problem.find("longer than the bed"), std::string::npos);

  StarterAnswers low;
  low.ceiling_height = 1400.0;
  EXPECT_NE(starter_plan(low).problem.find("ceiling is too low"), std::string::npos);

  StarterAnswers plunge;
  plunge.travel.z = 600.0;
  EXPECT_NE(starter_plan(plunge).problem.find("bottom of Z"), std::string::npos);

  StarterAnswers nonsense;
  nonsense.router_diameter = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NE(starter_plan(nonsense).problem.find("router's diameter"), std::string::npos);
}

// Whatever is asked for: either a sentence that says why not, or a plan without errors.
TEST(StarterPlan, IsAPlanOrAReasonForAnyAnswers) {
  std::mt19937 random(3);
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  int written = 0;
  int refused = 0;
  for (int trial = 0; trial < 400; ++trial) {
    StarterAnswers a;
    a.travel = {between(50.0, 2500.0), between(50.0, 2500.0), between(20.0, 300.0)};
    a.bed_size = {a.travel.x + between(0.0, 500.0), a.travel.y + between(-50.0, 500.0)};
    a.moving_table = trial % 2 == 0;
    a.bed_height = between(80.0, 1200.0);
    a.clear_height = between(30.0, 400.0);
    a.router_diameter = between(40.0, 120.0);
    a.router_length = between(100.0, 400.0);
    a.tool_diameter = between(1.0, 20.0);
    a.tool_length = between(10.0, 100.0);
    a.ceiling_height = between(1800.0, 4000.0);
    a.supply = trial % 3 == 0 ? SupplyWay::hook : SupplyWay::chains;
    const StarterPlan starter = starter_plan(a);
    if (!starter.problem.empty()) {
      ++refused;
      EXPECT_TRUE(starter.text.empty());
      continue;
    }
    ++written;
    Diagnostics diagnostics;
    EXPECT_TRUE(read_plan_and_options(starter.text, "starter.toml", diagnostics));
    if (diagnostics.has_errors()) ADD_FAILURE() << to_text(diagnostics.items().front());
  }
  EXPECT_GT(written, 60);
  EXPECT_GT(refused, 60);
}

TEST(StarterPlan, ExplainsItselfInComments) {
  const std::string text = starter_plan(StarterAnswers{}).text;
  for (const char* table :
       {"[[joint]]", "[frame]", "[[part]]", "[[switch]]", "[[work_area]]", "[[article]]",
        "[[line]]", "[[run]]", "[[anchor]]", "[[chain]]", "[rules]", "[[option]]"}) {
    const std::size_t at = text.find("\n" + std::string(table));
    ASSERT_NE(at, std::string::npos) << table;
    const std::size_t line_before = text.rfind('\n', at - 1) + 1;
    EXPECT_EQ(text[line_before], '#') << "no comment above the first " << table;
  }
}

}  // namespace
}  // namespace bight::plan
