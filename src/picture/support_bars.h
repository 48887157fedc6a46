#pragma once
// What hooks, trolleys, booms and the other supports look like at a pose: round bars along
// polylines, mm, in the plan's frame. For scenes.

#include <optional>
#include <vector>

#include "base/vec.h"
#include "plan/plan.h"

namespace bight::picture {

struct RoundBar {
  std::vector<Vec3> points;
  double radius_mm = 0.0;
};

/// Where a support and what it carries are.
struct SupportPlace {
  Vec3 at{0.0};
  Vec3 carried{0.0};                ///< where the lines hang: a trolley or boom goes there
  Vec3 tow{0.0};                    ///< of a festoon: where its row of loops is pulled to
  std::optional<double> floor_z;    ///< top of the floor
  std::optional<double> ceiling_z;  ///< underside of what is over `at`
  std::optional<Vec3> tie_off;
  /// Of a pulley with a weight: what the line has left beyond it.
  std::optional<RoundBar> beyond_pulley;
};

std::vector<RoundBar> support_bars(const plan::Support& support, const SupportPlace& place);

}  // namespace bight::picture
