#include "rod/planar_rod.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <string>

#include "base/tolerance.h"
#include "rod/catenary.h"

namespace bight::rod {
namespace {

constexpr double k_radians = std::numbers::pi / 180.0;
constexpr double k_pinned = 1e9;  // marks a pinned end in the tables

PlanarEnd end_at_angle(double degrees) {
  return degrees == k_pinned ? PlanarEnd{EndKind::pinned, 0.0}
                             : PlanarEnd{EndKind::clamped, degrees};
}

/// Length 1 m and weight 1 N/m: forces in N are in units of the weight, stiffness in N m^2 of w
/// L^3.
PlanarRodProblem unit_rod(double stiffness) {
  return {.length_mm = 1000.0, .mass_kg_m = 1.0 / k_gravity, .stiffness_Nm2 = stiffness};
}

/// Heavy elastica: cantilever under its own weight. Collocation, multiple shooting, extrapolated
/// links and Taylor series in 30 digits agree to 6e-14. (Studied first by Bickley, Phil. Mag. 17,
/// 1934.)
struct CantileverRow {
  double alpha, k, x_tip, y_tip, theta_tip, moment, half_x, half_y, highest, radius;
};

constexpr CantileverRow k_cantilevers[] = {
    {0, 0.1, 0.99991073, -0.01249844, -0.954839, -0.49996876, 0.49997598, -0.00442663, 0.00000000,
     20.001250},
    {0, 0.5, 0.99777900, -0.06230577, -4.763376, -0.49922247, 0.49940200, -0.02207888, 0.00000000,
     4.006230},
    {0, 1, 0.99124640, -0.12347140, -9.460425, -0.49693340, 0.49763924, -0.04382544, 0.00000000,
     2.012342},
    {0, 2, 0.96689295, -0.23850658, -18.425967, -0.48837136, 0.49101566, -0.08517920, 0.00000000,
     1.023811},
    {0, 3, 0.93151121, -0.33964839, -26.558951, -0.47584899, 0.48124073, -0.12240850, 0.00000000,
     0.700502},
    {0, 5, 0.84665718, -0.49590504, -39.935432, -0.44537851, 0.45699631, -0.18280194, 0.00000000,
     0.449056},
    {0, 8, 0.72442473, -0.64063072, -53.864996, -0.40019705, 0.41972358, -0.24445549, 0.00000000,
     0.312346},
    {0, 10, 0.65635376, -0.70019972, -60.312008, -0.37421911, 0.39748510, -0.27269460, 0.00000000,
     0.267223},
    {0, 20, 0.44523205, -0.82988144, -76.747785, -0.28807663, 0.31853406, -0.34641563, 0.00000000,
     0.173565},
    {0, 50, 0.24501476, -0.90791712, -87.459323, -0.19056937, 0.21636131, -0.40879856, 0.00000000,
     0.104949},
    {0, 100, 0.15922338, -0.93752394, -89.616748, -0.13693239, 0.15366820, -0.43756234, 0.00000000,
     0.073029},
    {0, 500, 0.06589004, -0.97311700, -89.999884, -0.06238965, 0.06588043, -0.47311700, 0.00000000,
     0.032057},
    {45, 5, 0.95821514, 0.17053686, -1.610333, -0.46327958, 0.45843406, 0.17157379, 0.17734739,
     0.431705},
    {45, 20, 0.60780770, -0.62496416, -68.031447, -0.36497547, 0.40227725, -0.16976484, 0.04413755,
     0.136996},
    {80, 6, 0.55847991, 0.81177596, 46.503746, -0.24016091, 0.22222033, 0.44193123, 0.81177596,
     0.693979},
    {80, 15, 0.80408532, -0.21610283, -42.277857, -0.40015174, 0.41580890, 0.09710452, 0.15543911,
     0.166603},
    {-45, 10, 0.35015388, -0.92542507, -76.108151, -0.20895851, 0.22392157, -0.44167741, 0.00000000,
     0.478564},
};

TEST(PlanarRod, IsTheHeavyElasticaWhenOneEndIsFree) {
  constexpr int k_segments = 800;
  PlanarRodSolver solver(k_segments);
  for (const CantileverRow& r : k_cantilevers) {
    SCOPED_TRACE(testing::Message() << "alpha " << r.alpha << ", K " << r.k);
    PlanarRodProblem p = unit_rod(1.0 / r.k);
    p.at_start = {EndKind::clamped, r.alpha};
    p.at_end = {EndKind::free, 0.0};
    const RodReport report = solver.solve_cold(p);
    ASSERT_EQ(report.status, RodStatus::converged);
    const Vec2 tip = solver.points().back() / 1000.0;
    constexpr double k_near = 5e-5;  // second order: N = 800
    EXPECT_NEAR(tip.x, r.x_tip, k_near);
    EXPECT_NEAR(tip.y, r.y_tip, k_near);
    EXPECT_NEAR(solver.angles_rad().back() / k_radians, r.theta_tip, 0.01);
    const PlanarRodFigures f = solver.figures();
    EXPECT_NEAR(f.moment_start_Nmm / 1000.0, r.moment, 1e-3 * std::abs(r.moment));
    const Vec2 half = solver.point_at(500.0) / 1000.0;
    EXPECT_NEAR(half.x, r.half_x, k_near);
    EXPECT_NEAR(half.y, r.half_y, k_near);
    double highest = 0.0;
    for (const Vec2& point : solver.points()) highest = std::max(highest, point.y / 1000.0);
    EXPECT_NEAR(highest, r.highest, k_near);
    EXPECT_NEAR(f.smallest_radius_mm / 1000.0, r.radius, 1e-3 * r.radius);
    EXPECT_EQ(f.smallest_radius_at_mm, 0.0);
    EXPECT_EQ(f.horizontal_force_N, 0.0);
    EXPECT_NEAR(f.vertical_start_N, -1.0, 1e-12);
    // First integral between clamp and tip of a horizontal cantilever: M^2 = 2 w EI droop.
    if (r.alpha == 0.0) {
      const double moment = f.moment_start_Nmm / 1000.0;
      EXPECT_NEAR(moment * moment, 2.0 / r.k * -tip.y, 1e-3 * moment * moment);
    }
  }
}

/// Both ends prescribed; lengths in L, forces in w L, moments in w L^2. Collocation, multiple
/// shooting and extrapolated links agree to 8e-10; each shape is the lowest of those found from 40
/// random starts.
struct EndsRow {
  const char* id;
  double d, h, theta_a, theta_b, e;
  double force, va, ma, mb, radius, radius_at, tension;
  double x1, y1, x2, y2, x3, y3, lowest, lowest_at, highest, least_x, greatest_x, energy;
};

constexpr EndsRow k_ends[] = {
    {"HH1",      0.8,        0,          0,        0,         0.03,      -1.0342614,
     -0.5000000, -0.2093657, -0.2093657, 0.143290, 1.0000,    -0.424247, 0.197125,
     -0.138162,  0.400000,   -0.267544,  0.602875, -0.138162, -0.267544, 0.5000,
     0.000000,   0.000000,   0.800000,   0.1149126},
    {"HH2",      0.8,        0,          0,         0,         0.01,      -0.1571885,
     -0.5000000, -0.0893953, -0.0893953, 0.111863,  1.0000,    0.146844,  0.192706,
     -0.145514,  0.400000,   -0.268823,  0.607294,  -0.145514, -0.268823, 0.5000,
     0.000000,   0.000000,   0.800000,   -0.0541398},
    {"HH3",      0.8,        0,          0,         0,         0.003,     0.1519156,
     -0.5000000, -0.0422438, -0.0422438, 0.071016,  0.0000,    0.388784,  0.184361,
     -0.158566,  0.400000,   -0.269446,  0.615639,  -0.158566, -0.269446, 0.5000,
     0.000000,   0.000000,   0.800000,   -0.1179575},
    {"HH4",      0.8,        0,          0,         0,         0.001,     0.2487760,
     -0.5000000, -0.0234615, -0.0234615, 0.042623,  0.0000,    0.483229,  0.177113,
     -0.169483,  0.400000,   -0.268401,  0.622887,  -0.169483, -0.268401, 0.5000,
     0.000000,   0.000000,   0.800000,   -0.1411514},
    {"HH5",      0.8,        0,          0,         0,         0.0003,    0.2936360,
     -0.5000000, -0.0127007, -0.0127007, 0.023621,  0.0000,    0.535653,  0.172711,
     -0.176248,  0.400000,   -0.267179,  0.627289,  -0.176248, -0.267179, 0.5000,
     0.000000,   0.000000,   0.800000,   -0.1533150},
    {"HH6",      0.8,        0,          0,         0,         0.0001,    0.3135239,
     -0.5000000, -0.0073072, -0.0073072, 0.013685,  0.0000,    0.562393,  0.170790,
     -0.179312,  0.400000,   -0.266472,  0.629210,  -0.179312, -0.266472, 0.5000,
     0.000000,   0.000000,   0.800000,   -0.1590752},
    {"UU1",      0.25,       0,          -90,      90,        0.03,      -0.7383961,
     -0.5000000, -0.0792430, -0.0792430, 0.127489, 0.5000,    0.522925,  -0.022067,
     -0.248629,  0.125000,   -0.420172,  0.272067, -0.248629, -0.420172, 0.5000,
     0.000000,   -0.022719,  0.272719,   0.0703348},
    {"UU2",      0.25,       0,          -90,       90,        0.01,      -0.2359520,
     -0.5000000, -0.0227930, -0.0227930, 0.121532,  0.5000,    0.500000,  -0.018449,
     -0.249026,  0.125000,   -0.423405,  0.268449,  -0.249026, -0.423405, 0.5000,
     0.000000,   -0.019100,  0.269100,   -0.1366249},
    {"UU3",      0.25,       0,          -90,       90,        0.003,     -0.0570631,
     -0.5000000, -0.0041359, -0.0041359, 0.107849,  0.5000,    0.500000,  -0.009393,
     -0.249703,  0.125000,   -0.430954,  0.259393,  -0.249703, -0.430954, 0.5000,
     0.000000,   -0.010212,  0.260212,   -0.2100970},
    {"UU4",      0.25,       0,          -90,       90,        0.001,     -0.0015095,
     -0.5000000, -0.0000514, -0.0000514, 0.090484,  0.5000,    0.500000,  0.003012,
     -0.249944,  0.125000,   -0.440441,  0.246988,  -0.249944, -0.440441, 0.5000,
     0.000000,   -0.000062,  0.250062,   -0.2323923},
    {"UU5",     0.25,      0,      -90,      90,       0.0003,    0.0223866, -0.5000000, 0.0005714,
     0.0005714, 0.072517,  0.5000, 0.500000, 0.014832, -0.249504, 0.125000,  -0.449634,  0.235168,
     -0.249504, -0.449634, 0.5000, 0.000000, 0.000000, 0.250000,  -0.2412296},
    {"DH1",      0.6,        -0.3,       -90,       0,         0.02,      -0.3003358,
     -0.3559334, -0.0239247, -0.1217504, 0.164271,  1.0000,    0.355933,  0.000570,
     -0.249597,  0.139069,   -0.443707,  0.376160,  -0.402945, -0.457534, 0.5761,
     0.000000,   -0.005377,  0.600000,   -0.2072852},
    {"DH2",      0.6,       -0.3,   -90,      0,        0.005,     0.0257576, -0.5681798, 0.0043489,
     -0.0494281, 0.101157,  1.0000, 0.568180, 0.025458, -0.248176, 0.156669,  -0.452736,  0.391437,
     -0.429361,  -0.478304, 0.6002, 0.000000, 0.000000, 0.600000,  -0.2934991},
    {"DH3",      0.6,       -0.3,   -90,      0,        0.002,     0.1005344, -0.6134396, 0.0062834,
     -0.0298513, 0.066999,  1.0000, 0.613440, 0.044928, -0.245180, 0.173383,  -0.454718,  0.406026,
     -0.449694,  -0.491976, 0.6193, 0.000000, 0.000000, 0.600000,  -0.3148900},
    {"DH4",      0.6,       -0.3,   -90,      0,        0.0005,    0.1463859, -0.6403204, 0.0042079,
     -0.0145479, 0.034369,  1.0000, 0.640647, 0.063640, -0.240966, 0.193276,  -0.451888,  0.423793,
     -0.470663,  -0.503106, 0.6404, 0.000000, 0.000000, 0.600000,  -0.3294999},
    {"HV1",     0.5,       -0.5,   0,         -90,      0.05,     -0.8516231, 0.5105561, 0.1078522,
     0.1659078, 0.210910,  0.5309, -0.715337, 0.247461, 0.033355, 0.482355,   -0.025597, 0.548874,
     -0.255464, -0.500000, 1.0000, 0.036617,  0.000000, 0.553747, 0.0884449},
    {"HV2",     0.5,       -0.5,   0,         -90,      0.02,     -0.3489308, 0.0083347, 0.0194005,
     0.0821738, 0.199745,  0.5767, -0.326313, 0.249179, 0.018786, 0.487742,   -0.034058, 0.561441,
     -0.258715, -0.500000, 1.0000, 0.020522,  0.000000, 0.567549, -0.0379756},
    {"HV3",      0.5,        -0.5,       0,         -90,       0.002,     -0.0316735,
     -0.6171555, -0.0496647, -0.0432581, 0.040270,  0.0000,    0.489395,  0.074417,
     -0.217070,  0.094221,   -0.464448,  0.300143,  -0.527915, -0.554165, 0.6614,
     0.000000,   0.000000,   0.500000,   -0.2916333},
    {"AR1",     0.35,     0,      90,        -90,       0.3,      -5.9795731, -0.5000000, 0.4645560,
     0.4645560, 0.155000, 0.5000, -0.058696, 0.003558,  0.249124, 0.175000,   0.404243,   0.346442,
     0.249124,  0.000000, 0.0000, 0.404243,  -0.006205, 0.356205, 2.6605584},
    {"AR2",     0.35,     0,      90,        -90,       0.1,      -2.0257084, -0.5000000, 0.1596407,
     0.1596407, 0.155908, 0.5000, -0.282601, 0.003188,  0.249111, 0.175000,   0.403865,   0.346812,
     0.249111,  0.000000, 0.0000, 0.403865,  -0.006510, 0.356510, 1.0441592},
    {"AR3",     0.35,     0,      90,        -90,       0.05,     -1.0371176, -0.5000000, 0.0834967,
     0.0834967, 0.157320, 0.5000, -0.329076, 0.002618,  0.249090, 0.175000,   0.403281,   0.347382,
     0.249090,  0.000000, 0.0000, 0.403281,  -0.006985, 0.356985, 0.6399987},
    {"CL1",     0,         -0.4,   0,        -180,     0.05,      0.2538805, 0.3351400, -0.0243315,
     0.1066214, 0.165719,  0.5539, 0.253881, 0.245729, -0.036158, 0.393734,  -0.220750, 0.248891,
     -0.399838, -0.409480, 0.8350, 0.000000, 0.000000, 0.393898,  0.1508728},
    {"CL2",     0,         -0.4,   0,        -180,     0.01,      0.2407529, -0.4067062, -0.0554578,
     0.0685979, 0.127876,  0.6434, 0.339851, 0.225695, -0.097861, 0.372517,  -0.293770,  0.239566,
     -0.464700, -0.464713, 0.7521, 0.000000, 0.000000, 0.375930,  -0.1624590},
    {"CL3",     0,         -0.4,   0,        -180,     0.002,     0.1568109, -0.6547752, -0.0435349,
     0.0393672, 0.045940,  0.0000, 0.560771, 0.135767, -0.196580, 0.243146,  -0.422260,  0.151886,
     -0.584222, -0.592504, 0.7146, 0.000000, 0.000000, 0.262065,  -0.2905089},
    {"PP1",     0.8,       0.1,    k_pinned, k_pinned, 0.02,      0.1243985, -0.4622193, 0.0000000,
     0.0000000, 0.349050,  0.4695, 0.520298, 0.189391, -0.161695, 0.429845,  -0.210502,  0.648742,
     -0.098208, -0.214205, 0.4491, 0.100000, 0.000000, 0.800000,  -0.0729728},
    {"PP2",     0.8,       0.1,    k_pinned, k_pinned, 0.005,     0.2878679, -0.4441894, 0.0000000,
     0.0000000, 0.348782,  0.4480, 0.622932, 0.186860, -0.164222, 0.427746,  -0.209944,  0.646334,
     -0.096336, -0.214519, 0.4434, 0.100000, 0.000000, 0.800000,  -0.1033011},
    {"PP3",     0.8,       0.1,    k_pinned, k_pinned, 0.001,     0.3314204, -0.4401725, 0.0000000,
     0.0000000, 0.345985,  0.4402, 0.650174, 0.185325, -0.165536, 0.426467,  -0.209438,  0.644977,
     -0.095156, -0.214576, 0.4402, 0.100000, 0.000000, 0.800000,  -0.1114517},
    {"CP1",      0.5,        -0.2,      -90,       k_pinned,  0.02,      -0.1814860,
     -0.5537650, -0.0075760, 0.0000000, 0.193684,  0.5726,    0.553765,  0.011923,
     -0.249261,  0.145379,   -0.450472, 0.377336,  -0.414801, -0.472131, 0.5927,
     0.000000,   -0.000453,  0.500000,  -0.2060757},
    {"CP2",     0.5,       -0.2,   -90,      k_pinned, 0.002,     0.0845535, -0.6000772, 0.0053896,
     0.0000000, 0.161903,  0.5998, 0.600077, 0.039921, -0.246165, 0.167093,  -0.455372,  0.393704,
     -0.423672, -0.484637, 0.6003, 0.000000, 0.000000, 0.500000,  -0.3048465},
};

PlanarRodProblem problem_of(const EndsRow& r) {
  PlanarRodProblem p = unit_rod(r.e);
  p.end = 1000.0 * Vec2(r.d, r.h);
  p.at_start = end_at_angle(r.theta_a);
  p.at_end = end_at_angle(r.theta_b);
  return p;
}

void expect_row(const PlanarRodSolver& solver, const EndsRow& r, bool fine) {
  const double k = fine ? 1e-3 : 1e-2;
  const PlanarRodFigures f = solver.figures();
  // 0.1 % of the value, or of the weight (of weight x length) where the value nearly vanishes.
  const auto near = [&](double value, double expected, double size, const char* what) {
    EXPECT_NEAR(value, expected, k * std::max(std::abs(expected), 0.02 * size)) << what;
  };
  near(f.horizontal_force_N, r.force, 1.0, "H");
  near(f.vertical_start_N, r.va, 1.0, "V_A");
  near(f.moment_start_Nmm / 1000.0, r.ma, 0.1, "M_A");
  near(f.moment_end_Nmm / 1000.0, r.mb, 0.1, "M_B");
  near(f.smallest_radius_mm / 1000.0, r.radius, 0.0, "R_min");
  const double at = f.smallest_radius_at_mm / 1000.0;
  // Symmetric shapes reach it twice.
  EXPECT_LT(std::min(std::abs(at - r.radius_at), std::abs(1.0 - at - r.radius_at)), 0.01);
  near(f.greatest_tension_N, r.tension, 1.0, "T_max");
  const double points[3][2] = {{r.x1, r.y1}, {r.x2, r.y2}, {r.x3, r.y3}};
  for (int i = 0; i < 3; ++i) {
    const Vec2 q = solver.point_at(250.0 * (i + 1)) / 1000.0;
    EXPECT_NEAR(q.x, points[i][0], 0.2 * k);
    EXPECT_NEAR(q.y, points[i][1], 0.2 * k);
  }
  EXPECT_NEAR(f.lowest.y / 1000.0, r.lowest, 0.3 * k);
  const double low_at = f.lowest_at_mm / 1000.0;
  const double either =
      r.h == 0.0 ? std::min(std::abs(low_at - r.lowest_at), std::abs(1.0 - low_at - r.lowest_at))
                 : std::abs(low_at - r.lowest_at);
  EXPECT_LT(either, 2.0 * k);
  double highest = 0.0;
  double least = 0.0;
  double greatest = 0.0;
  for (const Vec2& q : solver.points()) {
    highest = std::max(highest, q.y / 1000.0);
    least = std::min(least, q.x / 1000.0);
    greatest = std::max(greatest, q.x / 1000.0);
  }
  EXPECT_NEAR(highest, r.highest, 0.2 * k);
  EXPECT_NEAR(least, r.least_x, 0.2 * k);
  EXPECT_NEAR(greatest, r.greatest_x, 0.2 * k);
  near(f.energy_Nmm / 1000.0, r.energy, 0.1, "energy");
}

TEST(PlanarRod, AgreesWithThreeMethodsForEachPairOfEnds) {
  constexpr int k_segments = 800;
  PlanarRodSolver solver(k_segments);
  for (const EndsRow& r : k_ends) {
    SCOPED_TRACE(r.id);
    const RodReport report = solver.solve_lowest(problem_of(r));
    ASSERT_EQ(report.status, RodStatus::converged);
    EXPECT_LE(report.residual, 1e-8);
    expect_row(solver, r, true);
  }
}

/// In millimetres and newtons; the same three methods.
struct MillimetreRow {
  const char* id;
  double length, mass, stiffness, dx, dz, theta_a, theta_b;
  double h, va, vb, ma, mb, radius, radius_at, tension;
  double x1, y1, x2, y2, x3, y3, lowest, lowest_x, lowest_at, highest, least_x, greatest_x;
};

constexpr MillimetreRow k_millimetres[] = {
    {"MM1",     900,        0.085,      0.012,     220,      60,        -90,
     90,        -0.3635275, -0.3656049, 0.3846038, -28.3791, -39.3667,  112.7302,
     423.51,    0.389275,   -5.4643,    -224.2572, 153.1770, -344.8273, 251.6574,
     -162.4562, -348.8913,  123.1548,   419.6127,  60.0000,  -10.7075,  252.3455},
    {"MM2",     650,        0.062,      0.006,     380,      -180,      -90,
     0,         -0.2734517, -0.0457880, 0.3494200, -17.9132, -53.2771,  112.6187,
     650.00,    0.047497,   -7.0099,    -162.0998, 83.4833,  -285.7679, 235.5707,
     -248.3351, -291.5265,  121.4303,   363.5323,  0.0000,   -8.6407,   380.0000},
    {"MM3",     1400,       0.21,       0.05,      1100,      0,         0,
     0,         -0.3602202, -1.4415775, 1.4415775, -339.7417, -339.7417, 147.1706,
     1400.00,   0.517820,   263.5504,   -210.5679, 550.0000,  -387.8301, 836.4496,
     -210.5679, -387.8301,  550.0000,   700.0000,  0.0000,    0.0000,    1100.0000},
    {"MM4",    700,        0.12,       0.2,       260,      0,        90,
     -90,      -7.6441422, -0.4118793, 0.4118793, 355.7948, 355.7948, 112.6616,
     350.00,   -0.038344,  6.8589,     174.1532,  130.0000, 280.2940, 253.1411,
     174.1532, 0.0000,     260.0000,   700.0000,  280.2940, -2.5646,  262.5646},
};

TEST(PlanarRod, AgreesWithThreeMethodsInMillimetresAndNewtons) {
  PlanarRodSolver solver(800);
  for (const MillimetreRow& r : k_millimetres) {
    SCOPED_TRACE(r.id);
    const PlanarRodProblem p{.length_mm = r.length,
                             .mass_kg_m = r.mass,
                             .stiffness_Nm2 = r.stiffness,
                             .end = {r.dx, r.dz},
                             .at_start = {EndKind::clamped, r.theta_a},
                             .at_end = {EndKind::clamped, r.theta_b}};
    ASSERT_EQ(solver.solve_lowest(p).status, RodStatus::converged);
    const PlanarRodFigures f = solver.figures();
    constexpr double k_force = 1e-3 * 0.36;  // 0.1 % of the forces here
    EXPECT_NEAR(f.horizontal_force_N, r.h, std::max(k_force, 1e-3 * std::abs(r.h)));
    EXPECT_NEAR(f.vertical_start_N, r.va, k_force);
    EXPECT_NEAR(f.vertical_end_N, r.vb, k_force);
    EXPECT_NEAR(f.moment_start_Nmm, r.ma, 1e-3 * std::abs(r.ma));
    EXPECT_NEAR(f.moment_end_Nmm, r.mb, 1e-3 * std::abs(r.mb));
    EXPECT_NEAR(f.smallest_radius_mm, r.radius, 1e-3 * r.radius);
    EXPECT_NEAR(f.greatest_tension_N, r.tension, k_force);
    const Vec2 expected[] = {{r.x1, r.y1}, {r.x2, r.y2}, {r.x3, r.y3}};
    for (int i = 0; i < 3; ++i) {
      EXPECT_LT(glm::distance(solver.point_at(0.25 * (i + 1) * r.length), expected[i]), 0.1);
    }
    EXPECT_NEAR(f.lowest.y, r.lowest, 0.1);
    if (r.dz != 0.0) {  // a level arch stands on two lowest points
      EXPECT_NEAR(f.lowest.x, r.lowest_x, 1.0);
      EXPECT_NEAR(f.lowest_at_mm, r.lowest_at, 1.0);
    }
  }
}

// Two stable shapes for one pair of ends (the same three methods).
TEST(PlanarRod, FindsTheLowerOfTwoStableShapesAndTheOtherFromItsOwnStart) {
  PlanarRodProblem p = unit_rod(0.01);
  p.end = {500.0, -500.0};
  p.at_start = {EndKind::clamped, 0.0};
  p.at_end = {EndKind::clamped, -90.0};
  PlanarRodSolver solver(800);
  ASSERT_EQ(solver.solve_lowest(p).status, RodStatus::converged);
  EXPECT_NEAR(solver.figures().energy_Nmm / 1000.0, -0.08545275, 1e-5);
  EXPECT_NEAR(solver.figures().horizontal_force_N, -0.1722632, 2e-4);
  EXPECT_NEAR(solver.figures().smallest_radius_mm, 167.331, 0.17);
  // The other one hangs down first and comes to its end from below, over the top.
  std::vector<double> angles;
  for (int i = 0; i < 800; ++i) {
    const double s = (i + 0.5) / 800.0;
    const double degrees = s < 0.15   ? -90.0 * s / 0.15
                           : s < 0.5  ? -90.0
                           : s < 0.65 ? -90.0 + 150.0 * (s - 0.5) / 0.15
                                      : 60.0 - 150.0 * (s - 0.65) / 0.35;
    angles.push_back(degrees * k_radians);
  }
  ASSERT_EQ(solver.solve_from(angles, p).status, RodStatus::converged);
  EXPECT_NEAR(solver.figures().energy_Nmm / 1000.0, -0.07024973, 1e-5);
  EXPECT_NEAR(solver.figures().moment_start_Nmm / 1000.0, -0.1209369, 2e-4);
  EXPECT_NEAR(solver.figures().smallest_radius_mm, 82.688, 0.1);
}

// Halving the links divides the error by four; errors of rigid links with half-cell clamps at the
// sizes 40, 80 and 160 as found by an independent program for two of the shapes above.
TEST(PlanarRod, ConvergesWithSecondOrder) {
  struct Errors {
    const char* id;
    int links;
    double force, moment, lowest;
  };
  const Errors rows[] = {
      {"HH4", 40, 1.3e-3, 7.2e-4, -1.2e-3},  {"HH4", 80, 3.1e-4, 1.8e-4, -3.1e-4},
      {"HH4", 160, 7.7e-5, 4.5e-5, -7.8e-5}, {"DH2", 40, 4.9e-4, 2.6e-5, -4.4e-4},
      {"DH2", 80, 1.2e-4, 6.5e-6, -1.1e-4},  {"DH2", 160, 3.0e-5, 1.6e-6, -2.8e-5}};
  for (const Errors& e : rows) {
    SCOPED_TRACE(testing::Message() << e.id << " " << e.links);
    const auto* r = std::find_if(std::begin(k_ends), std::end(k_ends),
                                 [&](const EndsRow& x) { return std::string(x.id) == e.id; });
    ASSERT_NE(r, std::end(k_ends));
    PlanarRodSolver solver(e.links);
    ASSERT_TRUE(solver.solve_cold(problem_of(*r)).converged());
    const PlanarRodFigures f = solver.figures();
    EXPECT_NEAR(f.horizontal_force_N - r->force, e.force, 0.06 * e.force);
    EXPECT_NEAR(f.moment_start_Nmm / 1000.0 - r->ma, e.moment, 0.06 * e.moment);
    EXPECT_NEAR(f.lowest.y / 1000.0 - r->lowest, e.lowest, 0.12 * std::abs(e.lowest));
  }
}

TEST(PlanarRod, KeepsTheFirstIntegralOfTheHeavyElastica) {
  PlanarRodSolver solver(2000);
  for (const char* id : {"HH3", "DH1", "HV2", "CL2", "CP1"}) {
    const auto* r = std::find_if(std::begin(k_ends), std::end(k_ends),
                                 [&](const EndsRow& x) { return std::string(x.id) == id; });
    ASSERT_TRUE(solver.solve_lowest(problem_of(*r)).converged());
    const PlanarRodFigures f = solver.figures();
    const std::vector<Vec2> q = solver.points();
    const auto t = solver.angles_rad();
    double first = 0.0;
    for (std::size_t j = 100; j < 1900; j += 100) {
      const double m = r->e * (t[j] - t[j - 1]) * 2000.0;
      const double angle = 0.5 * (t[j] + t[j - 1]);
      const double v = f.vertical_start_N + static_cast<double>(j) / 2000.0;
      const double integral = m * m / (2.0 * r->e) + f.horizontal_force_N * std::cos(angle) +
                              v * std::sin(angle) - q[j].y / 1000.0;
      if (j == 100) first = integral;
      EXPECT_NEAR(integral, first, 2e-5) << id << " at " << j;
    }
  }
}

TEST(PlanarRod, WithoutStiffnessIsTheCatenaryAwayFromItsEnds) {
  PlanarRodSolver solver(800);
  PlanarRodProblem p{
      .length_mm = 900.0, .mass_kg_m = 0.12, .stiffness_Nm2 = 1e-9, .end = {600.0, 250.0}};
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const CatenaryProblem limp{600.0, 250.0, 900.0, 0.12};
  const Catenary c = solve_catenary(limp);
  for (double s : {100.0, 300.0, 450.0, 700.0}) {
    EXPECT_LT(glm::distance(solver.point_at(s), catenary_point(limp, c, s)), 1e-3);
  }
  EXPECT_NEAR(solver.figures().horizontal_force_N, c.horizontal_force_N, 1e-5);
  EXPECT_NEAR(solver.figures().smallest_radius_mm, c.smallest_radius_mm, 0.01);
}

TEST(PlanarRod, MirroredAndSwappedIsTheSameShape) {
  PlanarRodSolver solver(200);
  PlanarRodProblem p{.length_mm = 650.0,
                     .mass_kg_m = 0.062,
                     .stiffness_Nm2 = 0.006,
                     .end = {380.0, -180.0},
                     .at_start = {EndKind::clamped, -90.0},
                     .at_end = {EndKind::clamped, 0.0}};
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const PlanarRodFigures a = solver.figures();
  const Vec2 middle = solver.point_at(325.0);
  // x -> -x: every tangent angle t becomes 180 - t.
  PlanarRodProblem mirrored = p;
  mirrored.end.x = -380.0;
  mirrored.at_start.angle_deg = 270.0;
  mirrored.at_end.angle_deg = 180.0;
  ASSERT_TRUE(solver.solve_cold(mirrored).converged());
  EXPECT_NEAR(solver.figures().horizontal_force_N, -a.horizontal_force_N, 1e-7);
  EXPECT_NEAR(solver.figures().smallest_radius_mm, a.smallest_radius_mm, 1e-4);
  EXPECT_NEAR(solver.point_at(325.0).x, -middle.x, 1e-4);
  // Walked from the other end: tangents turn by 180 degrees; read in the mirror that is angle -t.
  PlanarRodProblem swapped = p;
  swapped.end = {380.0, 180.0};
  swapped.at_start.angle_deg = 0.0;
  swapped.at_end.angle_deg = 90.0;
  ASSERT_TRUE(solver.solve_cold(swapped).converged());
  EXPECT_NEAR(solver.figures().horizontal_force_N, a.horizontal_force_N, 1e-7);
  EXPECT_NEAR(solver.figures().vertical_start_N, -a.vertical_end_N, 1e-7);
  EXPECT_NEAR(solver.figures().lowest.y, a.lowest.y + 180.0, 1e-4);
}

// Greenhill 1881: an upright column clamped at its foot stands until w L^3 / EI = 7.8373.
TEST(PlanarRod, CallsAColumnUnstableAboveGreenhillsLoad) {
  PlanarRodSolver solver(400);
  const std::vector<double> upright(400, 90.0 * k_radians);
  PlanarRodProblem p = unit_rod(1.0 / 7.80);
  p.at_start = {EndKind::clamped, 90.0};
  p.at_end = {EndKind::free, 0.0};
  EXPECT_EQ(solver.solve_from(upright, p).status, RodStatus::converged);
  p.stiffness_Nm2 = 1.0 / 7.87;
  EXPECT_EQ(solver.solve_from(upright, p).status, RodStatus::unstable);
  p.stiffness_Nm2 = 1.0 / 12.0;  // well beyond, it is found leaning over
  ASSERT_EQ(solver.solve_cold(p).status, RodStatus::converged);
  EXPECT_LT(solver.points().back().y, 950.0);
}

// A weightless strip with set is an arc of that radius; straightened to a line its moment is EI k.
TEST(PlanarRod, WithNaturalCurvatureAloneIsACircle) {
  PlanarRodProblem p{.length_mm = 500.0, .mass_kg_m = 0.0, .stiffness_Nm2 = 0.01};
  p.natural_curvature_per_m = 4.0;
  p.at_start = {EndKind::clamped, 0.0};
  p.at_end = {EndKind::free, 0.0};
  PlanarRodSolver solver(400);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const Vec2 tip = solver.points().back();
  EXPECT_NEAR(tip.x, 250.0 * std::sin(2.0), 0.01);
  EXPECT_NEAR(tip.y, 250.0 * (1.0 - std::cos(2.0)), 0.01);
  EXPECT_NEAR(solver.figures().smallest_radius_mm, 250.0, 1e-6);
  EXPECT_NEAR(solver.figures().moment_start_Nmm, 0.0, 1e-6);
}

// Small deflection of a cantilever with a mass at its tip: F L^3 / (3 EI) (Euler and Bernoulli).
TEST(PlanarRod, SagsUnderAPointMassLikeACantilever) {
  PlanarRodProblem p{.length_mm = 500.0, .mass_kg_m = 0.0, .stiffness_Nm2 = 10.0};
  p.at_start = {EndKind::clamped, 0.0};
  p.at_end = {EndKind::free, 0.0};
  p.point_masses = {{500.0, 0.2}};
  PlanarRodSolver solver(200);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const double force = 0.2 * k_gravity;
  EXPECT_NEAR(solver.points().back().y, -force * 125e6 / (3.0 * 1e7), 0.02);
  EXPECT_NEAR(solver.figures().vertical_start_N, -force, 1e-12);
  p.point_masses = {{250.0, 0.2}};  // at mid length: F a^2 (3 L - a) / (6 EI)
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_NEAR(solver.points().back().y, -force * 250.0 * 250.0 * 1250.0 / 6e7, 0.02);
}

// Random ends, clamps and stiffness from limp to stiff, up to 98 % of taut: each finds a stable
// shape.
TEST(PlanarRod, ConvergesColdForRandomEnds) {
  std::mt19937 random(5);
  const auto any = [&](double lower, double upper) {
    return std::uniform_real_distribution<double>(lower, upper)(random);
  };
  PlanarRodSolver solver(64);
  for (int i = 0; i < 300; ++i) {
    PlanarRodProblem p = unit_rod(std::pow(10.0, any(-5.0, 0.0)));
    const double azimuth = any(-180.0, 180.0) * k_radians;
    p.end = 1000.0 * any(0.02, 0.98) * Vec2(std::cos(azimuth), std::sin(azimuth));
    if (i % 3 != 0) p.at_start = {EndKind::clamped, any(-180.0, 180.0)};
    if (i % 2 != 0) p.at_end = {EndKind::clamped, any(-180.0, 180.0)};
    const RodReport report = solver.solve_cold(p);
    ASSERT_EQ(report.status, RodStatus::converged) << i;
    EXPECT_LE(report.residual, 1e-8);
    EXPECT_LT(glm::distance(solver.points().back(), p.end), 1e-4);
    // Moments about the start: M_B - M_A = H dz - V_B dx + moment of the weight.
    const PlanarRodFigures f = solver.figures();
    const std::vector<Vec2> q = solver.points();
    double weight_moment = 0.0;
    for (std::size_t j = 1; j < q.size(); ++j) weight_moment += 0.5 * (q[j - 1].x + q[j].x) / 64.0;
    EXPECT_NEAR(f.moment_end_Nmm - f.moment_start_Nmm,
                f.horizontal_force_N * p.end.y - f.vertical_end_N * p.end.x + weight_moment,
                1e-4 * (1.0 + p.stiffness_Nm2) * 1000.0);
  }
}

TEST(PlanarRod, FollowsItsEndsWarmAndEndsWhereAColdSolveDoes) {
  PlanarRodProblem p{.length_mm = 3000.0,
                     .mass_kg_m = 0.2,
                     .stiffness_Nm2 = 0.02,
                     .end = {2000.0, 200.0},
                     .at_start = {EndKind::clamped, -90.0},
                     .at_end = {EndKind::clamped, 90.0}};
  PlanarRodSolver warm(64);
  PlanarRodSolver cold(64);
  ASSERT_TRUE(warm.solve(p).converged());
  int steps = 0;
  for (int i = 0; i < 120; ++i) {
    p.end += Vec2(-12.0, 3.0);
    const RodReport report = warm.solve(p);
    ASSERT_TRUE(report.converged());
    steps += report.iterations;
  }
  EXPECT_LE(steps, 240);
  ASSERT_TRUE(cold.solve_cold(p).converged());
  EXPECT_LT(glm::distance(warm.point_at(1500.0), cold.point_at(1500.0)), 1e-4);
  EXPECT_NEAR(warm.figures().energy_Nmm, cold.figures().energy_Nmm, 1e-5);
}

TEST(PlanarRod, RefusesWhatHasNoShape) {
  PlanarRodSolver solver(16);
  PlanarRodProblem p = unit_rod(0.01);
  p.end = {800.0, 600.0};
  EXPECT_EQ(solver.solve(p).status, RodStatus::too_short);
  p.end = {500.0, std::nan("")};
  EXPECT_EQ(solver.solve(p).status, RodStatus::invalid);
  p.end = {500.0, 0.0};
  p.stiffness_Nm2 = 0.0;
  EXPECT_EQ(solver.solve(p).status, RodStatus::invalid);
  p = unit_rod(0.01);
  p.at_start = {EndKind::free, 0.0};
  EXPECT_EQ(solver.solve(p).status, RodStatus::invalid);
  p = unit_rod(0.01);
  p.point_masses = {{1001.0, 0.1}};
  EXPECT_EQ(solver.solve(p).status, RodStatus::invalid);
}

}  // namespace
}  // namespace bight::rod
