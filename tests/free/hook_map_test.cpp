#include "free/hook_map.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "free/support_window.h"

namespace bight::free {
namespace {

/// A hook over a head that moves in X, Y and Z.
AnchorPair hanging_to_a_head() {
  AnchorPair pair{{0, 0, 2200}, {0, 0, 900}, {}, {}, {}};
  pair.joints = {{{0, 0, 0}, {1, 0, 0}, 0, 1200},
                 {{0, 0, 0}, {0, 1, 0}, 0, 800},
                 {{0, 0, 0}, {0, 0, 1}, -120, 0}};
  return pair;
}

const HangingLine k_line{0.3, 60.0, {}};

WindowOptions keep_above(double z) {
  WindowOptions o;
  o.keep_above_mm = z;
  return o;
}

const HookArea k_ceiling{{-400, -400, 2200}, {2000, 0, 0}, {0, 1600, 0}};

/// A window that is open inside a circle, margin falling with the distance from its centre.
WindowAt circle_window(const Vec3& centre, double radius) {
  return [=](const Vec3& place) {
    Window w;
    const double margin = radius - glm::distance(place, centre);
    w.min_mm = 1000.0;
    w.max_mm = 1000.0 + margin;
    w.recommended_mm = 1000.0;
    w.status = margin >= 0.0 ? WindowStatus::open : WindowStatus::closed;
    return w;
  };
}

TEST(HookMap, FindsACircleItsAreaAndItsCentre) {
  const Vec3 centre(830, 410, 2200);
  const HookMap map =
      map_hooks(k_ceiling, circle_window(centre, 500.0), {.coarse_mm = 200.0, .fine_mm = 10.0});
  ASSERT_TRUE(map.valid);
  ASSERT_TRUE(map.best.has_value());
  EXPECT_LE(glm::distance(map.places[*map.best].place, centre), map.step_mm);
  EXPECT_LE(map.step_mm, 10.0);
  const double circle = 3.14159265358979 * 500.0 * 500.0 / (2000.0 * 1600.0);
  EXPECT_LE(map.works_share, circle);  // a chord of a circle lies inside
  EXPECT_GE(map.works_share + map.border_share, circle);
  EXPECT_LT(map.border_share, 0.02);
}

TEST(HookMap, RefinesOnlyTheBorderAndTheBest) {
  const HookMap map = map_hooks(k_ceiling, circle_window({830, 410, 2200}, 500.0),
                                {.coarse_mm = 200.0, .fine_mm = 10.0});
  const double all = 2000.0 / map.step_mm * 1600.0 / map.step_mm;
  EXPECT_LT(static_cast<double>(map.places.size()), 0.15 * all);
  const int finest =
      std::max_element(map.cells.begin(), map.cells.end(), [](const auto& a, const auto& b) {
        return a.level < b.level;
      })->level;
  for (const HookCell& cell : map.cells) {
    if (cell.kind == HookCellKind::border) {
      EXPECT_EQ(cell.level, finest);
    }
  }
}

TEST(HookMap, CellsCoverTheAreaOnce) {
  const HookMap map = map_hooks(k_ceiling, circle_window({830, 410, 2200}, 300.0));
  double share = 0.0;
  for (const HookCell& cell : map.cells) {
    const Vec2 d = map.places[cell.corner[3]].at - map.places[cell.corner[0]].at;
    EXPECT_GT(d.x, 0.0);
    share += d.x * d.y;
  }
  EXPECT_NEAR(share, 1.0, 1e-12);
}

TEST(HookMap, HoldsTheWindowOfEachPlace) {
  const AnchorPair pair = hanging_to_a_head();
  const HookMap map =
      map_hooks(k_ceiling, hook_window(pair, true, k_line, keep_above(300.0)), {.fine_mm = 125.0});
  ASSERT_TRUE(map.best.has_value());
  for (const HookPlaceWindow& p : map.places) {
    AnchorPair moved = pair;
    moved.start = p.place;
    const Window w = length_window(moved, k_line, keep_above(300.0));
    EXPECT_EQ(p.min_mm, w.min_mm);
    EXPECT_EQ(p.max_mm, w.max_mm);
    EXPECT_LE(p.margin_mm, map.places[*map.best].margin_mm);
  }
}

// The head's travel is symmetric about (600, 400): so is the map, and the best hook is over it.
TEST(HookMap, IsAsSymmetricAsTheTravel) {
  const HookMap map =
      map_hooks(k_ceiling, hook_window(hanging_to_a_head(), true, k_line, keep_above(300.0)),
                {.coarse_mm = 200.0, .fine_mm = 200.0});
  for (const HookPlaceWindow& p : map.places) {
    for (const HookPlaceWindow& q : map.places) {
      if (std::abs(p.at.x + q.at.x - 1.0) < 1e-9 && std::abs(p.at.y - q.at.y) < 1e-9) {
        EXPECT_NEAR(p.min_mm, q.min_mm, 0.02);
        EXPECT_NEAR(p.max_mm, q.max_mm, 0.02);
      }
    }
  }
  ASSERT_TRUE(map.best.has_value());
  EXPECT_LE(glm::distance(map.places[*map.best].place, Vec3(600, 400, 2200)), 201.0);
}

TEST(HookMap, IsTheSameForAnyNumberOfThreads) {
  const WindowAt window = hook_window(hanging_to_a_head(), true, k_line, keep_above(300.0));
  const HookMap one = map_hooks(k_ceiling, window, {.fine_mm = 60.0, .threads = 1});
  const HookMap four = map_hooks(k_ceiling, window, {.fine_mm = 60.0, .threads = 4});
  ASSERT_EQ(one.places.size(), four.places.size());
  for (std::size_t i = 0; i < one.places.size(); ++i) {
    EXPECT_EQ(one.places[i].place, four.places[i].place);
    EXPECT_EQ(one.places[i].min_mm, four.places[i].min_mm);
    EXPECT_EQ(one.places[i].max_mm, four.places[i].max_mm);
  }
  EXPECT_EQ(one.best, four.best);
}

TEST(HookMap, OfEnoughMarginTheShortestLineIsBest) {
  const auto nearer_is_shorter = [](const Vec3& place) {
    Window w;
    w.status = WindowStatus::open;
    w.min_mm = w.recommended_mm = 1000.0 + place.x;
    w.max_mm = w.min_mm + 100.0 + place.x;
    return w;
  };
  const HookArea area{{0, 0, 0}, {1000, 0, 0}, {0, 500, 0}};
  const HookMap widest = map_hooks(area, nearer_is_shorter);
  EXPECT_EQ(widest.places[*widest.best].place.x, 1000.0);
  const HookMap enough = map_hooks(area, nearer_is_shorter, {.enough_margin_mm = 100.0});
  EXPECT_EQ(enough.places[*enough.best].place.x, 0.0);
}

TEST(HookMap, SaysThatNothingWorks) {
  const HookMap map = map_hooks(k_ceiling, circle_window({0, 0, 9000}, 100.0));
  EXPECT_TRUE(map.valid);
  EXPECT_FALSE(map.best.has_value());
  EXPECT_EQ(map.works_share, 0.0);
  for (const HookCell& cell : map.cells) EXPECT_EQ(cell.kind, HookCellKind::fails);
}

TEST(HookMap, KeepsTheFinishedPassesWhenCancelled) {
  Progress progress;
  std::atomic<int> calls{0};
  const WindowAt circle = circle_window({830, 410, 2200}, 500.0);
  const auto cancels_later = [&](const Vec3& place) {
    if (++calls == 150) progress.cancel();  // the first pass has 9 x 8 places
    return circle(place);
  };
  const HookMap map = map_hooks(k_ceiling, cancels_later, {.fine_mm = 5.0}, &progress);
  EXPECT_TRUE(map.cancelled);
  EXPECT_FALSE(map.cells.empty());
  for (const HookCell& cell : map.cells) {
    for (const std::size_t corner : cell.corner) ASSERT_LT(corner, map.places.size());
  }
  EXPECT_LT(progress.done(), progress.total());
}

TEST(HookMap, RefusesWhatIsNotFinite) {
  HookArea area = k_ceiling;
  area.across.x = std::nan("");
  EXPECT_FALSE(map_hooks(area, circle_window({}, 1.0)).valid);
  EXPECT_FALSE(map_hooks(k_ceiling, circle_window({}, 1.0), {.fine_mm = 0.0}).valid);
}

TEST(BoomWindow, OfNoRadiusIsThatOfAHookAtItsPost) {
  const AnchorPair pair = hanging_to_a_head();
  const Vec3 post(600, 400, 2200);
  const Window boom = boom_window(pair, {.radius_mm = 0.0}, k_line, keep_above(300.0))(post);
  const Window hook = hook_window(pair, true, k_line, keep_above(300.0))(post);
  ASSERT_EQ(hook.status, WindowStatus::open);
  EXPECT_NEAR(boom.min_mm, hook.min_mm, 0.02);  // extremes at corners and the middle: on the grid
  EXPECT_NEAR(boom.max_mm, hook.max_mm, 0.02);
  EXPECT_EQ(boom.status, hook.status);
  EXPECT_EQ(boom.recommended_mm, hook.recommended_mm);
}

TEST(BoomWindow, SwingsAfterTheHead) {
  AnchorPair pair = hanging_to_a_head();
  pair.joints.resize(1);  // along X, from 0 to 1200, 300 beside the post
  pair.end.y = 300.0;
  const Window w =
      boom_window(pair, {.radius_mm = 500.0, .steps_per_joint = 12}, k_line, {})({0, 0, 2200});
  const double farthest = std::hypot(std::hypot(1200.0, 300.0) - 500.0, 1300.0);
  EXPECT_NEAR(w.farthest.distance_mm, farthest, 1e-9);
  EXPECT_NEAR(w.min_mm, 1.02 * farthest, 1e-9);
  for (const LengthLimit& l : w.at_least) EXPECT_EQ(l.certainty, Certainty::estimated);
}

TEST(BoomWindow, StopsKeepTheTipFromTheHead) {
  AnchorPair pair{{}, {0, 1000, 900}, {}, {}, {}};
  const Window w = boom_window(pair, {.radius_mm = 500.0, .lower_deg = -30.0, .upper_deg = 0.0},
                               k_line, {})({0, 0, 2200});
  EXPECT_NEAR(w.farthest.distance_mm, glm::length(Vec3(500, -1000, 1300)), 1e-9);
}

}  // namespace
}  // namespace bight::free
