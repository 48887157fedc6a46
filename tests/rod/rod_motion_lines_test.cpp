// Several lines on one carrier, and lines in a row between trolleys. Against linear mechanics of
// textbooks, against a single line of the same weight, and against the laws of impact.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "rod/catenary.h"
#include "rod_motion_fixture.h"

namespace bight::rod {
namespace {

/// A load on a limp line that hangs free from a carrier at the origin, `angle` aside along X.
MovingLine pendulum(double length_mm, double load_kg, double line_kg_m, double angle) {
  MovingLine line;
  line.problem = {.length_mm = length_mm, .mass_kg_m = line_kg_m, .stiffness_Nm2 = 1e-7};
  line.problem.end_is_free = true;
  line.problem.point_masses = {{length_mm, load_kg}};
  line.start_carrier = 0;
  constexpr int k_links = 6;
  for (int i = 0; i <= k_links; ++i) {
    const double s = length_mm * i / k_links;
    line.joints.push_back({s * std::sin(angle), 0.0, -s * std::cos(angle)});
  }
  return line;
}

// Two unlike pendulums that share a trolley, small swings (Lagrange's equations, theta small):
//   (M + m1 + m2) x'' + m1 l1 theta1'' + m2 l2 theta2'' = 0,  x'' + l theta'' + g theta = 0 of
//   each,
// by the classical Runge-Kutta method. The same on an arm that lies across the swing.
TEST(RodMotionOfLines, TwoUnlikePendulumsOnOneTrolleyOrArm) {
  constexpr std::array k_length = {900.0, 500.0};
  constexpr std::array k_load = {1.0, 0.4};
  constexpr double k_trolley = 0.5;
  constexpr double k_angle = 0.01;
  const std::vector<MovingLine> lines{pendulum(k_length[0], k_load[0], 1e-4, k_angle),
                                      pendulum(k_length[1], k_load[1], 1e-4, -0.5 * k_angle)};
  const std::vector<LineEnds> ends(2);
  using State = std::array<double, 6>;  // x, theta1, theta2 and their rates
  const auto rates = [&](const State& s) {
    double weight = 0.0;  // that pulls the trolley along
    for (std::size_t i = 0; i < 2; ++i) weight += k_load[i] * k_g_mm * s[1 + i];
    const double x = weight / k_trolley;
    return State{s[3],
                 s[4],
                 s[5],
                 x,
                 -(x + k_g_mm * s[1]) / k_length[0],
                 -(x + k_g_mm * s[2]) / k_length[1]};
  };
  const Carrier trolley{Vec3(0.0), k_trolley, Track{}};
  const Carrier arm{Vec3(0.0), k_trolley, Arm{{0.0, 5000.0, 0.0}, 5000.0}};
  for (const Carrier& carrier : {trolley, arm}) {
    RodMotion motion(lines, {carrier}, 1e-10);
    State state{0.0, k_angle, -0.5 * k_angle, 0.0, 0.0, 0.0};
    const double h = 0.002;
    for (int i = 0; i < 1500; ++i) {
      ASSERT_TRUE(motion.step(h, ends)) << i;
      const auto ahead = [&](const State& k, double by) {
        State s = state;
        for (std::size_t c = 0; c < s.size(); ++c) s[c] += by * k[c];
        return s;
      };
      const State a = rates(state);
      const State b = rates(ahead(a, 0.5 * h));
      const State c = rates(ahead(b, 0.5 * h));
      const State d = rates(ahead(c, h));
      for (std::size_t k = 0; k < state.size(); ++k) {
        state[k] += h / 6.0 * (a[k] + 2.0 * b[k] + 2.0 * c[k] + d[k]);
      }
      ASSERT_NEAR(motion.carrier().place().x, state[0], 0.1) << i;
      for (std::size_t l = 0; l < 2; ++l) {
        const double aside = state[0] + k_length[l] * state[1 + l];
        ASSERT_NEAR(motion.line(l).points().back().x, aside, 0.15) << i << " " << l;
      }
    }
  }
}

// Two loads on lines from one elastic cord bounce as their sum does on a spring.
TEST(RodMotionOfLines, TwoLoadsOnOneCordBounceTogether) {
  constexpr double k_stiffness = 50.0;
  const std::vector<MovingLine> lines{pendulum(900.0, 1.0, 1e-3, 0.0),
                                      pendulum(500.0, 0.4, 1e-3, 0.0)};
  const std::vector<LineEnds> ends(2);
  const double mass = 1.0 + 0.4 + 1e-3 * (0.9 + 0.5);
  const double rest = 1000.0 * mass * k_gravity / k_stiffness;
  const Carrier cord{Vec3(0.0), 0.0, Cord{{0.0, 0.0, 200.0 + rest - 40.0}, 200.0, k_stiffness}};
  RodMotion motion(lines, {cord}, 1e-11);
  const double period = period_of([&] { return motion.step(0.002, ends); }, 0.002, 6.0,
                                  [&] { return motion.carrier().place().z + 40.0; });
  const double want = 2.0 * std::numbers::pi * std::sqrt(mass / k_stiffness);
  EXPECT_NEAR(period, want, 1e-4 * want);
}

// A line is two lines of half its weight and stiffness that hang side by side, wherever they hang.
TEST(RodMotionOfLines, TwoHalvesMoveAsTheWhole) {
  const MovingLine whole = pendulum(800.0, 0.6, 0.1, 0.7);
  MovingLine half = whole;
  half.problem.mass_kg_m *= 0.5;
  half.problem.stiffness_Nm2 *= 0.5;
  half.problem.point_masses = {{800.0, 0.3}};
  for (const Carrier& carrier :
       {Carrier{Vec3(0.0), 0.2, Track{glm::normalize(Vec3(2.0, 1.0, 0.2))}},
        Carrier{Vec3(0.0), 0.2, Arm{{300.0, 400.0, 0.0}, 500.0}},
        Carrier{Vec3(0.0), 0.0, Cord{{0.0, 0.0, 350.0}, 250.0, 70.0}}}) {
    RodMotion one({whole}, {carrier}, 1e-10);
    RodMotion two({half, half}, {carrier}, 1e-10);
    EXPECT_NEAR(two.weight_N(), one.weight_N(), 1e-12);
    for (int i = 0; i < 200; ++i) {
      ASSERT_TRUE(one.step(0.005, std::vector<LineEnds>(1))) << i;
      ASSERT_TRUE(two.step(0.005, std::vector<LineEnds>(2))) << i;
    }
    EXPECT_GT(glm::length(one.carrier().place()), 1.0);
    EXPECT_LT(glm::distance(one.carrier().place(), two.carrier().place()), 1e-3);
    for (const std::size_t l : {0U, 1U}) {
      const Vec3 tip = two.line(l).points().back();
      EXPECT_LT(glm::distance(tip, one.line().points().back()), 1e-3);
    }
  }
}

/// Loops between `places` along X, the first and the last held, trolleys at the others.
struct Row {
  std::vector<MovingLine> loops;
  std::vector<LineEnds> ends;
  std::vector<Carrier> trolleys;
};
Row row_of(const std::vector<double>& places, double loop_mm, double line_kg_m, double trolley_kg,
           const Bumper& bumper, double stiffness_Nm2 = 1e-9) {
  Row row;
  for (std::size_t i = 0; i + 1 < places.size(); ++i) {
    MovingLine loop;
    loop.problem = {.length_mm = loop_mm, .mass_kg_m = line_kg_m, .stiffness_Nm2 = stiffness_Nm2};
    loop.problem.start = {places[i], 0.0, 0.0};
    loop.problem.end = {places[i + 1], 0.0, 0.0};
    SpatialRodSolver solver(16);
    EXPECT_TRUE(solver.solve_cold(loop.problem).converged());
    loop.joints = solver.points();
    loop.bumper = bumper;
    if (i > 0) {
      loop.start_carrier = i - 1;
      row.trolleys.push_back({loop.problem.start, trolley_kg, Track{}});
    }
    if (i + 2 < places.size()) loop.end_carrier = i;
    row.ends.push_back({loop.problem.start, loop.problem.end});
    row.loops.push_back(std::move(loop));
  }
  return row;
}

// Small motions of equal masses M between equal springs k, both ends held (Rayleigh, The Theory of
// Sound, section 120): omega_j = 2 sqrt(k / M) sin(j pi / 2N), N springs. The springs are loops so
// light that they only pull; k is the slope of their pull, of a catenary with level ends.
TEST(RodMotionOfLines, TrolleysInARowHaveTheModesOfMassesBetweenSprings) {
  constexpr int k_loops = 5;
  constexpr double k_pitch = 400.0;
  constexpr double k_loop = 600.0;
  constexpr double k_line = 0.02;
  constexpr double k_trolley = 2.0;
  const auto pull = [](double span) {
    return solve_catenary({.dx_mm = span, .length_mm = k_loop, .mass_kg_m = k_line})
        .horizontal_force_N;
  };
  const double slope_N_m = 1000.0 * (pull(k_pitch + 0.5) - pull(k_pitch - 0.5));
  for (const int mode : {1, 3}) {
    const auto shape = [mode](int i) { return std::sin(mode * std::numbers::pi * i / k_loops); };
    std::vector<double> places;
    for (int i = 0; i <= k_loops; ++i) places.push_back(i * k_pitch + 8.0 * shape(i));
    const Row row = row_of(places, k_loop, k_line, k_trolley, {});
    RodMotion motion(row.loops, row.trolleys, 1e-10);
    const double omega =
        2.0 * std::sqrt(slope_N_m / k_trolley) * std::sin(0.5 * mode * std::numbers::pi / k_loops);
    const double want = 2.0 * std::numbers::pi / omega;
    const double step = want / 400.0;
    const double period = period_of([&] { return motion.step(step, row.ends); }, step, 4.2 * want,
                                    [&] { return motion.carrier(0).place().x - k_pitch; });
    EXPECT_NEAR(period, want, 0.01 * want) << mode;
  }
}

// Huygens on impact: a trolley at rest that a tow of constant speed meets leaves it at twice that
// speed; equal trolleys that meet change speeds: the first one stops, the second goes on.
TEST(RodMotionOfLines, BumpersPassSpeedOn) {
  constexpr double k_speed = 100.0;
  constexpr double k_touch = 50.0;
  const Row row = row_of({0.0, 800.0, 1000.0, 1051.0}, 1500.0, 1e-6, 1.0,
                         {{1.0, 0.0, 0.0}, k_touch, 4e4, 1e-3});
  RodMotion motion(row.loops, row.trolleys, 1e-12);
  const double energy = motion.energy_Nmm();
  std::vector<LineEnds> ends = row.ends;
  double time = 0.0;
  const auto go = [&](double until) {
    while (time < until) {
      time += 2e-4;
      ends.back().end.x = 1051.0 - k_speed * time;
      ASSERT_TRUE(motion.step(2e-4, ends)) << time;
    }
  };
  // 1 mm to the first bumper at the speed of the tow, 150 mm to the next at twice that.
  go(0.3);
  EXPECT_NEAR(motion.carrier(1).velocity_mm_s().x, -2.0 * k_speed, 0.01 * k_speed);
  EXPECT_NEAR(motion.carrier(0).velocity_mm_s().x, 0.0, 0.01 * k_speed);
  go(0.95);
  EXPECT_NEAR(motion.carrier(1).velocity_mm_s().x, 0.0, 0.01 * k_speed);
  EXPECT_NEAR(motion.carrier(0).velocity_mm_s().x, -2.0 * k_speed, 0.01 * k_speed);
  const double kinetic = 0.5e-3 * 1.0 * std::pow(2.0 * k_speed, 2);
  EXPECT_NEAR(motion.energy_Nmm() - energy, kinetic, 0.01 * kinetic);
}

// Loops that go taut, trolleys that meet: nothing is lost, and no loop becomes longer.
TEST(RodMotionOfLines, ARowKeepsItsEnergyThroughImpacts) {
  const Row row = row_of({0.0, 70.0, 565.0, 640.0, 1000.0}, 500.0, 0.2, 0.3,
                         {{1.0, 0.0, 0.0}, 60.0, 1e4, 2e-3});
  RodMotion motion(row.loops, row.trolleys, 1e-10);
  const double energy = motion.energy_Nmm();
  double nearest = 1e9;
  double farthest = 0.0;
  for (int i = 0; i < 1500; ++i) {
    ASSERT_TRUE(step_or_halves(motion, 0.004, row.ends)) << i;
    ASSERT_NEAR(motion.energy_Nmm(), energy, 1e-5 * std::abs(energy)) << i;
    ASSERT_LT(motion.longest_stretch(), 1e-6) << i;
    for (std::size_t k = 0; k + 1 < row.trolleys.size(); ++k) {
      const double pitch = motion.carrier(k + 1).place().x - motion.carrier(k).place().x;
      nearest = std::min(nearest, pitch);
      farthest = std::max(farthest, pitch);
    }
  }
  EXPECT_LT(nearest, 60.0);    // they meet,
  EXPECT_GT(nearest, 40.0);    // and do not pass through each other
  EXPECT_GT(farthest, 490.0);  // taut
  EXPECT_LT(farthest, 500.0);
}

// At usual speeds and with steps longer than an impact lasts trolleys stay in their order, also
// where the saddles leave hardly any room between them.
TEST(RodMotionOfLines, TrolleysDoNotPassEachOtherWhateverTheStep) {
  constexpr double k_speed = 1000.0;
  constexpr double k_ramp_s = 0.2;
  for (const double room : {10.0, 20.0}) {
    for (const double seconds : {0.016, 0.008, 0.002}) {
      const Row row = row_of({0.0, 300.0, 600.0, 900.0, 1200.0}, 700.0, 0.1, 1.0,
                             {{1.0, 0.0, 0.0}, room, 4e4, 2e-3}, 0.002);
      RodMotion motion(row.loops, row.trolleys, 1e-7);
      const auto ends_at = [&](double time) {
        const double way = time < k_ramp_s ? 0.5 * k_speed * time * time / k_ramp_s
                                           : k_speed * (time - 0.5 * k_ramp_s);
        std::vector<LineEnds> ends = row.ends;
        ends.back().end.x = 1200.0 - std::min(1000.0, way);
        return ends;
      };
      const std::function<bool(double, double, int)> go = [&](double from, double to,
                                                              int halvings) {
        if (motion.step(to - from, ends_at(to))) return true;
        const double middle = 0.5 * (from + to);
        return halvings > 0 && go(from, middle, halvings - 1) && go(middle, to, halvings - 1);
      };
      for (int i = 0; i * seconds < 1.2; ++i) {
        ASSERT_TRUE(go(i * seconds, (i + 1) * seconds, 6)) << room << " " << seconds << " " << i;
        double before = 0.0;
        for (std::size_t k = 0; k < row.trolleys.size(); ++k) {
          const double x = motion.carrier(k).place().x;
          // 5 mm at the speed of the tow, which impacts double and a trolley in between doubles
          // again; the trolleys are 40 mm wider than the room.
          ASSERT_GT(x, before + room - 30.0) << room << " " << seconds << " " << i << " " << k;
          before = x;
        }
      }
    }
  }
}

}  // namespace
}  // namespace bight::rod
