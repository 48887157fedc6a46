#include "machine/switch_trip.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "machine/limits.h"
#include "machine/motion.h"

namespace bight::machine {
namespace {

plan::Joint joint(const std::string& name, const Vec3& direction, double low, double high,
                  double stop_low, double stop_high) {
  plan::Joint j;
  j.name = name;
  j.direction = direction;
  j.travel = {low, high};
  j.stops = {stop_low, stop_high};
  return j;
}

plan::Body body(const std::string& name, const std::string& carried_by, const std::string& joint) {
  plan::Body b;
  b.name = name;
  b.carried_by = carried_by;
  b.joint = joint;
  return b;
}

/// X 0..1200 with stops 15 mm out, 12 m/min, 1000 mm/s^2 (stops within 20 mm); Y and Z without
/// speeds.
Machine router_table() {
  Machine m;
  m.joints = {joint("X", {1, 0, 0}, 0, 1200, -15, 1215), joint("Y", {0, 1, 0}, 0, 800, -10, 810),
              joint("Z", {0, 0, 1}, -120, 0, -125, 5)};
  m.joints[0].speed = 12000;
  m.joints[0].acceleration = 1000;
  m.bodies =
      bodies_in_motion(m.joints, {body("gantry", "ground", "Y"), body("carriage", "gantry", "X"),
                                  body("head", "carriage", "Z")});
  return m;
}

/// Roller of radius 4 on the carriage at X = 100; its actuator on the gantry begins at X = 1308, so
/// the roller touches at X = 1308 - 4 - 100 = 1204.
plan::Switch x_high() {
  plan::Switch s;
  s.name = "X+";
  s.joint = "X";
  s.end = plan::End::high;
  s.body = "carriage";
  s.at = {100, 0, 300};
  s.radius = 4;
  s.actuator_body = "gantry";
  s.actuator_at = {1308, -10, 290};
  s.actuator_size = {30, 20, 20};
  return s;
}

std::vector<SwitchFault> faults(std::initializer_list<SwitchFault> list) {
  return list;
}

TEST(SwitchTrip, TripsWhereTheRollerMeetsTheActuator) {
  auto machine = router_table();
  machine.joints[0].speed.reset();
  const auto trip = find_switch_trip(machine, x_high());
  EXPECT_TRUE(trip.faults.empty());
  ASSERT_TRUE(trip.trip.has_value());
  EXPECT_NEAR((*trip.trip)[0], 1204.0, 1e-9);
  EXPECT_NEAR((*trip.trip)[1], 1204.0, 1e-9);
  EXPECT_NEAR(*trip.before_trip, 4.0, 1e-9);
  EXPECT_NEAR(*trip.after_trip, 11.0, 1e-9);
  EXPECT_NEAR(*trip.released, 1308 + 30 + 4 - 100, 1e-9);
  EXPECT_NEAR(*trip.room, 11.0, 1e-9);
}

// 12 m/min and 1 m/s^2 need 20 mm; from the trip to the stop there are 11.
TEST(SwitchTrip, AFastAxisHitsItsStopAlthoughTheSwitchTrips) {
  const auto trip = find_switch_trip(router_table(), x_high());
  EXPECT_EQ(trip.faults, faults({SwitchFault::stops_too_late}));
  EXPECT_DOUBLE_EQ(*trip.stopping, 20.0);
}

TEST(SwitchTrip, OvertravelThatEndsBeforeTheStopIsTheRoomThatCounts) {
  auto machine = router_table();
  machine.joints[0].speed = 6000;  // 5 mm to stop
  auto s = x_high();
  s.overtravel = 6;
  const auto trip = find_switch_trip(machine, s);
  EXPECT_NEAR(*trip.room, 6.0, 1e-9);
  EXPECT_EQ(trip.faults, faults({SwitchFault::crushed_at_stop}));
  s.overtravel = 4;
  EXPECT_EQ(find_switch_trip(machine, s).faults,
            faults({SwitchFault::stops_too_late, SwitchFault::crushed_at_stop}));
  s.overtravel = 11;  // to the stop exactly
  EXPECT_TRUE(find_switch_trip(machine, s).faults.empty());
}

TEST(SwitchTrip, AnActuatorSetTooFarInTripsWithinTheTravel) {
  auto machine = router_table();
  machine.joints[0].speed.reset();
  auto s = x_high();
  s.actuator_at.x = 1303;  // trips at 1199
  const auto trip = find_switch_trip(machine, s);
  EXPECT_EQ(trip.faults, faults({SwitchFault::trips_in_travel}));
  ASSERT_EQ(trip.pose.size(), 3U);
  EXPECT_GE(trip.pose[0], 1199.0 - 1e-6);
  EXPECT_LE(trip.pose[0], 1200.0);
  s.actuator_at.x = 1304;  // trips at the soft limit itself
  EXPECT_EQ(find_switch_trip(machine, s).faults, faults({SwitchFault::trips_in_travel}));
  s.actuator_at.x = 1304.01;
  EXPECT_TRUE(find_switch_trip(machine, s).faults.empty());
}

TEST(SwitchTrip, AnActuatorBehindTheStopIsNeverInTime) {
  auto machine = router_table();
  machine.joints[0].speed.reset();
  auto s = x_high();
  s.actuator_at.x = 1325;  // trips at 1221, the stop is at 1215
  const auto trip = find_switch_trip(machine, s);
  EXPECT_EQ(trip.faults, faults({SwitchFault::trips_past_stop}));
  EXPECT_NEAR(*trip.after_trip, -6.0, 1e-9);
  EXPECT_NEAR(trip.pose[0], 1221.0, 1e-9);
}

TEST(SwitchTrip, ANarrowCamIsRiddenOverBeforeTheStop) {
  auto machine = router_table();
  machine.joints[0].speed.reset();
  auto s = x_high();
  s.actuator_size.x = 2;  // free again at 1308 + 2 + 4 - 100 = 1214
  const auto trip = find_switch_trip(machine, s);
  EXPECT_EQ(trip.faults, faults({SwitchFault::rides_over}));
  EXPECT_NEAR(*trip.released, 1214.0, 1e-9);
}

TEST(SwitchTrip, ASwitchBesideItsActuatorIsMissed) {
  auto s = x_high();
  s.at.z = 320;  // 10 mm above the actuator's top, radius 4
  const auto trip = find_switch_trip(router_table(), s);
  EXPECT_EQ(trip.faults, faults({SwitchFault::missed}));
  EXPECT_FALSE(trip.trip.has_value());
}

TEST(SwitchTrip, AnActuatorAtTheOtherEndIsOnTheWrongSide) {
  auto s = x_high();
  s.actuator_at.x = 50;  // pressed for X of -54 to -16 only
  const auto trip = find_switch_trip(router_table(), s);
  EXPECT_EQ(trip.faults, faults({SwitchFault::wrong_side}));
}

TEST(SwitchTrip, SwitchAndActuatorOnOneBodyNeverMeet) {
  auto s = x_high();
  s.actuator_body = "carriage";
  EXPECT_EQ(find_switch_trip(router_table(), s).faults, faults({SwitchFault::no_motion}));
}

// The trap of a real machine: the Z switch sits on the head, its actuator by mistake on the gantry
// instead of the carriage, so X carries the switch away from it.
TEST(SwitchTrip, AnActuatorOnTheWrongBodyWorksAtOneEndOfTheOtherJointOnly) {
  auto machine = router_table();
  plan::Switch s;
  s.name = "Z+";
  s.joint = "Z";
  s.end = plan::End::high;
  s.body = "head";
  s.at = {100, 0, 300};
  s.radius = 3;
  s.actuator_body = "carriage";
  s.actuator_at = {90, -10, 305};
  s.actuator_size = {20, 20, 10};
  const auto right = find_switch_trip(machine, s);
  EXPECT_TRUE(right.faults.empty());
  EXPECT_NEAR((*right.trip)[0], 2.0, 1e-9);

  s.actuator_body = "gantry";
  const auto wrong = find_switch_trip(machine, s);
  EXPECT_EQ(wrong.faults, faults({SwitchFault::missed}));
  ASSERT_EQ(wrong.pose.size(), 3U);
  EXPECT_EQ(wrong.pose[0], -15.0);  // the first corner of the other joints that misses
}

// A long actuator on the ground for a switch on the carriage: Y is guarded, X slides the roller
// along a bar that leans by 1 in 100, so the trip depends on X: 1215 - -15 = 1230 mm of way between
// the stops of X change it by 12.3 mm. The bar leans in the machine's frame because joint X does.
TEST(SwitchTrip, TheOtherJointsShiftTheTripWhenTheyRunAskew) {
  auto machine = router_table();
  const Vec3 askew = glm::normalize(Vec3(1.0, 0.01, 0.0));
  machine.joints[0].direction = askew;
  machine.bodies = bodies_in_motion(
      machine.joints, {body("gantry", "ground", "Y"), body("carriage", "gantry", "X")});
  plan::Switch s;
  s.joint = "Y";
  s.end = plan::End::high;
  s.body = "carriage";
  s.at = {0, 0, 300};
  s.radius = 5;
  s.actuator_body = "ground";
  s.actuator_at = {-100, 815, 250};
  s.actuator_size = {2000, 40, 100};
  const auto trip = find_switch_trip(machine, s);
  // At X = 1215 the roller is 1215 askew.y further along Y, at X = -15 a little less than at 0.
  EXPECT_NEAR((*trip.trip)[0], 810.0 - 1215.0 * askew.y, 1e-8);
  EXPECT_NEAR((*trip.trip)[1], 810.0 + 15.0 * askew.y, 1e-8);
  EXPECT_EQ(trip.faults, faults({SwitchFault::trips_in_travel, SwitchFault::trips_past_stop}));
}

/// The machine seen in a mirror across X = 0, so every joint value of X changes its sign.
Machine mirrored(Machine m) {
  auto& x = m.joints[0];
  x.travel = {-x.travel[1], -x.travel[0]};
  x.stops = std::array{-(*x.stops)[1], -(*x.stops)[0]};
  return m;
}

plan::Switch mirrored(plan::Switch s) {
  s.end = s.end == plan::End::low ? plan::End::high : plan::End::low;
  s.at.x = -s.at.x;
  s.actuator_at.x = -s.actuator_at.x - s.actuator_size.x;
  return s;
}

TEST(SwitchTrip, AMirroredMachineTripsAtTheMirroredValueWithTheSameFaults) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> shift(-30, 30);
  std::size_t sound = 0;
  std::size_t faulty = 0;
  for (int trial = 0; trial < 400; ++trial) {
    auto machine = router_table();
    machine.joints[0].speed = 2000 + 100 * std::abs(shift(random));
    auto s = x_high();
    s.actuator_at.x += shift(random) + 5;
    s.at.z += shift(random) / 2;
    s.overtravel = std::abs(shift(random));
    const auto there = find_switch_trip(machine, s);
    const auto here = find_switch_trip(mirrored(machine), mirrored(s));
    EXPECT_EQ(there.faults, here.faults);
    EXPECT_EQ(there.trip.has_value(), here.trip.has_value());
    if (there.trip) {
      EXPECT_NEAR((*there.trip)[1], -(*here.trip)[0], 1e-9);
      EXPECT_NEAR(*there.released, -*here.released, 1e-9);
      EXPECT_NEAR(*there.after_trip, *here.after_trip, 1e-9);
      EXPECT_NEAR(*there.before_trip, *here.before_trip, 1e-9);
    }
    (there.faults.empty() ? sound : faulty) += 1;
  }
  EXPECT_GT(sound, 40U);
  EXPECT_GT(faulty, 40U);
}

// ISO 841: on a moving table the actuator under the table runs against Y, and the switch stands
// still. Driving Y up moves the table towards the operator, so the actuator lies before the switch.
TEST(SwitchTrip, AMovingTableBringsItsActuatorToAStandingSwitch) {
  Machine m;
  m.joints = {joint("Y", {0, 1, 0}, 0, 500, -8, 508)};
  m.joints[0].moves_work = true;
  m.bodies = bodies_in_motion(m.joints, {body("table", "ground", "Y")});
  plan::Switch s;
  s.joint = "Y";
  s.end = plan::End::high;
  s.body = "ground";
  s.at = {0, 0, -50};
  s.radius = 2;
  s.actuator_body = "table";
  s.actuator_at = {-5, 505, -60};  // arrives at the roller after 505 - 2 = 503 mm
  s.actuator_size = {10, 20, 20};
  const auto trip = find_switch_trip(m, s);
  EXPECT_TRUE(trip.faults.empty());
  EXPECT_NEAR((*trip.trip)[0], 503.0, 1e-9);
}

// Every statement about random switches with two other joints against a grid of poses.
TEST(SwitchTrip, RandomLeaningMachinesAgreeWithAGridOfPoses) {
  std::mt19937 random(17);
  std::uniform_real_distribution<double> unit(-1, 1);
  int reached = 0;
  int missed = 0;
  int in_travel = 0;
  for (int trial = 0; trial < 150; ++trial) {
    Machine m;
    m.joints = {
        joint("X", glm::normalize(Vec3(1, 0.2 * unit(random), 0.2 * unit(random))), 0, 60, -4, 64),
        joint("Y", glm::normalize(Vec3(0.2 * unit(random), 1, 0)), 0, 20, -2, 22),
        joint("Z", glm::normalize(Vec3(0.2 * unit(random), 0, 1)), -10, 0, -11, 1)};
    m.bodies =
        bodies_in_motion(m.joints, {body("gantry", "ground", "Y"), body("carriage", "gantry", "X"),
                                    body("head", "carriage", "Z")});
    plan::Switch s;
    s.joint = "X";
    s.end = plan::End::high;
    s.body = "head";
    s.radius = trial % 3 == 0 ? 0.0 : 3.0 * std::abs(unit(random));
    s.actuator_body = "ground";
    s.actuator_at = {63 + 6 * unit(random), -16 + 8 * unit(random), -22 + 8 * unit(random)};
    s.actuator_size = {30, 45 + 10 * unit(random), 38};
    const auto trip = find_switch_trip(m, s);

    const Box box{s.actuator_at, s.actuator_at + s.actuator_size};
    const auto pressed = [&](double x, double y, double z) {
      const Vec3 p = translation(m.bodies[3], {x, y, z});
      return glm::length(p - glm::min(glm::max(p, box.lower), box.upper)) <= s.radius;
    };
    double earliest = 1e9;
    double latest = -1e9;
    bool all = true;
    bool travel = false;
    constexpr double k_step = 0.05;
    for (int iy = 0; iy <= 6; ++iy) {
      for (int iz = 0; iz <= 6; ++iz) {
        bool found = false;
        for (double x = -40; x <= 140 && !found; x += k_step) {
          if (!pressed(x, -2 + 4 * iy, -11 + 2 * iz)) continue;
          found = true;
          earliest = std::min(earliest, x);
          latest = std::max(latest, x);
        }
        all = all && found;
        for (double x = 0; x <= 60; x += k_step) {
          travel = travel || pressed(x, 20.0 * iy / 6, -10 + 10.0 * iz / 6);
        }
      }
    }
    const auto has = [&](SwitchFault f) {
      return std::find(trip.faults.begin(), trip.faults.end(), f) != trip.faults.end();
    };
    if (has(SwitchFault::missed)) {
      ++missed;
      EXPECT_FALSE(all) << trial;  // the corners of the grid are those of the box
    } else if (trip.trip) {
      ++reached;
      EXPECT_TRUE(all) << trial;
      // The grid sees each trip up to one step late; its corners are exact, its inside is not.
      EXPECT_LE((*trip.trip)[0], earliest + 1e-9) << trial;
      EXPECT_GE((*trip.trip)[0], earliest - 1.5) << trial;
      EXPECT_LE((*trip.trip)[1], latest + 1e-9) << trial;
      EXPECT_GE((*trip.trip)[1], latest - k_step - 1e-9) << trial;
    }
    if (travel) {
      ++in_travel;
      EXPECT_TRUE(has(SwitchFault::trips_in_travel)) << trial;
    }
    if (has(SwitchFault::trips_in_travel) && !trip.pose.empty() && !has(SwitchFault::missed)) {
      const Vec3 p = translation(m.bodies[3], trip.pose);
      EXPECT_LE(glm::length(p - glm::min(glm::max(p, box.lower), box.upper)), s.radius + 1e-5);
      for (std::size_t j = 0; j < 3; ++j) {
        EXPECT_GE(trip.pose[j], m.joints[j].travel[0] - 1e-9);
        EXPECT_LE(trip.pose[j], m.joints[j].travel[1] + 1e-9);
      }
    }
  }
  EXPECT_GT(reached, 30);
  EXPECT_GT(missed, 15);
  EXPECT_GT(in_travel, 30);
}

}  // namespace
}  // namespace bight::machine
