#include "scene/label_layout.h"

#include <gtest/gtest.h>

#include <random>

namespace bight::scene {
namespace {

const Rect k_area{{0.0, 0.0}, {800.0, 500.0}};

TEST(LabelLayout, RandomLabelsNeverOverlapAndStayOnThePicture) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> x(-50.0, 850.0);
  std::uniform_real_distribution<double> y(-50.0, 550.0);
  std::uniform_real_distribution<double> width(20.0, 180.0);
  std::size_t placed = 0;
  std::size_t left_out = 0;
  for (int round = 0; round < 60; ++round) {
    std::vector<LabelRequest> requests;
    for (int i = 0; i < 70; ++i) {
      requests.push_back({{x(random), y(random)}, {width(random), 22.0}, i % 5});
    }
    const std::vector<Rect> taken{{{600.0, 400.0}, {790.0, 490.0}}};
    const auto places = place_labels(requests, k_area, taken);
    ASSERT_EQ(places.size(), requests.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
      if (!places[i]) {
        ++left_out;
        continue;
      }
      ++placed;
      EXPECT_TRUE(places[i]->box.inside(k_area));
      EXPECT_FALSE(places[i]->box.overlaps(taken[0]));
      EXPECT_NEAR(places[i]->box.upper.x - places[i]->box.lower.x, requests[i].size.x, 1e-9);
      for (std::size_t k = 0; k < i; ++k) {
        if (places[k]) {
          EXPECT_FALSE(places[i]->box.overlaps(places[k]->box));
        }
      }
    }
  }
  // The sample must not be vacuous: many fit, and some find no room.
  EXPECT_GT(placed, 1000U);
  EXPECT_GT(left_out, 100U);
}

TEST(LabelLayout, ALoneLabelStandsRightOfItsPoint) {
  const auto places = place_labels({{{100.0, 100.0}, {60.0, 20.0}, 0, 8.0}}, k_area);
  ASSERT_TRUE(places[0]);
  EXPECT_NEAR(places[0]->box.lower.x, 108.0, 1.0);
  EXPECT_NEAR(0.5 * (places[0]->box.lower.y + places[0]->box.upper.y), 100.0, 1.0);
  EXPECT_FALSE(places[0]->leader);
}

TEST(LabelLayout, HigherPriorityChoosesFirst) {
  const Rect small{{0.0, 0.0}, {90.0, 24.0}};
  const std::vector<LabelRequest> requests{{{10.0, 12.0}, {60.0, 20.0}, 0, 4.0},
                                           {{10.0, 12.0}, {60.0, 20.0}, 9, 4.0}};
  const auto places = place_labels(requests, small);
  EXPECT_FALSE(places[0]);
  EXPECT_TRUE(places[1]);
}

TEST(LabelLayout, ALabelThatMustBeThereGoesFarAndIsJoinedByALine) {
  const std::vector<Rect> crowd{{{250.0, 150.0}, {550.0, 350.0}}};
  const LabelRequest request{{400.0, 250.0}, {80.0, 20.0}, 0, 8.0, false};
  LabelRequest must = request;
  must.must = true;
  EXPECT_FALSE(place_labels({request}, k_area, crowd)[0]);
  const auto place = place_labels({must}, k_area, crowd)[0];
  ASSERT_TRUE(place);
  EXPECT_TRUE(place->leader);
}

TEST(LabelLayout, LinesToPointsCrossNothingThatIsTaken) {
  // Room for the box is only beyond the legend at the right, and farther away at the left.
  const Rect area{{0.0, 200.0}, {800.0, 240.0}};
  const std::vector<Rect> taken{{{330.0, 200.0}, {400.0, 240.0}},   // on the point
                                {{402.0, 200.0}, {440.0, 240.0}}};  // the legend
  LabelRequest request{{390.0, 220.0}, {60.0, 20.0}, 0, 8.0};
  request.must = true;
  const auto place = place_labels({request}, area, taken)[0];
  ASSERT_TRUE(place);
  EXPECT_TRUE(place->leader);
  EXPECT_LT(place->box.upper.x, 330.0 + 1.0);
}

TEST(LabelLayout, PointsOffThePictureHaveNoLabel) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto places =
      place_labels({{{-5.0, 10.0}, {20.0, 20.0}}, {{nan, 10.0}, {20.0, 20.0}}}, k_area);
  EXPECT_FALSE(places[0]);
  EXPECT_FALSE(places[1]);
}

}  // namespace
}  // namespace bight::scene
