// Cables over a flat floor without friction: at the touchdown point the cable is straight and the
// floor pushes with a concentrated force; behind it the floor carries the weight. Reference values:
// collocation, backward shooting from the touchdown point and extrapolated links agree to 9e-12.
// First the joints of the spatial rod, then the same cases refined.

#include "rod/rod_on_floor.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

constexpr double k_radians = std::numbers::pi / 180.0;
constexpr int k_segments = 400;

Vec3 tangent(double degrees) {
  return {std::cos(degrees * k_radians), 0.0, std::sin(degrees * k_radians)};
}

/// Evenly spaced points along a polyline that is at least as long as the line.
std::vector<Vec3> along(const std::vector<Vec3>& corners, double length) {
  std::vector<Vec3> points;
  std::size_t leg = 1;
  double before = 0.0;
  for (int i = 0; i <= k_segments; ++i) {
    const double s = length * i / k_segments;
    double here = glm::distance(corners[leg - 1], corners[leg]);
    while (s > before + here && leg + 1 < corners.size()) {
      before += here;
      ++leg;
      here = glm::distance(corners[leg - 1], corners[leg]);
    }
    points.push_back(corners[leg - 1] + (s - before) / here * (corners[leg] - corners[leg - 1]));
  }
  return points;
}

double borne_by_floor(const SpatialRodFigures& f) {
  double sum = 0.0;
  for (const RodContact& c : f.contacts) sum += c.force_N.z;
  return sum;
}

/// Tail free to slide (H = 0). Lengths in lambda = (EI/w)^(1/3), forces in w lambda.
struct FreeTailRow {
  const char* id;
  double height, theta_a, tail, touch_s, touch_x, moment, va, push, radius, radius_y, greatest_x,
      half_x, half_y;
};

constexpr FreeTailRow k_free_tail[] = {
    {"TH1", 0.05, 0, 0, 1.3779163, 1.3766715, -0.3162278, -0.9188185, 0.4590979, 3.162278, 0.0500,
     1.376671, 0.687995, 0.015631},
    {"TH2", 0.2, 0, 0, 1.9533151, 1.9392094, -0.6324555, -1.3045713, 0.6487438, 1.581139, 0.2000,
     1.939209, 0.965759, 0.062685},
    {"TH3", 0.5, 0, 0, 2.4762797, 2.4058004, -1.0000000, -1.6628052, 0.8134745, 1.000000, 0.5000,
     2.405800, 1.183850, 0.158083},
    {"TH4", 1, 0, 0, 3.0065110, 2.7665753, -1.4142136, -2.0463607, 0.9601502, 0.707107, 1.0000,
     2.766575, 1.319858, 0.322976},
    {"TH5", 2, 0, 0, 3.8126880, 2.9846211, -2.0000000, -2.7008229, 1.1118652, 0.500000, 2.0000,
     2.984621, 1.288249, 0.685138},
    {"TH6", 3, 0, 0, 4.6226622, 2.9282919, -2.4494897, -3.4451644, 1.1774978, 0.408248, 3.0000,
     2.928292, 1.088199, 1.099491},
    {"TH7", 4, 0, 0, 5.5205032, 2.8066868, -2.8284271, -4.3224642, 1.1980391, 0.353553, 4.0000,
     2.806687, 0.876569, 1.556246},
    {"TV1", 1, -90, 0, 1.9483136, 1.3999731, 1.0497773, -0.4489838, 1.4993297, 0.938541, 0.5676,
     1.399973, 0.458180, 0.188399},
    {"TV2", 2, -90, 0, 3.1760798, 1.8976136, 0.2871532, -1.9587715, 1.2173083, 1.370987, 0.2660,
     1.897614, 0.455484, 0.512668},
    {"TV3", 3, -90, 0, 4.2012075, 2.0142571, 0.0646168, -2.9979123, 1.2032951, 1.401644, 0.2545,
     2.014257, 0.291347, 0.934911},
    {"TV4", 5, -90, 0, 6.2027014, 2.0365318, 0.0013747, -4.9999991, 1.2027023, 1.402966, 0.2540,
     2.036532, 0.069617, 1.900761},
    {"TF1", 1, 0, -180, 1.9203072, -0.2807869, -1.4142136, 1.2465840, 3.1668912, 0.440230, 0.5167,
     0.551982, 0.528908, 0.375709},
    {"TF2", 2, 0, -180, 3.3623699, -0.7685316, -2.0000000, -1.9448310, 1.4175389, 0.500000, 2.0000,
     0.714554, 0.636571, 0.696625},
    {"TF3", 3, 0, -180, 4.4874804, -1.0813577, -2.4494897, -3.2514286, 1.2360518, 0.408248, 3.0000,
     0.736572, 0.651808, 1.101802},
    {"TF4", 4, 0, -180, 5.4921728, -1.2586073, -2.8284271, -4.2844994, 1.2076733, 0.353553, 4.0000,
     0.702380, 0.640224, 1.557150},
};

TEST(RodOnFloor, WithAFreeTailAgreesWithThreeMethods) {
  constexpr double k_lambda = 100.0;  // mm
  SpatialRodSolver solver(k_segments);
  for (const FreeTailRow& r : k_free_tail) {
    SCOPED_TRACE(r.id);
    SpatialRodProblem p{.length_mm = k_lambda * (r.touch_s + 1.5)};
    p.mass_kg_m = 1.0 / k_gravity;  // 1 N/m
    p.stiffness_Nm2 = std::pow(k_lambda / 1000.0, 3);
    p.start = {0.0, 0.0, k_lambda * r.height};
    p.start_tangent = tangent(r.theta_a);
    p.end_is_free = true;
    p.obstacles = {Floor{0.0}};
    p.space = RodSpace::xz_plane;
    // A start on the wanted branch: out of the clamp, down to the floor, along the tail.
    const bool runs_on = r.tail == 0.0;
    const Vec3 out =
        k_lambda * (runs_on ? Vec3(0.2, 0.0, 0.9 * r.height) : Vec3(0.5, 0.0, r.height - 0.1));
    const Vec3 down(out.x, 0.0, 0.0);
    const auto start =
        along({p.start, out, down, down + Vec3(runs_on ? 1e4 : -1e4, 0.0, 0.0)}, p.length_mm);
    const RodReport report = solver.solve_from(start, p, {.most_iterations = 400});
    ASSERT_EQ(report.status, RodStatus::converged) << report.residual << " " << report.iterations;
    const SpatialRodFigures f = solver.figures();
    const double force = 1e-3 * k_lambda;
    EXPECT_NEAR(-f.start_force_N.z / force, r.va, 5e-3 * std::max(1.0, std::abs(r.va)));
    EXPECT_NEAR(f.start_force_N.x / force, 0.0, 1e-5);
    EXPECT_NEAR(f.start_moment_Nmm / (force * k_lambda), std::abs(r.moment),
                5e-3 * std::abs(r.moment) + 1e-3);
    EXPECT_NEAR(f.smallest_radius_mm / k_lambda, r.radius, 5e-3 * r.radius);
    const Vec3 half = solver.point_at(0.5 * k_lambda * r.touch_s) / k_lambda;
    EXPECT_NEAR(half.x, r.half_x, 5e-3);
    EXPECT_NEAR(half.z, r.half_y, 5e-3);
    ASSERT_FALSE(f.contacts.empty());
    EXPECT_NEAR(f.contacts.front().at_mm / k_lambda, r.touch_s, 0.03);
    EXPECT_NEAR(f.contacts.front().point.x / k_lambda, r.touch_x, 0.03);
    // The concentrated force spreads over the first joints; behind it each bears its own weight.
    const double spacing = p.length_mm / k_segments;
    double push = 0.0;
    for (std::size_t i = 0; i < f.contacts.size() && i < 8; ++i) {
      push += f.contacts[i].force_N.z - 1e-3 * spacing;
    }
    EXPECT_NEAR(push / force, r.push, 0.01 * r.push + 2.0 * spacing / k_lambda);
    // First integral: M_A^2 = 2 w EI h for a horizontal clamp and a free tail.
    if (r.theta_a == 0.0) {
      const double moment = f.start_moment_Nmm / (force * k_lambda);
      EXPECT_NEAR(moment * moment, 2.0 * r.height, 0.01 * 2.0 * r.height);
    }
    EXPECT_NEAR(borne_by_floor(f) + f.start_force_N.z, 1e-3 * p.length_mm, 1e-5);
    for (const Vec3& q : solver.points()) EXPECT_GE(q.z, -1e-6);
  }
}

/// Far end held on the floor at (X, 0).
struct HeldRow {
  const char* id;
  double height, theta_a, tail, length, x, mass, stiffness, h, va, moment, push, touch_s, touch_x,
      lying, radius;
  double x1, y1, x2, y2, x3, y3, highest, greatest_x;
};

constexpr HeldRow k_held[] = {
    {"TX1",     300,        0,        0,         900,      812,      0.1,      0.01,
     0.1085761, -0.5463533, -76.7072, 0.1931320, 754.0651, 666.0651, 145.9349, 130.366,
     165.4817,  218.1313,   309.2041, 96.2981,   478.8071, 16.6727,  300.0000, 666.0651},
    {"TX2",      300,        0,        0,         900,      780,      0.1,      0.01,
     -0.4805863, -0.1638739, -76.7072, 0.4211672, 596.5759, 476.5759, 303.4241, 130.366,
     128.0860,   232.9612,   214.6097, 111.5973,  329.7467, 19.8707,  300.0000, 476.5759},
    {"TX3",     400,        -90,      0,         1000,     790,      0.1,      0.01,
     0.2509889, -0.5519661, 42.7291,  0.1765114, 742.8403, 532.8403, 257.1597, 234.032,
     54.3912,   224.7107,   179.3971, 89.0928,   348.1141, 14.6132,  400.0000, 532.8403},
    {"TX4",      160,       0,        -180,      900,      -640,     0.1,      0.01,
     -0.0921974, 0.7295088, -82.6198, 1.0368551, 313.4060, -53.4060, 586.5940, 69.476,
     70.0597,    130.7160,  81.9616,  57.3045,   24.1852,  8.1137,   160.0000, 87.4265},
};

TEST(RodOnFloor, HeldAtItsFarEndAgreesWithThreeMethods) {
  SpatialRodSolver solver(k_segments);
  for (const HeldRow& r : k_held) {
    SCOPED_TRACE(r.id);
    SpatialRodProblem p{.length_mm = r.length, .mass_kg_m = r.mass, .stiffness_Nm2 = r.stiffness};
    p.start = {0.0, 0.0, r.height};
    p.end = {r.x, 0.0, 0.0};
    p.start_tangent = tangent(r.theta_a);
    p.end_tangent = tangent(r.tail);
    p.obstacles = {Floor{0.0}};
    p.space = RodSpace::xz_plane;
    RodReport report;
    if (r.tail == 0.0) {
      report = solver.solve_cold(p, {.most_iterations = 400});
    } else {  // the branch that turns right before it runs left
      report = solver.solve_from(
          along({p.start, {80.0, 0.0, 140.0}, {85.0, 0.0, 60.0}, {0.0, 0.0, 0.0}, {-1e4, 0.0, 0.0}},
                r.length),
          p, {.most_iterations = 400});
    }
    ASSERT_EQ(report.status, RodStatus::converged) << report.residual << " " << report.iterations;
    const SpatialRodFigures f = solver.figures();
    EXPECT_NEAR(f.end_force_N.x, r.h, 5e-3 * 0.5);
    EXPECT_NEAR(-f.start_force_N.z, r.va, 5e-3 * 0.5);
    EXPECT_NEAR(f.start_moment_Nmm, std::abs(r.moment), 5e-3 * std::abs(r.moment));
    EXPECT_NEAR(f.smallest_radius_mm, r.radius, 5e-3 * r.radius);
    ASSERT_FALSE(f.contacts.empty());
    EXPECT_NEAR(f.contacts.front().at_mm, r.touch_s, 6.0);
    const Vec2 expected[] = {{r.x1, r.y1}, {r.x2, r.y2}, {r.x3, r.y3}};
    for (int i = 0; i < 3; ++i) {
      const Vec3 q = solver.point_at(0.25 * (i + 1) * r.touch_s);
      EXPECT_NEAR(q.x, expected[i].x, 0.6);
      EXPECT_NEAR(q.z, expected[i].y, 0.6);
    }
  }
}

/// Both ends above the floor, a flat piece between.
struct BothRow {
  const char* id;
  double height_a, theta_a, height_b, theta_b, dx, length, mass, stiffness;
  double h, lying, hanging_a, touch_a, hanging_b, touch_b, va, vb, ma, mb, pa, pb, radius_a,
      radius_b;
};

constexpr BothRow k_both[] = {
    {"UF1",     250,       -90,     250,       90,        660,      950,      0.1,
     0.004,     0.0330846, 70.6132, 439.6934,  294.6934,  439.6934, 365.3066, -0.2489914,
     0.2489914, 15.2995,   15.2995, 0.1822005, 0.1822005, 220.658,  220.658},
    {"UF2",     300,       -90,      180,       90,        740,      1000,     0.1,
     0.004,     0.1257239, 101.8624, 531.7481,  365.5014,  366.3894, 467.3638, -0.3764878,
     0.1901027, 18.6409,   29.9521,  0.1449790, 0.1692026, 214.581,  133.547},
    {"UF3",      250,        -90,      250,       90,        500,      950,      0.1,
     0.004,      -0.3335990, 250.4148, 349.7926,  124.7926,  349.7926, 375.2074, 0.1676028,
     -0.1676028, -25.1667,   -25.1667, 0.5106321, 0.5106321, 97.168,   97.168},
};

TEST(RodOnFloor, BetweenTwoRaisedEndsAgreesWithThreeMethods) {
  SpatialRodSolver solver(k_segments);
  for (const BothRow& r : k_both) {
    SCOPED_TRACE(r.id);
    SpatialRodProblem p{.length_mm = r.length, .mass_kg_m = r.mass, .stiffness_Nm2 = r.stiffness};
    p.start = {0.0, 0.0, r.height_a};
    p.end = {r.dx, 0.0, r.height_b};
    p.start_tangent = tangent(r.theta_a);
    p.end_tangent = tangent(r.theta_b);
    p.obstacles = {Floor{0.0}};
    p.space = RodSpace::xz_plane;
    const RodReport report = solver.solve_cold(p, {.most_iterations = 400});
    ASSERT_EQ(report.status, RodStatus::converged) << report.residual << " " << report.iterations;
    const SpatialRodFigures f = solver.figures();
    EXPECT_NEAR(f.end_force_N.x, r.h, 5e-3 * 0.35);
    EXPECT_NEAR(-f.start_force_N.z, r.va, 5e-3 * 0.35);
    EXPECT_NEAR(f.end_force_N.z, r.vb, 5e-3 * 0.35);
    EXPECT_NEAR(f.start_moment_Nmm, std::abs(r.ma), 5e-3 * std::abs(r.ma) + 0.1);
    EXPECT_NEAR(f.end_moment_Nmm, std::abs(r.mb), 5e-3 * std::abs(r.mb) + 0.1);
    const double least = std::min(r.radius_a, r.radius_b);
    EXPECT_NEAR(f.smallest_radius_mm, least, 5e-3 * least);
    ASSERT_GE(f.contacts.size(), 2U);
    const double spacing = r.length / k_segments;
    EXPECT_NEAR(f.contacts.front().at_mm, r.hanging_a, 2.5 * spacing);
    EXPECT_NEAR(r.length - f.contacts.back().at_mm, r.hanging_b, 2.5 * spacing);
    EXPECT_NEAR(borne_by_floor(f), r.pa + r.pb + r.lying * r.mass * k_gravity / 1000.0, 2e-3);
  }
}

/// A symmetric loop that touches the floor at one point.
struct PointRow {
  const char* id;
  double height, dx, length, mass, stiffness, free_depth, push, h, va, moment, middle_moment,
      radius, x1, y1, least_x;
};

constexpr PointRow k_point[] = {
    {"PC1", 330, 260, 900, 0.1, 0.02, 374.0983, 2.9522962, -0.9960743, 1.0348488, -121.5220,
     16.4875, 118.3241, -40.6816, 110.5339, -42.3813},
    {"PC2", 330, 400, 900, 0.1, 0.004, 352.3606, 0.4377800, -0.1082264, -0.2224092, -4.9481, 8.9785,
     161.7688, 18.8626, 107.5844, -1.8360},
};

TEST(RodOnFloor, TouchingInOnePointAgreesWithThreeMethods) {
  SpatialRodSolver solver(k_segments);
  for (const PointRow& r : k_point) {
    SCOPED_TRACE(r.id);
    SpatialRodProblem p{.length_mm = r.length, .mass_kg_m = r.mass, .stiffness_Nm2 = r.stiffness};
    p.start = {0.0, 0.0, r.height};
    p.end = {r.dx, 0.0, r.height};
    p.start_tangent = tangent(-90);
    p.end_tangent = tangent(90);
    p.space = RodSpace::xz_plane;
    ASSERT_TRUE(solver.solve_cold(p).converged());
    EXPECT_NEAR(r.height - solver.figures().lowest.z, r.free_depth, 0.2);
    p.obstacles = {Floor{0.0}};
    const RodReport report = solver.solve_cold(p, {.most_iterations = 400});
    ASSERT_EQ(report.status, RodStatus::converged) << report.residual << " " << report.iterations;
    const SpatialRodFigures f = solver.figures();
    EXPECT_NEAR(borne_by_floor(f), r.push, 5e-3 * r.push);
    ASSERT_FALSE(f.contacts.empty());
    for (const RodContact& c : f.contacts) {
      EXPECT_NEAR(c.at_mm, 0.5 * r.length, 1.01 * r.length / k_segments);
    }
    EXPECT_NEAR(f.end_force_N.x, r.h, 5e-3 * std::abs(r.h));
    EXPECT_NEAR(-f.start_force_N.z, r.va, 5e-3 * std::abs(r.va));
    EXPECT_NEAR(f.start_moment_Nmm, std::abs(r.moment), 5e-3 * std::abs(r.moment) + 0.05);
    EXPECT_NEAR(f.smallest_radius_mm, r.radius, 5e-3 * r.radius);
    const Vec3 q = solver.point_at(0.25 * r.length);
    EXPECT_NEAR(q.x, r.x1, 0.2);
    EXPECT_NEAR(q.z, r.y1, 0.2);
  }
}

PlanarEnd clamp(double degrees) {
  return {EndKind::clamped, degrees};
}

TEST(RefinedRodOnFloor, WithAFreeTailAgreesWithThreeMethods) {
  constexpr double k_lambda = 100.0;  // mm
  for (const FreeTailRow& r : k_free_tail) {
    for (const double tail : {1.5, 8.0}) {
      SCOPED_TRACE(testing::Message() << r.id << ", tail " << tail);
      RodOnFloorProblem p;
      p.rod.length_mm = k_lambda * (r.touch_s + tail);
      p.rod.mass_kg_m = 1.0 / k_gravity;  // 1 N/m
      p.rod.stiffness_Nm2 = std::pow(k_lambda / 1000.0, 3);
      p.rod.at_start = clamp(r.theta_a);
      p.rod.at_end = {EndKind::free, r.tail};
      p.floor_mm = -k_lambda * r.height;
      const RodOnFloorResult result = solve_rod_on_floor(p);
      EXPECT_EQ(result.report.status, RodStatus::converged);
      if (!result.converged()) continue;
      const double force = 1e-3 * k_lambda;
      const PlanarRodFigures& f = result.figures;
      EXPECT_NEAR(f.horizontal_force_N / force, 0.0, 1e-6);
      EXPECT_NEAR(f.vertical_start_N / force, r.va, 1e-3);
      EXPECT_NEAR(f.moment_start_Nmm / (force * k_lambda), r.moment, 1e-3);
      EXPECT_NEAR(f.smallest_radius_mm / k_lambda, r.radius, 1e-3 * r.radius);
      ASSERT_EQ(result.touches.size(), 1U);
      const FloorTouch& touch = result.touches.front();
      EXPECT_NEAR(touch.from_mm / k_lambda, r.touch_s, 1e-3);
      EXPECT_NEAR(touch.from_x_mm / k_lambda, r.touch_x, 1e-3);
      EXPECT_NEAR(touch.push_from_N / force, r.push, 1e-3);
      EXPECT_EQ(touch.push_to_N, 0.0);
      const double heading = r.tail == 0.0 ? 1.0 : -1.0;
      EXPECT_NEAR(result.tip.x, touch.from_x_mm + heading * k_lambda * tail, 0.2);
      EXPECT_NEAR(result.floor_force_N / force, r.push + tail, 2e-3);
    }
  }
}

TEST(RefinedRodOnFloor, HeldAtItsFarEndAgreesWithThreeMethods) {
  for (const HeldRow& r : k_held) {
    SCOPED_TRACE(r.id);
    RodOnFloorProblem p;
    p.rod.length_mm = r.length;
    p.rod.mass_kg_m = r.mass;
    p.rod.stiffness_Nm2 = r.stiffness;
    p.rod.end = {r.x, -r.height};
    p.rod.at_start = clamp(r.theta_a);
    p.rod.at_end = clamp(r.tail);
    p.floor_mm = -r.height;
    const RodOnFloorResult result = solve_rod_on_floor(p);
    EXPECT_EQ(result.report.status, RodStatus::converged);
    if (!result.converged()) continue;
    const PlanarRodFigures& f = result.figures;
    EXPECT_NEAR(f.horizontal_force_N, r.h, 1e-3 * 0.5);
    EXPECT_NEAR(f.vertical_start_N, r.va, 1e-3 * 0.5);
    EXPECT_NEAR(f.moment_start_Nmm, r.moment, 1e-3 * std::abs(r.moment));
    EXPECT_NEAR(f.smallest_radius_mm, r.radius, 1e-3 * r.radius);
    ASSERT_EQ(result.touches.size(), 1U);
    const FloorTouch& touch = result.touches.front();
    EXPECT_NEAR(touch.from_mm, r.touch_s, 0.3);
    EXPECT_NEAR(touch.from_x_mm, r.touch_x, 0.3);
    EXPECT_NEAR(touch.to_mm - touch.from_mm, r.lying, 0.3);
    EXPECT_NEAR(touch.push_from_N, r.push, 1e-3 * r.push);
  }
}

TEST(RefinedRodOnFloor, BetweenTwoRaisedEndsAgreesWithThreeMethods) {
  for (const BothRow& r : k_both) {
    SCOPED_TRACE(r.id);
    RodOnFloorProblem p;
    p.rod.length_mm = r.length;
    p.rod.mass_kg_m = r.mass;
    p.rod.stiffness_Nm2 = r.stiffness;
    p.rod.end = {r.dx, r.height_b - r.height_a};
    p.rod.at_start = clamp(r.theta_a);
    p.rod.at_end = clamp(r.theta_b);
    p.floor_mm = -r.height_a;
    const RodOnFloorResult result = solve_rod_on_floor(p);
    EXPECT_EQ(result.report.status, RodStatus::converged);
    if (!result.converged()) continue;
    const PlanarRodFigures& f = result.figures;
    EXPECT_NEAR(f.horizontal_force_N, r.h, 1e-3 * 0.35);
    EXPECT_NEAR(f.vertical_start_N, r.va, 1e-3 * 0.35);
    EXPECT_NEAR(f.vertical_end_N, r.vb, 1e-3 * 0.35);
    EXPECT_NEAR(f.moment_start_Nmm, r.ma, 1e-3 * std::abs(r.ma));
    EXPECT_NEAR(f.moment_end_Nmm, r.mb, 1e-3 * std::abs(r.mb));
    const double least = std::min(r.radius_a, r.radius_b);
    EXPECT_NEAR(f.smallest_radius_mm, least, 1e-3 * least);
    ASSERT_EQ(result.touches.size(), 1U);
    const FloorTouch& touch = result.touches.front();
    EXPECT_NEAR(touch.from_mm, r.hanging_a, 0.3);
    EXPECT_NEAR(r.length - touch.to_mm, r.hanging_b, 0.3);
    EXPECT_NEAR(touch.from_x_mm, r.touch_a, 0.3);
    EXPECT_NEAR(touch.to_x_mm, r.touch_b, 0.3);
    EXPECT_NEAR(touch.push_from_N, r.pa, 1e-3 * r.pa);
    EXPECT_NEAR(touch.push_to_N, r.pb, 1e-3 * r.pb);
  }
}

TEST(RefinedRodOnFloor, TouchingInOnePointAgreesWithThreeMethods) {
  for (const PointRow& r : k_point) {
    SCOPED_TRACE(r.id);
    RodOnFloorProblem p;
    p.rod.length_mm = r.length;
    p.rod.mass_kg_m = r.mass;
    p.rod.stiffness_Nm2 = r.stiffness;
    p.rod.end = {r.dx, 0.0};
    p.rod.at_start = clamp(-90.0);
    p.rod.at_end = clamp(90.0);
    p.floor_mm = -r.height;
    const RodOnFloorResult result = solve_rod_on_floor(p);
    EXPECT_EQ(result.report.status, RodStatus::converged);
    if (!result.converged()) continue;
    const PlanarRodFigures& f = result.figures;
    EXPECT_NEAR(f.horizontal_force_N, r.h, 1e-3 * std::abs(r.h));
    EXPECT_NEAR(f.vertical_start_N, r.va, 1e-3 * std::abs(r.va));
    EXPECT_NEAR(f.moment_start_Nmm, r.moment, 1e-3 * std::abs(r.moment));
    EXPECT_NEAR(f.smallest_radius_mm, r.radius, 1e-3 * r.radius);
    ASSERT_EQ(result.touches.size(), 1U);
    const FloorTouch& touch = result.touches.front();
    EXPECT_EQ(touch.from_mm, touch.to_mm);
    EXPECT_NEAR(touch.from_mm, 0.5 * r.length, 0.01);
    EXPECT_NEAR(touch.push_from_N, r.push, 1e-3 * r.push);
    // The same line over a floor out of reach hangs clear of it.
    p.floor_mm = -r.free_depth - 0.5;
    const RodOnFloorResult clear = solve_rod_on_floor(p);
    ASSERT_TRUE(clear.converged());
    EXPECT_TRUE(clear.touches.empty());
    EXPECT_NEAR(clear.figures.lowest.y, -r.free_depth, 0.01);
    EXPECT_EQ(clear.floor_force_N, 0.0);
  }
}

// A stiff cantilever whose tip just reaches the floor rests on it: small deflections, tip
// deflection d under weight and push P: d = (w L^4 / 8 - P L^3 / 3) / EI.
TEST(RefinedRodOnFloor, ATipThatRestsIsAProppedCantilever) {
  RodOnFloorProblem p;
  p.rod.length_mm = 1000.0;
  p.rod.mass_kg_m = 1.0 / k_gravity;  // 1 N/m: free droop 12.5 mm
  p.rod.stiffness_Nm2 = 10.0;
  p.rod.at_start = clamp(0.0);
  p.rod.at_end = {EndKind::free, 0.0};
  p.floor_mm = -8.0;
  const RodOnFloorResult result = solve_rod_on_floor(p);
  ASSERT_TRUE(result.converged());
  ASSERT_EQ(result.touches.size(), 1U);
  EXPECT_EQ(result.touches.front().from_mm, 1000.0);
  const double push = 3.0 * (0.125 - 10.0 * 0.008);
  EXPECT_NEAR(result.touches.front().push_from_N, push, 2e-3 * push);
  EXPECT_NEAR(result.floor_force_N, push, 2e-3 * push);
}

// What is held on the floor need not lie on it: a line with little to spare is the same as without.
TEST(RefinedRodOnFloor, ATightLineToAnAnchorOnTheFloorDoesNotLie) {
  RodOnFloorProblem p;
  p.rod.length_mm = 505.0;
  p.rod.mass_kg_m = 0.1;
  p.rod.stiffness_Nm2 = 0.01;
  p.rod.end = {300.0, -400.0};
  p.floor_mm = -400.0;
  const RodOnFloorResult result = solve_rod_on_floor(p);
  ASSERT_TRUE(result.converged());
  EXPECT_TRUE(result.touches.empty());
  EXPECT_NEAR(result.floor_force_N, 0.0, 1e-12);
  EXPECT_EQ(result.figures.smallest_radius_mm, solve_rod(p.rod).figures.smallest_radius_mm);
}

TEST(RefinedRodOnFloor, RefusesWhatItCannotBe) {
  RodOnFloorProblem p;
  p.rod.length_mm = 1000.0;
  p.rod.mass_kg_m = 0.1;
  p.rod.stiffness_Nm2 = 0.01;
  p.rod.end = {500.0, -200.0};
  p.floor_mm = -100.0;  // the end would be below it
  EXPECT_EQ(solve_rod_on_floor(p).report.status, RodStatus::invalid);
  p.floor_mm = 10.0;  // so would the start
  EXPECT_EQ(solve_rod_on_floor(p).report.status, RodStatus::invalid);
  p.floor_mm = -300.0;
  p.rod.end = {1000.0, -200.0};
  EXPECT_EQ(solve_rod_on_floor(p).report.status, RodStatus::too_short);
}

}  // namespace
}  // namespace bight::rod
