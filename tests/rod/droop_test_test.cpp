#include "rod/droop_test.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

// Heavy elastica, K = w L^3 / EI and droop of the tip over L: collocation, multiple shooting,
// extrapolated links and Taylor series agree to 6e-14.
TEST(DroopTest, FindsTheStiffnessOfTheHeavyElastica) {
  struct Row {
    double k, droop;
  };
  for (const Row& r :
       {Row{0.1, 0.01249844}, Row{0.5, 0.06230577}, Row{1, 0.12347140}, Row{2, 0.23850658},
        Row{3, 0.33964839}, Row{5, 0.49590504}, Row{8, 0.64063072}, Row{10, 0.70019972},
        Row{20, 0.82988144}, Row{50, 0.90791712}, Row{100, 0.93752394}, Row{500, 0.97311700}}) {
    const double mass = 0.3;
    const DroopResult result = stiffness_from_droop({400.0, mass, 400.0 * r.droop});
    ASSERT_EQ(result.status, DroopStatus::solved) << r.k;
    const double expected = mass * k_gravity * 0.064 / r.k;
    EXPECT_NEAR(result.stiffness_Nm2, expected, 1e-4 * expected) << r.k;
  }
}

TEST(DroopTest, SaysHowMuchAMillimetreOfReadingMatters) {
  const DroopResult a = stiffness_from_droop({400.0, 0.3, 200.0});
  const DroopResult b = stiffness_from_droop({400.0, 0.3, 201.0});
  EXPECT_NEAR(a.uncertainty_Nm2, a.stiffness_Nm2 - b.stiffness_Nm2, 0.02 * a.uncertainty_Nm2);
  // A line that nearly hangs down says little about its stiffness.
  const DroopResult limp = stiffness_from_droop({400.0, 0.3, 385.0});
  EXPECT_GT(limp.uncertainty_Nm2 / limp.stiffness_Nm2, a.uncertainty_Nm2 / a.stiffness_Nm2);
}

TEST(DroopTest, RefusesWhatTellsNothing) {
  EXPECT_EQ(stiffness_from_droop({400.0, 0.3, 0.2}).status, DroopStatus::too_stiff);
  EXPECT_EQ(stiffness_from_droop({400.0, 0.3, 399.0}).status, DroopStatus::too_limp);
  EXPECT_EQ(stiffness_from_droop({400.0, 0.3, -1.0}).status, DroopStatus::invalid);
  EXPECT_EQ(stiffness_from_droop({400.0, 0.0, 100.0}).status, DroopStatus::invalid);
  EXPECT_EQ(stiffness_from_droop({400.0, 0.3, std::numeric_limits<double>::quiet_NaN()}).status,
            DroopStatus::invalid);
}

}  // namespace
}  // namespace bight::rod
