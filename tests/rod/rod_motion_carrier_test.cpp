// Lines in motion on what gives way: trolley, arm, cord, sheave. Against textbooks, and against the
// laws of conservation.

#include "rod/rod_motion.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "rod_motion_fixture.h"

namespace bight::rod {
namespace {

/// A load of 1 kg on a line of 1 m and 10 g, let go `angle` aside, from a trolley of 0.5 kg on a
/// level track along X.
struct PendulumOnATrolley {
  SpatialRodProblem problem;
  std::vector<Vec3> points;
  Carrier trolley;
};
PendulumOnATrolley pendulum_on_a_trolley(double angle) {
  PendulumOnATrolley p;
  p.problem = {.length_mm = 1000.0, .mass_kg_m = 0.01, .stiffness_Nm2 = 1e-6};
  p.problem.end_is_free = true;
  p.problem.point_masses = {{1000.0, 1.0}};
  p.trolley.mass_kg = 0.5;
  constexpr int k_links = 8;
  for (int i = 0; i <= k_links; ++i) {
    const double s = 1000.0 * i / k_links;
    p.points.push_back({-s * std::sin(angle), 0.0, -s * std::cos(angle)});
  }
  return p;
}

/// Period of a pendulum whose point of support, of mass M, moves freely on a level line (Landau and
/// Lifshitz, Mechanics, section 14, problem 3; here also with the mass of the rod). With S the
/// first and I the second moment of all that hangs and T the total mass, momentum along the line is
/// zero:
///   period = 4 x integral of sqrt((I - S^2 cos^2 phi / T) / (2 g S (cos phi - cos phi0))),
/// phi from 0 to phi0; phi = phi0 sin t, by the midpoint rule.
double period_on_a_trolley(double trolley_kg, double load_kg, double rod_kg, double length_mm,
                           double phi0) {
  const double total = trolley_kg + load_kg + rod_kg;
  const double first = (load_kg + 0.5 * rod_kg) * length_mm;
  const double second = (load_kg + rod_kg / 3.0) * length_mm * length_mm;
  constexpr int k_pieces = 2000;
  const double dt = 0.5 * std::numbers::pi / k_pieces;
  double sum = 0.0;
  for (int i = 0; i < k_pieces; ++i) {
    const double t = (i + 0.5) * dt;
    const double phi = phi0 * std::sin(t);
    const double fall = 2.0 * std::sin(0.5 * (phi0 + phi)) * std::sin(0.5 * (phi0 - phi));
    const double inertia = second - std::pow(first * std::cos(phi), 2) / total;
    sum += dt * phi0 * std::cos(t) * std::sqrt(inertia / (2.0 * k_g_mm * first * fall));
  }
  return 4.0 * sum;
}

// Without the line's mass the small swings have omega^2 = (M + m) g / (M l): the formula's limit.
TEST(RodMotionOnATrolley, TheFormulaTendsToThatOfSmallSwings) {
  const double omega = std::sqrt(1.5 * k_g_mm / (0.5 * 1000.0));
  EXPECT_NEAR(2.0 * std::numbers::pi / period_on_a_trolley(0.5, 1.0, 0.0, 1000.0, 1e-3), omega,
              1e-5 * omega);
}

TEST(RodMotionOnATrolley, ALoadSwingsFasterThanFromAFixedHook) {
  for (const double angle : {0.02, std::numbers::pi / 3.0}) {
    const PendulumOnATrolley p = pendulum_on_a_trolley(angle);
    RodMotion motion = motion_of(p.problem, p.points, 1e-9, p.trolley);
    const double energy = motion.energy_Nmm();
    const double period = period_of(motion, p.problem, 0.002, 6.0, [](const RodMotion& m) {
      return m.line().points().back().x - m.line().points().front().x;
    });
    const double want = period_on_a_trolley(0.5, 1.0, 0.01, 1000.0, angle);
    EXPECT_NEAR(period, want, 1e-3 * want);
    EXPECT_NEAR(motion.energy_Nmm(), energy, 1e-5 * 1.0 * k_gravity * 1000.0);
    // Nothing pushes along the track: what the masses share stays where it was.
    const double middle = motion.line().points().back().x + 0.5 * motion.line().points().front().x;
    EXPECT_NEAR(middle, p.points.back().x, 0.01 * 1000.0 * std::sin(angle));
    EXPECT_EQ(motion.line().points().front().z, 0.0);
  }
}

/// Three lines of 700, 500 and 600 mm, the second one twice as heavy and stiff, from a trolley to
/// fixed ends, at rest but for the trolley's place.
struct ThreeOnATrolley {
  std::vector<MovingLine> lines;
  std::vector<LineEnds> ends;
  Carrier trolley;
  double force_N = 0.0;  ///< of the lines, along the track
};
ThreeOnATrolley three_on_a_trolley(double x) {
  ThreeOnATrolley three;
  three.trolley = {{x, 0.0, 800.0}, 0.2, Track{}};
  SpatialRodProblem first{.length_mm = 700.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.005};
  first.start = {-300.0, 50.0, 600.0};
  first.start_tangent = Vec3(0.0, 0.0, 1.0);
  SpatialRodProblem second{.length_mm = 500.0, .mass_kg_m = 0.2, .stiffness_Nm2 = 0.01};
  second.start = {350.0, -40.0, 500.0};
  SpatialRodProblem third{.length_mm = 600.0, .mass_kg_m = 0.05, .stiffness_Nm2 = 0.002};
  third.start = {100.0, 400.0, 700.0};
  int links = 20;
  for (SpatialRodProblem p : {first, second, third}) {
    p.end = three.trolley.at;
    SpatialRodSolver solver(links);
    EXPECT_TRUE(solver.solve_cold(p).converged());
    three.lines.push_back({p, solver.points(), {}, 0, {}});
    three.ends.push_back({p.start, p.end});
    three.force_N -= solver.figures().end_force_N.x;
    links -= 4;
  }
  return three;
}

TEST(RodMotionOnATrolley, ThreeUnlikeLinesStayAtRestWhereTheyBalance) {
  double lower = -100.0;
  double upper = 200.0;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (lower + upper);
    (three_on_a_trolley(middle).force_N > 0.0 ? lower : upper) = middle;
  }
  const ThreeOnATrolley three = three_on_a_trolley(lower);
  RodMotion motion(three.lines, {three.trolley});
  for (int i = 0; i < 100; ++i) ASSERT_TRUE(motion.step(0.01, three.ends));
  for (std::size_t l = 0; l < three.lines.size(); ++l) {
    const std::vector<Vec3>& rest = three.lines[l].joints;
    for (std::size_t i = 0; i < rest.size(); ++i) {
      EXPECT_LT(glm::distance(motion.line(l).points()[i], rest[i]), 5e-3);
    }
  }
}

TEST(RodMotionOnATrolley, ThreeLinesKeepTheirEnergyAndTheTrolleyItsTrack) {
  const ThreeOnATrolley three = three_on_a_trolley(150.0);
  RodMotion motion(three.lines, {three.trolley});
  const double energy = motion.energy_Nmm();
  double least = 150.0;
  for (int i = 0; i < 400; ++i) {
    ASSERT_TRUE(motion.step(0.01, three.ends)) << i;
    ASSERT_NEAR(motion.energy_Nmm(), energy, 1e-6 * energy) << i;
    ASSERT_LT(motion.longest_stretch(), 1e-8) << i;
    const Vec3& trolley = motion.carrier().place();
    ASSERT_NEAR(trolley.y, 0.0, 1e-9);
    ASSERT_NEAR(trolley.z, 800.0, 1e-9);
    for (std::size_t l = 0; l < three.lines.size(); ++l) {
      ASSERT_LT(glm::distance(motion.line(l).points().back(), trolley), 1e-9);
    }
    least = std::min(least, trolley.x);
  }
  EXPECT_LT(least, 100.0);  // it runs to where the lines balance, and beyond
}

/// The same load and line, let go from an arm that holds the line at the origin, its post off to
/// +X: `aside` is along the arm, or across it.
struct PendulumOnAnArm {
  SpatialRodProblem problem;
  std::vector<Vec3> points;
  Carrier arm;
};
PendulumOnAnArm pendulum_on_an_arm(const Vec3& aside, double angle) {
  const PendulumOnATrolley on_a_trolley = pendulum_on_a_trolley(angle);
  PendulumOnAnArm p{on_a_trolley.problem, {}, {}};
  for (const Vec3& point : on_a_trolley.points) {
    p.points.push_back(-point.x * aside + Vec3(0.0, 0.0, point.z));
  }
  p.arm.mass_kg = 0.5;
  p.arm.way = Arm{{800.0, 0.0, 300.0}, 800.0};
  return p;
}

// Small swings: along the arm the tip cannot give way, as a hook (the physical pendulum); across
// it the tip gives way like a trolley on the arc's tangent.
TEST(RodMotionOnAnArm, ALoadSwingsAsFromAHookAlongItAndAsFromATrolleyAcross) {
  const double angle = 0.02;
  const double first = (1.0 + 0.5 * 0.01) * 1000.0;
  const double second = (1.0 + 0.01 / 3.0) * 1e6;
  const double hook = 2.0 * std::numbers::pi * std::sqrt(second / (k_g_mm * first));
  const double trolley = period_on_a_trolley(0.5, 1.0, 0.01, 1000.0, angle);
  for (const bool along : {true, false}) {
    const Vec3 aside = along ? Vec3(1.0, 0.0, 0.0) : Vec3(0.0, 1.0, 0.0);
    const PendulumOnAnArm p = pendulum_on_an_arm(aside, angle);
    RodMotion motion = motion_of(p.problem, p.points, 1e-9, p.arm);
    const double period = period_of(motion, p.problem, 0.002, 8.0, [&aside](const RodMotion& m) {
      return glm::dot(m.line().points().front() - m.line().points().back(), aside);
    });
    const double want = along ? hook : trolley;
    EXPECT_NEAR(period, want, 1e-3 * want);
  }
}

// Nothing turns it about the post, nothing takes energy.
TEST(RodMotionOnAnArm, KeepsEnergyAngularMomentumAndItsLength) {
  const PendulumOnAnArm p = pendulum_on_an_arm(glm::normalize(Vec3(1.0, 1.0, 0.0)), 0.9);
  RodMotion motion = motion_of(p.problem, p.points, 1e-11, p.arm);
  const Vec3 post = std::get<Arm>(p.arm.way).post;
  const std::size_t last = p.points.size() - 1;
  const auto momentum = [&](const RodMotion& m) {
    double sum = 0.0;
    for (std::size_t k = 0; k <= last; ++k) {
      const double of_line = 0.01 / static_cast<double>(last) * (k == 0 || k == last ? 0.5 : 1.0);
      const double mass = of_line + (k == 0 ? 0.5 : 0.0) + (k == last ? 1.0 : 0.0);
      sum += mass * glm::cross(m.line().points()[k] - post, m.line().velocities_mm_s()[k]).z;
    }
    return sum;
  };
  const double energy = motion.energy_Nmm();
  double turned = 0.0;
  double fastest = 0.0;
  double greatest = 0.0;
  for (int i = 0; i < 1000; ++i) {
    ASSERT_TRUE(step(motion, 0.005, p.problem)) << i;
    ASSERT_NEAR(motion.energy_Nmm(), energy, 1e-6 * 1000.0 * k_gravity) << i;
    ASSERT_LT(motion.longest_stretch(), 1e-8) << i;
    EXPECT_EQ(motion.line().points().front().z, 0.0);
    turned = std::max(turned, std::abs(motion.line().points().front().y));
    fastest = std::max(fastest, glm::length(motion.line().velocities_mm_s().front()));
    greatest = std::max(greatest, std::abs(momentum(motion)));
  }
  EXPECT_GT(turned, 100.0);
  EXPECT_LT(greatest, 1e-4 * 0.5 * 800.0 * fastest);  // of that of the arm alone
}

/// The load below a cord of 200 mm and 50 N/m, stretched by `stretch`, its line let go `angle`
/// aside.
struct LoadOnACord {
  SpatialRodProblem problem;
  std::vector<Vec3> points;
  Carrier cord;
};
LoadOnACord load_on_a_cord(double stretch, double angle = 0.0) {
  const PendulumOnATrolley hanging = pendulum_on_a_trolley(angle);
  LoadOnACord p{hanging.problem, hanging.points, {}};
  p.cord.way = Cord{{0.0, 0.0, 200.0 + stretch}, 200.0, 50.0};
  return p;
}

// Straight up and down: a mass on a spring, omega^2 = k / m.
TEST(RodMotionOnACord, ALoadBouncesAsOnASpring) {
  const double mass = 1.01;
  const double rest = mass * k_gravity / 0.05;
  const LoadOnACord p = load_on_a_cord(rest - 60.0);
  RodMotion motion = motion_of(p.problem, p.points, 1e-11, p.cord);
  double lowest = 0.0;
  const double period = period_of(motion, p.problem, 0.002, 6.0, [&lowest](const RodMotion& m) {
    lowest = std::min(lowest, m.line().points().front().z);
    return m.line().points().front().z + 60.0;
  });
  const double want = 2.0 * std::numbers::pi * std::sqrt(mass / 50.0);
  EXPECT_NEAR(period, want, 1e-4 * want);
  EXPECT_NEAR(lowest, -120.0, 0.01);
}

// Let go far below, the cord throws the load up beyond where it is taut.
TEST(RodMotionOnACord, KeepsItsEnergyThroughSlackness) {
  const LoadOnACord p = load_on_a_cord(480.0, 0.05);
  RodMotion motion = motion_of(p.problem, p.points, 1e-9, p.cord);
  const double energy = motion.energy_Nmm();
  double highest = -1e9;
  for (int i = 0; i < 600; ++i) {
    ASSERT_TRUE(step_or_halves(motion, 0.002, {{p.problem.start, p.problem.end}}))
        << i;  // the slack line goes taut with a jerk
    ASSERT_NEAR(motion.energy_Nmm(), energy, 1e-5 * 1000.0 * k_gravity) << i;
    highest = std::max(highest, motion.line().points().front().z);
  }
  EXPECT_GT(highest, 480.0);  // above where the cord begins to pull
}

// A load that swings from a line over a sheave, held by a weight that only rises and falls: the
// swinging Atwood machine (Tufillaro, Abbott and Griffiths, Am. J. Phys. 52, 1984), with M and m
// and the load at r and theta,
//   (M + m) r'' = m r theta'^2 + g (m cos theta - M),  r theta'' = -2 r' theta' - g sin theta,
// here by the classical Runge-Kutta method.
TEST(RodMotionOverASheave, ALoadAndAWeightAreTheSwingingAtwoodMachine) {
  constexpr double k_weight = 1.3;
  constexpr double k_angle = 1.0;
  PendulumOnATrolley p = pendulum_on_a_trolley(k_angle);
  p.problem.mass_kg_m = 5e-4;
  p.problem.stiffness_Nm2 = 1e-8;
  Carrier sheave{.mass_kg = k_weight, .way = Sheave{.pull_N = k_weight * k_gravity}};
  RodMotion motion = motion_of(p.problem, p.points, 1e-9, sheave);

  using State = std::array<double, 4>;  // r, theta and their rates
  const auto rates = [](const State& s) {
    const double far =
        (s[0] * s[3] * s[3] + k_g_mm * (std::cos(s[1]) - k_weight)) / (k_weight + 1.0);
    return State{s[2], s[3], far, (-2.0 * s[2] * s[3] - k_g_mm * std::sin(s[1])) / s[0]};
  };
  State state{1000.0, k_angle, 0.0, 0.0};
  const double h = 0.001;
  for (int i = 0; i < 1500; ++i) {
    ASSERT_TRUE(step(motion, h, p.problem)) << i;
    const auto ahead = [&](const State& k, double by) {
      State s = state;
      for (std::size_t c = 0; c < 4; ++c) s[c] += by * k[c];
      return s;
    };
    const State a = rates(state);
    const State b = rates(ahead(a, 0.5 * h));
    const State c = rates(ahead(b, 0.5 * h));
    const State d = rates(ahead(c, h));
    for (std::size_t k = 0; k < 4; ++k) state[k] += h / 6.0 * (a[k] + 2 * b[k] + 2 * c[k] + d[k]);
    const Vec3 load = motion.line().points().back();
    ASSERT_NEAR(-load.x, state[0] * std::sin(state[1]), 2.0) << i;
    ASSERT_NEAR(-load.z, state[0] * std::cos(state[1]), 2.0) << i;
    ASSERT_NEAR(motion.carrier().slid_mm(), state[0] - 1000.0, 2.0) << i;
  }
  EXPECT_LT(state[0], 900.0);  // the swing has let the weight down
}

/// A slack line from a clamp up to a sheave, and what pulls it there at rest.
struct LineOverASheave {
  SpatialRodProblem problem;
  std::vector<Vec3> points;
  double pull_N = 0.0;
};
LineOverASheave line_over_a_sheave(int links, double length) {
  LineOverASheave line;
  line.problem = {.length_mm = length, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.01};
  line.problem.start_tangent = Vec3(0.0, 0.0, -1.0);
  line.problem.end = {500.0, 100.0, 300.0};
  SpatialRodSolver solver(links);
  EXPECT_TRUE(solver.solve_cold(line.problem).converged());
  line.points = solver.points();
  const Vec3 leaves = glm::normalize(line.points[line.points.size() - 2] - line.points.back());
  line.pull_N = std::abs(glm::dot(solver.figures().end_force_N, leaves));
  return line;
}

// The pull that the solver finds at the end, and that which lengths that change feel, are one.
TEST(RodMotionOverASheave, StaysAtRestWhereItBalances) {
  const LineOverASheave line = line_over_a_sheave(96, 900.0);
  const Carrier sheave{line.problem.end, 0.3, Sheave{line.pull_N}};
  RodMotion motion = motion_of(line.problem, line.points, 1e-10, sheave);
  for (int i = 0; i < 100; ++i) {
    ASSERT_TRUE(step(motion, 0.01, line.problem)) << i;
    ASSERT_LT(std::abs(motion.carrier().slid_mm()), 0.5) << i;
  }
}

// A weight, a reel without a mass of its own, and a line that is tied off beyond.
TEST(RodMotionOverASheave, KeepsItsEnergyWhileItSlides) {
  const LineOverASheave line = line_over_a_sheave(32, 900.0);
  SpatialRodProblem beyond{.length_mm = 600.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.01};
  beyond.start = {900.0, 0.0, 350.0};
  beyond.end = line.problem.end;
  SpatialRodSolver solver(16);
  ASSERT_TRUE(solver.solve_cold(beyond).converged());
  const MovingLine before{line.problem, line.points, {}, 0, {}};
  const MovingLine tied{beyond, solver.points(), {}, 0, {}};
  const Vec3 at = line.problem.end;
  const Carrier weight{at, 0.2, Sheave{0.2 * k_gravity, 1e-3}};
  const Carrier reel{at, 0.0, Sheave{line.pull_N + 0.3}};
  const Carrier tie{at, 0.0, Sheave{}};
  for (const Carrier& carrier : {weight, reel, tie}) {
    std::vector<MovingLine> lines{before};
    std::vector<LineEnds> ends{{line.problem.start, at}};
    if (std::get<Sheave>(carrier.way).pull_N == 0.0) {
      lines.push_back(tied);
      ends.push_back({beyond.start, at});
    }
    RodMotion motion(lines, {carrier});
    const double energy = motion.energy_Nmm();
    double farthest = 0.0;
    for (int i = 0; i < 300; ++i) {
      ASSERT_TRUE(motion.step(0.004, ends)) << i;
      ASSERT_NEAR(motion.energy_Nmm(), energy, 1e-4) << i;
      ASSERT_LT(motion.longest_stretch(), 1e-8) << i;
      farthest = std::max(farthest, std::abs(motion.carrier().slid_mm()));
    }
    EXPECT_GT(farthest, 10.0);
  }
}

// A track across the move, or an arm or a stiff cord along it, carries the line as a hook would
// that moves with it.
TEST(RodMotionOnACarrier, MovesWithWhatHoldsIt) {
  const PendulumOnATrolley hanging = pendulum_on_a_trolley(0.0);
  const auto tip_after = [&](const std::optional<Carrier>& carrier) {
    RodMotion motion = motion_of(hanging.problem, hanging.points, 1e-10, carrier);
    for (int i = 1; i <= 100; ++i) {
      const Vec3 at(0.02 * i * i, 0.0, 0.0);
      const LineEnds ends{at, Vec3(0.0)};
      const std::span<const Vec3> held{&at, carrier ? 1U : 0U};
      EXPECT_TRUE(motion.step(0.005, {&ends, 1}, held));
    }
    return motion.line().points().back();
  };
  const Vec3 want = tip_after({});
  EXPECT_GT(want.x, 30.0);
  Carrier carrier{.mass_kg = 0.5, .way = Track{{0.0, 1.0, 0.0}}};
  EXPECT_LT(glm::distance(tip_after(carrier), want), 1e-6);
  carrier.way = Arm{{800.0, 0.0, 0.0}, 800.0};
  EXPECT_LT(glm::distance(tip_after(carrier), want), 1e-6);
}

}  // namespace
}  // namespace bight::rod
