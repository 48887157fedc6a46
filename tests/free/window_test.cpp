#include "free/window.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/tolerance.h"
#include "free/hanging.h"
#include "free/opening_move.h"

namespace bight::free {
namespace {

/// A hook over the middle of a table of 1200 x 800 mm at `height`, and an anchor on the head that
/// travels with X, Y and Z, 250 mm above the table at the deepest plunge.
AnchorPair hook_and_head(double height) {
  AnchorPair pair{{600, 400, height}, {0, 0, 250}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, 0, 1200}, {{}, {0, 1, 0}, 0, 800}, {{}, {0, 0, 1}, 0, 120}};
  return pair;
}

const LengthLimit* find(const std::vector<LengthLimit>& limits, LimitKind kind) {
  const auto it = std::find_if(limits.begin(), limits.end(),
                               [&](const LengthLimit& l) { return l.kind == kind; });
  return it == limits.end() ? nullptr : &*it;
}

TEST(Window, NeedsTheFarthestDistanceAndTheWantedSlack) {
  const Window w = length_window(hook_and_head(1000), {.mass_kg_m = 0.2}, {.slack_percent = 3.0});
  ASSERT_EQ(w.status, WindowStatus::open);
  const double distance = std::sqrt(600.0 * 600.0 + 400.0 * 400.0 + 750.0 * 750.0);
  EXPECT_DOUBLE_EQ(w.min_mm, 1.03 * distance);
  EXPECT_EQ(w.at_least.front().kind, LimitKind::slack);
  EXPECT_EQ(w.at_least.front().certainty, Certainty::proved);
  EXPECT_EQ(w.at_least.front().pose[2], 0.0);
  EXPECT_TRUE(std::isinf(w.max_mm));
  EXPECT_EQ(w.recommended_mm, 1090.0);  // 1073 mm, and 10 mm that a tape may be off
}

TEST(Window, TheLengthToCutLeavesWhatATapeMayBeOff) {
  const double endless = std::numeric_limits<double>::infinity();
  EXPECT_EQ(length_to_cut(1119.755, endless), 1130.0);
  EXPECT_EQ(length_to_cut(1119.755, 1140.0), 1130.0);
  EXPECT_EQ(length_to_cut(1120.0, endless), 1130.0);
  EXPECT_EQ(length_to_cut(1119.0, 1139.0), 1129.0);  // just as wide: 10 mm to both sides
  EXPECT_EQ(length_to_cut(1119.0, 1122.0), 1120.5);  // too narrow: as far from both ends
}

TEST(Window, EndsWhereTheLowestPointMeetsTheLevel) {
  const AnchorPair pair = hook_and_head(1600);
  const Window w = length_window(pair, {.mass_kg_m = 0.2}, {.keep_above_mm = 100.0});
  ASSERT_EQ(w.status, WindowStatus::open);
  EXPECT_EQ(w.at_most.front().kind, LimitKind::droop);
  EXPECT_EQ(w.at_most.front().certainty, Certainty::proved);
  // Another route: the lowest point over the travel at that length.
  EXPECT_NEAR(lowest_over_travel(pair, w.max_mm).upper_mm, 100.0, 0.02);
  EXPECT_GE(lowest_over_travel(pair, w.max_mm).lower_mm, 100.0 - 0.02);
  EXPECT_LT(lowest_over_travel(pair, w.max_mm + 1.0).upper_mm, 100.0);
  // Below the hook, at the deepest plunge.
  EXPECT_NEAR(w.at_most.front().pose[0], 600.0, 1e-6);
  EXPECT_NEAR(w.at_most.front().pose[1], 400.0, 1e-6);
  EXPECT_EQ(w.at_most.front().pose[2], 0.0);
}

TEST(Window, KeepsThePullBelowItsLimitAtEveryPose) {
  const AnchorPair pair = hook_and_head(1000);
  const HangingLine line{.mass_kg_m = 0.4, .max_pull_N = 12.0};
  const Window w = length_window(pair, line, {.slack_percent = 0.0});
  ASSERT_EQ(w.status, WindowStatus::open);
  EXPECT_EQ(w.at_least.front().kind, LimitKind::pull);
  EXPECT_GT(w.min_mm, w.farthest.distance_mm);
  EXPECT_LE(pull_over_travel(pair, w.min_mm, 0.4, 1e-6).upper_N, 12.0 + 1e-3);
  EXPECT_GT(pull_over_travel(pair, w.min_mm - 0.1, 0.4, 1e-6).lower_N, 12.0);
  EXPECT_EQ(w.at_most.front().kind, LimitKind::weight);
  EXPECT_NEAR(pull_over_travel(pair, w.max_mm, 0.4, 1e-6).upper_N, 12.0, 1e-3);
}

TEST(Window, IsClosedWhenTheLineIsTooHeavyAtAnyLength) {
  const Window w = length_window(hook_and_head(1000), {.mass_kg_m = 2.0, .max_pull_N = 5.0}, {});
  EXPECT_EQ(w.status, WindowStatus::closed);
  EXPECT_TRUE(std::isinf(w.min_mm));
}

TEST(Window, IsClosedWhenAnAnchorLiesBelowTheLevel) {
  const Window w = length_window(hook_and_head(1000), {.mass_kg_m = 0.2}, {.keep_above_mm = 260.0});
  EXPECT_EQ(w.status, WindowStatus::closed);
  EXPECT_EQ(w.max_mm, -std::numeric_limits<double>::infinity());
}

TEST(Window, AllowsForTheBendAtAClamp) {
  AnchorPair pair{{0, 0, 0}, {1000, 0, 0}, Vec3(0, 0, 1), {}, {}};
  const Window w =
      length_window(pair, {.mass_kg_m = 0.2, .bend_radius_mm = 60.0}, {.slack_percent = 0});
  ASSERT_EQ(w.at_least.front().kind, LimitKind::clamp);
  EXPECT_EQ(w.at_least.front().certainty, Certainty::estimated);
  // Exactly: an arc of 60 mm from straight up until it points at the far anchor, then straight.
  const double to_centre = std::hypot(1000.0 - 60.0, 0.0);
  const double tangent = std::sqrt(to_centre * to_centre - 60.0 * 60.0);
  const double arc = std::numbers::pi / 2.0 + std::asin(60.0 / to_centre);
  const double exact = 60.0 * arc + tangent;
  EXPECT_NEAR(w.min_mm, exact, 0.1 * (exact - 1000.0));
}

TEST(Window, KnowsThatNearAnchorsNeedARoundLoop) {
  // Anchors that come within 100 mm: on a circle of 80 mm the way round is the major arc.
  AnchorPair pair{{0, 0, 1000}, {100, 0, 1000}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, 0, 100}};
  const Window w = length_window(pair, {.mass_kg_m = 0.2, .bend_radius_mm = 80.0}, {});
  ASSERT_EQ(w.at_least.front().kind, LimitKind::arc);
  EXPECT_EQ(w.at_least.front().certainty, Certainty::proved);
  const double chord = 2.0 * 80.0 * std::sin(w.min_mm / (2.0 * 80.0));
  EXPECT_NEAR(chord, 100.0, 1e-9);
  EXPECT_GT(w.min_mm, std::numbers::pi * 80.0);
  // Anchors that hardly move may keep to the minor arc instead.
  pair.joints.clear();
  const Window still = length_window(pair, {.mass_kg_m = 0.2, .bend_radius_mm = 80.0}, {});
  ASSERT_EQ(still.at_most.front().kind, LimitKind::arc);
  EXPECT_NEAR(2.0 * 80.0 * std::sin(still.max_mm / 160.0), 100.0, 1e-9);
  EXPECT_LT(still.max_mm, std::numbers::pi * 80.0);
}

TEST(Window, CautionsAboutHairpinsAndClosesOnlyWhenTold) {
  AnchorPair pair{{0, 0, 1000}, {150, 0, 1000}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, 0, 600}};
  const HangingLine line{.mass_kg_m = 0.2, .bend_radius_mm = 100.0};
  const Window w = length_window(pair, line, {});
  const LengthLimit* caution = find(w.at_most, LimitKind::hairpin);
  ASSERT_NE(caution, nullptr);
  EXPECT_FALSE(caution->counts);
  EXPECT_EQ(w.status, WindowStatus::open);
  // At that length the limp line's radius at the nearest pose is the limit.
  EXPECT_NEAR(hang_at(pair, {0.0}, caution->length_mm, 0.2).catenary.smallest_radius_mm, 100.0,
              1e-6);
  EXPECT_EQ(length_window(pair, line, {.hairpin_counts = true}).status, WindowStatus::closed);
  // Strands at least two radii apart round their own bottom.
  pair.end.x = 200.0;
  EXPECT_EQ(find(length_window(pair, line, {}).at_most, LimitKind::hairpin), nullptr);
}

TEST(Window, MarginsSayHowFarALengthIsFromEitherEnd) {
  const Window w = length_window(hook_and_head(1600), {.mass_kg_m = 0.2}, {.keep_above_mm = 100.0});
  const LengthMargin inside = length_margin(w, 0.5 * (w.min_mm + w.max_mm));
  EXPECT_TRUE(inside.fits);
  EXPECT_NEAR(inside.above_min_mm, inside.below_max_mm, 1e-9);
  EXPECT_FALSE(length_margin(w, w.min_mm - 1.0).fits);
  EXPECT_FALSE(length_margin(w, w.max_mm + 1.0).fits);
  EXPECT_TRUE(length_margin(w, w.max_mm).fits);
  EXPECT_FALSE(length_margin(w, std::numeric_limits<double>::quiet_NaN()).fits);
}

TEST(Window, RefusesValuesOutOfRange) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const AnchorPair good = hook_and_head(1000);
  EXPECT_EQ(length_window(good, {.mass_kg_m = 0.0}, {}).status, WindowStatus::invalid);
  EXPECT_EQ(length_window(good, {.mass_kg_m = 0.2, .max_pull_N = nan}, {}).status,
            WindowStatus::invalid);
  EXPECT_EQ(length_window(good, {.mass_kg_m = 0.2}, {.keep_above_mm = nan}).status,
            WindowStatus::invalid);
  AnchorPair bad = good;
  bad.joints[0].upper = -1.0;
  EXPECT_EQ(length_window(bad, {.mass_kg_m = 0.2}, {}).status, WindowStatus::invalid);
  EXPECT_FALSE(length_margin(length_window(bad, {.mass_kg_m = 0.2}, {}), 1.0).fits);
}

TEST(OpeningMoves, RaiseTheHookJustEnough) {
  const AnchorPair low = hook_and_head(900);
  const HangingLine line{.mass_kg_m = 0.2};
  const WindowOptions options{.slack_percent = 2.0, .keep_above_mm = 100.0};
  ASSERT_EQ(length_window(low, line, options).status, WindowStatus::closed);
  const std::vector<AnchorMove> moves = opening_moves(low, line, options, {.reach_mm = 2000.0});
  ASSERT_FALSE(moves.empty());
  bool up = false;
  for (const AnchorMove& m : moves) {
    EXPECT_TRUE(m.moves_start);
    EXPECT_EQ(m.window.status, WindowStatus::open);
    // Checked afresh: it opens at that distance and is still closed 1 mm short of it.
    AnchorPair moved = low;
    moved.start += m.distance_mm * m.direction;
    EXPECT_EQ(length_window(moved, line, options).status, WindowStatus::open);
    moved.start -= 1.0 * m.direction;
    EXPECT_EQ(length_window(moved, line, options).status, WindowStatus::closed);
    up = up || m.direction == Vec3(0, 0, 1);
  }
  EXPECT_TRUE(up);
  EXPECT_TRUE(std::is_sorted(moves.begin(), moves.end(), [](const auto& a, const auto& b) {
    return a.distance_mm < b.distance_mm;
  }));
}

TEST(OpeningMoves, AreNoneForAnOpenWindowAndNoneWhenNothingHelps) {
  EXPECT_TRUE(opening_moves(hook_and_head(1000), {.mass_kg_m = 0.2}, {}, {}).empty());
  // Too heavy for its own drop wherever the hook goes within reach.
  EXPECT_TRUE(opening_moves(hook_and_head(1000), {.mass_kg_m = 50.0, .max_pull_N = 1.0}, {},
                            {.reach_mm = 100.0})
                  .empty());
}

}  // namespace
}  // namespace bight::free
