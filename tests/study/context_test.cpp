#include "study/context.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

TEST(Context, APartThatTheFrameMakesIsNamedWithTheKeysThatPlaceIt) {
  plan::Plan plan;
  plan.frame = plan::Frame{};
  plan::Part own;
  own.name = "router";  // replaces the frame's
  plan.parts.push_back(own);
  const machine::Machine machine;
  const StudyOptions options;
  const Context context{plan, machine, options, LengthUnit::mm};
  EXPECT_EQ(place_in_plan(context, "beam"),
            "beam ([frame]: clear_height, beam_height, beam_depth)");
  EXPECT_EQ(place_in_plan(context, "router"), "router");
  EXPECT_EQ(place_in_plan(context, "X chain"), "X chain");
}

TEST(Context, WhatIsAdvisedIsRoundedUpInTheDigitsThatAreShown) {
  const plan::Plan plan;
  const machine::Machine machine;
  const StudyOptions options;
  const Context mm{plan, machine, options, LengthUnit::mm};
  EXPECT_EQ(mm.at_least(12.301), "12.4 mm");
  EXPECT_EQ(mm.at_least(12.3), "12.3 mm");
  EXPECT_EQ(mm.at_least(12.300000001), "12.3 mm");
  EXPECT_EQ(mm.at_least(12.1, 0), "13 mm");
  const Context inch{plan, machine, options, LengthUnit::inch};
  EXPECT_EQ(inch.at_least(25.4), "1.000 in");
  EXPECT_EQ(inch.at_least(25.41), "1.001 in");
}

}  // namespace
}  // namespace bight::study
