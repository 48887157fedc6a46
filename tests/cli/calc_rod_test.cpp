// `bight calc hang` with bending stiffness and `bight calc droop` against values on which
// independent methods agree: collocation, multiple shooting and the energy of rigid links with
// torsion springs, extrapolated, agree to 1e-9 (cantilevers also with a Taylor series in 30 digits,
// to 6e-14; over a floor, backward shooting from the touchdown point, to 9e-12).

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "run_bight.h"

namespace bight::cli {
namespace {

constexpr double k_gravity = 9.80665;  // m/s^2
constexpr double k_pinned = 1e9;       // marks a pinned end in the tables

/// Units of a line of weight `mass` and length `length`: forces w L, moments w L^2.
struct Units {
  double length_mm, mass_kg_m;
  double force() const { return mass_kg_m * k_gravity / 1000.0 * length_mm; }
  double moment() const { return force() * length_mm; }
};

/// Within a share of the value, or of the unit where the value is near zero.
void expect_near(const nlohmann::json& value, double expected, double share, double unit,
                 const char* what) {
  ASSERT_TRUE(value.is_number()) << what;
  constexpr double k_zero = 2e-6;  // of the unit: two units of the last digit that is known
  EXPECT_NEAR(value.get<double>(), expected, share * std::abs(expected) + k_zero * unit) << what;
}

constexpr double k_hang = 1e-3;   // 0.1 %
constexpr double k_floor = 5e-3;  // 0.5 %

std::string angle(const char* option, double degrees) {
  return degrees == k_pinned ? "" : fmt::format(" --{}={}", option, degrees);
}

std::string line(double length_mm, double mass_kg_m, double stiffness_Nm2) {
  return fmt::format("calc hang --length={} --mass={} --stiffness={:.15g}", length_mm, mass_kg_m,
                     stiffness_Nm2);
}

/// The point at a share of the length, of the 101 evenly spaced ones.
void expect_point(const nlohmann::json& json, int percent, double x, double z, double length) {
  const auto& point = json["points_mm"][static_cast<std::size_t>(percent)];
  constexpr double k_chord = 2e-4;  // of the length: points are those of the discrete line
  EXPECT_NEAR(point[0].get<double>(), x, k_chord * length) << percent;
  EXPECT_NEAR(point[1].get<double>(), z, k_chord * length) << percent;
}

/// Clamped at `alpha` above the horizontal, the other end free: K = w L^3 / EI; lengths in L,
/// moments in w L^2. (Heavy elastica; studied first by Bickley, Phil. Mag. 17, 1934.)
struct CantileverRow {
  double alpha, k, x_tip, y_tip, moment, half_x, half_y, radius;
};
constexpr CantileverRow k_cantilevers[] = {
    {0, 0.1, 0.99991073, -0.01249844, -0.49996876, 0.49997598, -0.00442663, 20.001250},
    {0, 0.5, 0.99777900, -0.06230577, -0.49922247, 0.49940200, -0.02207888, 4.006230},
    {0, 1, 0.99124640, -0.12347140, -0.49693340, 0.49763924, -0.04382544, 2.012342},
    {0, 2, 0.96689295, -0.23850658, -0.48837136, 0.49101566, -0.08517920, 1.023811},
    {0, 3, 0.93151121, -0.33964839, -0.47584899, 0.48124073, -0.12240850, 0.700502},
    {0, 5, 0.84665718, -0.49590504, -0.44537851, 0.45699631, -0.18280194, 0.449056},
    {0, 8, 0.72442473, -0.64063072, -0.40019705, 0.41972358, -0.24445549, 0.312346},
    {0, 10, 0.65635376, -0.70019972, -0.37421911, 0.39748510, -0.27269460, 0.267223},
    {0, 20, 0.44523205, -0.82988144, -0.28807663, 0.31853406, -0.34641563, 0.173565},
    {0, 50, 0.24501476, -0.90791712, -0.19056937, 0.21636131, -0.40879856, 0.104949},
    {0, 100, 0.15922338, -0.93752394, -0.13693239, 0.15366820, -0.43756234, 0.073029},
    {0, 500, 0.06589004, -0.97311700, -0.06238965, 0.06588043, -0.47311700, 0.032057},
    {45, 5, 0.95821514, 0.17053686, -0.46327958, 0.45843406, 0.17157379, 0.431705},
    {45, 20, 0.60780770, -0.62496416, -0.36497547, 0.40227725, -0.16976484, 0.136996},
    {80, 6, 0.55847991, 0.81177596, -0.24016091, 0.22222033, 0.44193123, 0.693979},
    {80, 15, 0.80408532, -0.21610283, -0.40015174, 0.41580890, 0.09710452, 0.166603},
    {-45, 10, 0.35015388, -0.92542507, -0.20895851, 0.22392157, -0.44167741, 0.478564},
};

TEST(CalcHangStiff, IsTheHeavyElasticaWithAFreeEnd) {
  constexpr Units u{700.0, 0.13};
  for (const CantileverRow& r : k_cantilevers) {
    SCOPED_TRACE(fmt::format("alpha {}, K {}", r.alpha, r.k));
    const double stiffness = u.moment() * u.length_mm / 1e6 / r.k;
    const auto json = run_json(line(u.length_mm, u.mass_kg_m, stiffness) + " --free-end" +
                               angle("start-angle", r.alpha));
    EXPECT_EQ(json["status"], "hangs");
    expect_near(json["tip_mm"][0], u.length_mm * r.x_tip, k_hang, u.length_mm, "tip x");
    expect_near(json["tip_mm"][1], u.length_mm * r.y_tip, k_hang, u.length_mm, "tip z");
    expect_near(json["moment_start_Nmm"], u.moment() * r.moment, k_hang, u.moment(), "moment");
    expect_near(json["min_radius_mm"], u.length_mm * r.radius, k_hang, 0.0, "radius");
    EXPECT_EQ(json["min_radius_at_mm"], 0.0);
    expect_near(json["horizontal_N"], 0.0, k_hang, u.force(), "H");
    expect_near(json["vertical_start_N"], -u.force(), k_hang, 0.0, "V");
    expect_point(json, 50, u.length_mm * r.half_x, u.length_mm * r.half_y, u.length_mm);
    EXPECT_LT(json["residual"].get<double>(), 1e-7);
  }
}

/// Both ends prescribed; lengths in L, forces in w L, moments in w L^2, e = EI / (w L^3).
struct EndsRow {
  const char* id;
  double d, h, theta_a, theta_b, e, force, va, ma, mb, radius, radius_at;
  double x1, y1, x2, y2, x3, y3, lowest;
};
constexpr EndsRow k_ends[] = {
    {"HH1", 0.8, 0, 0, 0, 0.03, -1.0342614, -0.5000000, -0.2093657, -0.2093657, 0.143290, 1.0000,
     0.197125, -0.138162, 0.400000, -0.267544, 0.602875, -0.138162, -0.267544},
    {"HH2", 0.8, 0, 0, 0, 0.01, -0.1571885, -0.5000000, -0.0893953, -0.0893953, 0.111863, 1.0000,
     0.192706, -0.145514, 0.400000, -0.268823, 0.607294, -0.145514, -0.268823},
    {"HH3", 0.8, 0, 0, 0, 0.003, 0.1519156, -0.5000000, -0.0422438, -0.0422438, 0.071016, 0.0000,
     0.184361, -0.158566, 0.400000, -0.269446, 0.615639, -0.158566, -0.269446},
    {"HH4", 0.8, 0, 0, 0, 0.001, 0.2487760, -0.5000000, -0.0234615, -0.0234615, 0.042623, 0.0000,
     0.177113, -0.169483, 0.400000, -0.268401, 0.622887, -0.169483, -0.268401},
    {"HH5", 0.8, 0, 0, 0, 0.0003, 0.2936360, -0.5000000, -0.0127007, -0.0127007, 0.023621, 0.0000,
     0.172711, -0.176248, 0.400000, -0.267179, 0.627289, -0.176248, -0.267179},
    {"HH6", 0.8, 0, 0, 0, 0.0001, 0.3135239, -0.5000000, -0.0073072, -0.0073072, 0.013685, 0.0000,
     0.170790, -0.179312, 0.400000, -0.266472, 0.629210, -0.179312, -0.266472},
    {"UU1", 0.25, 0, -90, 90, 0.03, -0.7383961, -0.5000000, -0.0792430, -0.0792430, 0.127489,
     0.5000, -0.022067, -0.248629, 0.125000, -0.420172, 0.272067, -0.248629, -0.420172},
    {"UU2", 0.25, 0, -90, 90, 0.01, -0.2359520, -0.5000000, -0.0227930, -0.0227930, 0.121532,
     0.5000, -0.018449, -0.249026, 0.125000, -0.423405, 0.268449, -0.249026, -0.423405},
    {"UU3", 0.25, 0, -90, 90, 0.003, -0.0570631, -0.5000000, -0.0041359, -0.0041359, 0.107849,
     0.5000, -0.009393, -0.249703, 0.125000, -0.430954, 0.259393, -0.249703, -0.430954},
    {"UU4", 0.25, 0, -90, 90, 0.001, -0.0015095, -0.5000000, -0.0000514, -0.0000514, 0.090484,
     0.5000, 0.003012, -0.249944, 0.125000, -0.440441, 0.246988, -0.249944, -0.440441},
    {"UU5", 0.25, 0, -90, 90, 0.0003, 0.0223866, -0.5000000, 0.0005714, 0.0005714, 0.072517, 0.5000,
     0.014832, -0.249504, 0.125000, -0.449634, 0.235168, -0.249504, -0.449634},
    {"DH1", 0.6, -0.3, -90, 0, 0.02, -0.3003358, -0.3559334, -0.0239247, -0.1217504, 0.164271,
     1.0000, 0.000570, -0.249597, 0.139069, -0.443707, 0.376160, -0.402945, -0.457534},
    {"DH2", 0.6, -0.3, -90, 0, 0.005, 0.0257576, -0.5681798, 0.0043489, -0.0494281, 0.101157,
     1.0000, 0.025458, -0.248176, 0.156669, -0.452736, 0.391437, -0.429361, -0.478304},
    {"DH3", 0.6, -0.3, -90, 0, 0.002, 0.1005344, -0.6134396, 0.0062834, -0.0298513, 0.066999,
     1.0000, 0.044928, -0.245180, 0.173383, -0.454718, 0.406026, -0.449694, -0.491976},
    {"DH4", 0.6, -0.3, -90, 0, 0.0005, 0.1463859, -0.6403204, 0.0042079, -0.0145479, 0.034369,
     1.0000, 0.063640, -0.240966, 0.193276, -0.451888, 0.423793, -0.470663, -0.503106},
    {"HV1", 0.5, -0.5, 0, -90, 0.05, -0.8516231, 0.5105561, 0.1078522, 0.1659078, 0.210910, 0.5309,
     0.247461, 0.033355, 0.482355, -0.025597, 0.548874, -0.255464, -0.500000},
    {"HV2", 0.5, -0.5, 0, -90, 0.02, -0.3489308, 0.0083347, 0.0194005, 0.0821738, 0.199745, 0.5767,
     0.249179, 0.018786, 0.487742, -0.034058, 0.561441, -0.258715, -0.500000},
    {"HV3", 0.5, -0.5, 0, -90, 0.002, -0.0316735, -0.6171555, -0.0496647, -0.0432581, 0.040270,
     0.0000, 0.074417, -0.217070, 0.094221, -0.464448, 0.300143, -0.527915, -0.554165},
    {"AR1", 0.35, 0, 90, -90, 0.3, -5.9795731, -0.5000000, 0.4645560, 0.4645560, 0.155000, 0.5000,
     0.003558, 0.249124, 0.175000, 0.404243, 0.346442, 0.249124, 0.000000},
    {"AR2", 0.35, 0, 90, -90, 0.1, -2.0257084, -0.5000000, 0.1596407, 0.1596407, 0.155908, 0.5000,
     0.003188, 0.249111, 0.175000, 0.403865, 0.346812, 0.249111, 0.000000},
    {"AR3", 0.35, 0, 90, -90, 0.05, -1.0371176, -0.5000000, 0.0834967, 0.0834967, 0.157320, 0.5000,
     0.002618, 0.249090, 0.175000, 0.403281, 0.347382, 0.249090, 0.000000},
    {"CL1", 0, -0.4, 0, -180, 0.05, 0.2538805, 0.3351400, -0.0243315, 0.1066214, 0.165719, 0.5539,
     0.245729, -0.036158, 0.393734, -0.220750, 0.248891, -0.399838, -0.409480},
    {"CL2", 0, -0.4, 0, -180, 0.01, 0.2407529, -0.4067062, -0.0554578, 0.0685979, 0.127876, 0.6434,
     0.225695, -0.097861, 0.372517, -0.293770, 0.239566, -0.464700, -0.464713},
    {"CL3", 0, -0.4, 0, -180, 0.002, 0.1568109, -0.6547752, -0.0435349, 0.0393672, 0.045940, 0.0000,
     0.135767, -0.196580, 0.243146, -0.422260, 0.151886, -0.584222, -0.592504},
    {"PP1", 0.8, 0.1, k_pinned, k_pinned, 0.02, 0.1243985, -0.4622193, 0.0000000, 0.0000000,
     0.349050, 0.4695, 0.189391, -0.161695, 0.429845, -0.210502, 0.648742, -0.098208, -0.214205},
    {"PP2", 0.8, 0.1, k_pinned, k_pinned, 0.005, 0.2878679, -0.4441894, 0.0000000, 0.0000000,
     0.348782, 0.4480, 0.186860, -0.164222, 0.427746, -0.209944, 0.646334, -0.096336, -0.214519},
    {"PP3", 0.8, 0.1, k_pinned, k_pinned, 0.001, 0.3314204, -0.4401725, 0.0000000, 0.0000000,
     0.345985, 0.4402, 0.185325, -0.165536, 0.426467, -0.209438, 0.644977, -0.095156, -0.214576},
    {"CP1", 0.5, -0.2, -90, k_pinned, 0.02, -0.1814860, -0.5537650, -0.0075760, 0.0000000, 0.193684,
     0.5726, 0.011923, -0.249261, 0.145379, -0.450472, 0.377336, -0.414801, -0.472131},
    {"CP2", 0.5, -0.2, -90, k_pinned, 0.002, 0.0845535, -0.6000772, 0.0053896, 0.0000000, 0.161903,
     0.5998, 0.039921, -0.246165, 0.167093, -0.455372, 0.393704, -0.423672, -0.484637},
};
// Two stable shapes for one set of ends: the one of lower energy.
constexpr EndsRow k_lower_of_two = {"BI1",     0.5,        -0.5,       0,          -90,
                                    0.01,      -0.1722632, -0.1699588, -0.0135639, 0.0577887,
                                    0.167331,  -1.0,       0.249661,   -0.012500,  0.493543,
                                    -0.056525, 0.585755,   -0.267368,  -0.5};

void expect_ends(const EndsRow& r) {
  SCOPED_TRACE(r.id);
  constexpr Units u{900.0, 0.085};
  const double length = u.length_mm;
  const auto json = run_json(line(length, u.mass_kg_m, r.e * u.moment() * length / 1e6) +
                             fmt::format(" --dx={:.10g} --dz={:.10g}", r.d * length, r.h * length) +
                             angle("start-angle", r.theta_a) + angle("end-angle", r.theta_b));
  EXPECT_EQ(json["status"], "hangs");
  expect_near(json["horizontal_N"], u.force() * r.force, k_hang, u.force(), "H");
  expect_near(json["vertical_start_N"], u.force() * r.va, k_hang, u.force(), "V at the start");
  expect_near(json["vertical_end_N"], u.force() * (r.va + 1.0), k_hang, u.force(), "V at the end");
  expect_near(json["moment_start_Nmm"], u.moment() * r.ma, k_hang, u.moment(), "M at the start");
  expect_near(json["moment_end_Nmm"], u.moment() * r.mb, k_hang, u.moment(), "M at the end");
  expect_near(json["min_radius_mm"], length * r.radius, k_hang, 0.0, "radius");
  if (r.radius_at >= 0.0) {  // symmetric shapes reach it twice
    const double at = json["min_radius_at_mm"].get<double>() / length;
    EXPECT_LT(std::min(std::abs(at - r.radius_at), std::abs(1.0 - at - r.radius_at)), 2e-3);
  }
  expect_near(json["lowest_mm"][1], length * r.lowest, k_hang, length, "lowest");
  expect_point(json, 25, length * r.x1, length * r.y1, length);
  expect_point(json, 50, length * r.x2, length * r.y2, length);
  expect_point(json, 75, length * r.x3, length * r.y3, length);
  EXPECT_LT(json["residual"].get<double>(), 1e-7);
}

TEST(CalcHangStiff, AgreesWithThreeMethodsWhenBothEndsAreHeld) {
  for (const EndsRow& r : k_ends) expect_ends(r);
}

TEST(CalcHangStiff, TakesTheLowerOfTwoShapes) {
  expect_ends(k_lower_of_two);
}

/// In millimetres and newtons.
struct MadeRow {
  const char* id;
  double length, mass, stiffness, d, h, theta_a, theta_b, force, va, vb, ma, mb, radius;
  double x1, y1, x2, y2, x3, y3, lowest;
};
constexpr MadeRow k_made[] = {
    {"MM1",   900,        0.085,      0.012,     220,      60,        -90,
     90,      -0.3635275, -0.3656049, 0.3846038, -28.3791, -39.3667,  112.7302,
     -5.4643, -224.2572,  153.1770,   -344.8273, 251.6574, -162.4562, -348.8913},
    {"MM2",   650,        0.062,      0.006,     380,      -180,      -90,
     0,       -0.2734517, -0.0457880, 0.3494200, -17.9132, -53.2771,  112.6187,
     -7.0099, -162.0998,  83.4833,    -285.7679, 235.5707, -248.3351, -291.5265},
    {"MM3",    1400,       0.21,       0.05,      1100,      0,         0,
     0,        -0.3602202, -1.4415775, 1.4415775, -339.7417, -339.7417, 147.1706,
     263.5504, -210.5679,  550.0000,   -387.8301, 836.4496,  -210.5679, -387.8301},
    {"MM4",  700,        0.12,       0.2,       260,      0,        90,
     -90,    -7.6441422, -0.4118793, 0.4118793, 355.7948, 355.7948, 112.6616,
     6.8589, 174.1532,   130.0000,   280.2940,  253.1411, 174.1532, 0.0000},
};

TEST(CalcHangStiff, AgreesWithThreeMethodsInMillimetresAndNewtons) {
  for (const MadeRow& r : k_made) {
    SCOPED_TRACE(r.id);
    const Units u{r.length, r.mass};
    const auto json =
        run_json(line(r.length, r.mass, r.stiffness) + fmt::format(" --dx={} --dz={}", r.d, r.h) +
                 angle("start-angle", r.theta_a) + angle("end-angle", r.theta_b));
    expect_near(json["horizontal_N"], r.force, k_hang, u.force(), "H");
    expect_near(json["vertical_start_N"], r.va, k_hang, u.force(), "V at the start");
    expect_near(json["vertical_end_N"], r.vb, k_hang, u.force(), "V at the end");
    expect_near(json["moment_start_Nmm"], r.ma, k_hang, u.moment(), "M at the start");
    expect_near(json["moment_end_Nmm"], r.mb, k_hang, u.moment(), "M at the end");
    expect_near(json["min_radius_mm"], r.radius, k_hang, 0.0, "radius");
    expect_near(json["lowest_mm"][1], r.lowest, k_hang, r.length, "lowest");
    expect_point(json, 25, r.x1, r.y1, r.length);
    expect_point(json, 50, r.x2, r.y2, r.length);
    expect_point(json, 75, r.x3, r.y3, r.length);
  }
}

/// Over a floor with a tail free to slide: lengths in lambda = (EI/w)^(1/3), forces in w lambda.
struct FreeTailRow {
  const char* id;
  double height, theta_a, tail, touch_s, touch_x, moment, va, push, radius;
};
constexpr FreeTailRow k_free_tail[] = {
    {"TH1", 0.05, 0, 0, 1.3779163, 1.3766715, -0.3162278, -0.9188185, 0.4590979, 3.162278},
    {"TH2", 0.2, 0, 0, 1.9533151, 1.9392094, -0.6324555, -1.3045713, 0.6487438, 1.581139},
    {"TH3", 0.5, 0, 0, 2.4762797, 2.4058004, -1.0000000, -1.6628052, 0.8134745, 1.000000},
    {"TH4", 1, 0, 0, 3.0065110, 2.7665753, -1.4142136, -2.0463607, 0.9601502, 0.707107},
    {"TH5", 2, 0, 0, 3.8126880, 2.9846211, -2.0000000, -2.7008229, 1.1118652, 0.500000},
    {"TH6", 3, 0, 0, 4.6226622, 2.9282919, -2.4494897, -3.4451644, 1.1774978, 0.408248},
    {"TH7", 4, 0, 0, 5.5205032, 2.8066868, -2.8284271, -4.3224642, 1.1980391, 0.353553},
    {"TV1", 1, -90, 0, 1.9483136, 1.3999731, 1.0497773, -0.4489838, 1.4993297, 0.938541},
    {"TV2", 2, -90, 0, 3.1760798, 1.8976136, 0.2871532, -1.9587715, 1.2173083, 1.370987},
    {"TV3", 3, -90, 0, 4.2012075, 2.0142571, 0.0646168, -2.9979123, 1.2032951, 1.401644},
    {"TV4", 5, -90, 0, 6.2027014, 2.0365318, 0.0013747, -4.9999991, 1.2027023, 1.402966},
    {"TF1", 1, 0, -180, 1.9203072, -0.2807869, -1.4142136, 1.2465840, 3.1668912, 0.440230},
    {"TF2", 2, 0, -180, 3.3623699, -0.7685316, -2.0000000, -1.9448310, 1.4175389, 0.500000},
    {"TF3", 3, 0, -180, 4.4874804, -1.0813577, -2.4494897, -3.2514286, 1.2360518, 0.408248},
    {"TF4", 4, 0, -180, 5.4921728, -1.2586073, -2.8284271, -4.2844994, 1.2076733, 0.353553},
};

TEST(CalcHangOverFloor, AgreesWithThreeMethodsForAFreeTail) {
  constexpr Units u{80.0, 0.12};  // lambda for the length
  const double lambda = u.length_mm;
  const double stiffness = u.moment() * lambda / 1e6;
  for (const FreeTailRow& r : k_free_tail) {
    for (const double tail : {2.0, 10.0}) {
      SCOPED_TRACE(fmt::format("{}, tail {}", r.id, tail));
      const double length = lambda * (r.touch_s + tail);
      const auto json = run_json(line(length, u.mass_kg_m, stiffness) +
                                 fmt::format(" --free-end --floor={:.10g}", lambda * r.height) +
                                 angle("start-angle", r.theta_a) + angle("end-angle", r.tail));
      EXPECT_EQ(json["status"], "touches the floor");
      expect_near(json["touchdown_at_mm"], lambda * r.touch_s, k_floor, 0.0, "touchdown");
      expect_near(json["lying_mm"], lambda * tail, k_floor, 0.0, "lying");
      expect_near(json["moment_start_Nmm"], u.moment() * r.moment, k_floor, u.moment(), "M");
      expect_near(json["vertical_start_N"], u.force() * r.va, k_floor, 0.0, "V");
      expect_near(json["horizontal_N"], 0.0, k_floor, u.force(), "H");
      expect_near(json["min_radius_mm"], lambda * r.radius, k_floor, 0.0, "radius");
      expect_near(json["touches"][0]["from_x_mm"], lambda * r.touch_x, k_floor, 0.0, "x");
      expect_near(json["touches"][0]["push_from_N"], u.force() * r.push, k_floor, 0.0, "P");
      expect_near(json["floor_force_N"], u.force() * (r.push + tail), k_floor, 0.0, "floor");
      expect_near(json["lowest_mm"][1], -lambda * r.height, k_floor, 0.0, "lowest");
      const double to_x = r.touch_x + (r.tail == 0.0 ? tail : -tail);
      expect_near(json["tip_mm"][0], lambda * to_x, k_floor, lambda, "tip");
    }
  }
}

/// Far end held on the floor.
struct HeldRow {
  const char* id;
  double height, theta_a, tail, length, x, mass, stiffness, h, va, moment, push, touch_s, touch_x,
      lying, radius;
};
constexpr HeldRow k_held[] = {
    {"TX1", 300, 0, 0, 900, 812, 0.1, 0.01, 0.1085761, -0.5463533, -76.7072, 0.1931320, 754.0651,
     666.0651, 145.9349, 130.366},
    {"TX2", 300, 0, 0, 900, 780, 0.1, 0.01, -0.4805863, -0.1638739, -76.7072, 0.4211672, 596.5759,
     476.5759, 303.4241, 130.366},
    {"TX3", 400, -90, 0, 1000, 790, 0.1, 0.01, 0.2509889, -0.5519661, 42.7291, 0.1765114, 742.8403,
     532.8403, 257.1597, 234.032},
    {"TX4", 160, 0, -180, 900, -640, 0.1, 0.01, -0.0921974, 0.7295088, -82.6198, 1.0368551,
     313.4060, -53.4060, 586.5940, 69.476},
};

TEST(CalcHangOverFloor, AgreesWithThreeMethodsForAnEndHeldOnTheFloor) {
  for (const HeldRow& r : k_held) {
    SCOPED_TRACE(r.id);
    const auto json =
        run_json(line(r.length, r.mass, r.stiffness) +
                 fmt::format(" --dx={} --dz={} --floor={}", r.x, -r.height, r.height) +
                 angle("start-angle", r.theta_a) + angle("end-angle", r.tail));
    EXPECT_EQ(json["status"], "touches the floor");
    expect_near(json["horizontal_N"], r.h, k_floor, 0.0, "H");
    expect_near(json["vertical_start_N"], r.va, k_floor, 0.0, "V");
    expect_near(json["moment_start_Nmm"], r.moment, k_floor, 0.0, "M");
    expect_near(json["min_radius_mm"], r.radius, k_floor, 0.0, "radius");
    expect_near(json["touchdown_at_mm"], r.touch_s, k_floor, 0.0, "touchdown");
    expect_near(json["lying_mm"], r.lying, k_floor, 0.0, "lying");
    expect_near(json["touches"][0]["from_x_mm"], r.touch_x, k_floor, 0.0, "x");
    expect_near(json["touches"][0]["push_from_N"], r.push, k_floor, 0.0, "P");
  }
}

/// Both ends above the floor, a flat piece between.
struct BothRow {
  const char* id;
  double height_a, theta_a, height_b, theta_b, dx, length, mass, stiffness, h, lying, hanging_a,
      touch_a, hanging_b, touch_b, va, vb, ma, mb, pa, pb, radius_a, radius_b;
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

TEST(CalcHangOverFloor, AgreesWithThreeMethodsForTwoRaisedEnds) {
  for (const BothRow& r : k_both) {
    SCOPED_TRACE(r.id);
    const auto json = run_json(
        line(r.length, r.mass, r.stiffness) +
        fmt::format(" --dx={} --dz={} --floor={}", r.dx, r.height_b - r.height_a, r.height_a) +
        angle("start-angle", r.theta_a) + angle("end-angle", r.theta_b));
    expect_near(json["horizontal_N"], r.h, k_floor, 0.0, "H");
    expect_near(json["vertical_start_N"], r.va, k_floor, 0.0, "V at the start");
    expect_near(json["vertical_end_N"], r.vb, k_floor, 0.0, "V at the end");
    expect_near(json["moment_start_Nmm"], r.ma, k_floor, 0.0, "M at the start");
    expect_near(json["moment_end_Nmm"], r.mb, k_floor, 0.0, "M at the end");
    expect_near(json["min_radius_mm"], std::min(r.radius_a, r.radius_b), k_floor, 0.0, "radius");
    expect_near(json["touchdown_at_mm"], r.hanging_a, k_floor, 0.0, "touchdown");
    expect_near(json["lying_mm"], r.lying, k_floor, 0.0, "lying");
    const auto& touch = json["touches"][0];
    expect_near(touch["to_mm"], r.length - r.hanging_b, k_floor, 0.0, "rises");
    expect_near(touch["from_x_mm"], r.touch_a, k_floor, 0.0, "x of the touchdown");
    expect_near(touch["to_x_mm"], r.touch_b, k_floor, 0.0, "x where it rises");
    expect_near(touch["push_from_N"], r.pa, k_floor, 0.0, "P of the touchdown");
    expect_near(touch["push_to_N"], r.pb, k_floor, 0.0, "P where it rises");
    const double lying = Units{r.lying, r.mass}.force();
    expect_near(json["floor_force_N"], r.pa + r.pb + lying, k_floor, 0.0, "floor");
  }
}

/// A symmetric loop, clamped upright at both ends, that touches the floor in one point.
struct PointRow {
  const char* id;
  double height, dx, length, mass, stiffness, push, h, va, moment, radius, x1, y1;
};
constexpr PointRow k_point[] = {
    {"PC1", 330, 260, 900, 0.1, 0.02, 2.9522962, -0.9960743, 1.0348488, -121.5220, 118.3241,
     -40.6816, 110.5339},
    {"PC2", 330, 400, 900, 0.1, 0.004, 0.4377800, -0.1082264, -0.2224092, -4.9481, 161.7688,
     18.8626, 107.5844},
};

TEST(CalcHangOverFloor, AgreesWithThreeMethodsForOnePoint) {
  for (const PointRow& r : k_point) {
    SCOPED_TRACE(r.id);
    const auto json = run_json(line(r.length, r.mass, r.stiffness) +
                               fmt::format(" --dx={} --dz=0 --floor={}", r.dx, r.height) +
                               " --start-angle=-90 --end-angle=90");
    EXPECT_EQ(json["status"], "touches the floor");
    expect_near(json["horizontal_N"], r.h, k_floor, 0.0, "H");
    expect_near(json["vertical_start_N"], r.va, k_floor, 0.0, "V");
    expect_near(json["moment_start_Nmm"], r.moment, k_floor, 0.0, "M");
    expect_near(json["min_radius_mm"], r.radius, k_floor, 0.0, "radius");
    expect_near(json["touchdown_at_mm"], 0.5 * r.length, k_floor, 0.0, "touchdown");
    EXPECT_EQ(json["lying_mm"], 0.0);
    expect_near(json["floor_force_N"], r.push, k_floor, 0.0, "P");
    expect_point(json, 25, r.x1, r.y1 - r.height, r.length);
  }
}

TEST(CalcHangOverFloor, ClearOfTheFloorItIsTheSameAsWithout) {
  const std::string loop =
      line(900.0, 0.1, 0.02) + " --dx=260 --dz=0 --start-angle=-90 --end-angle=90";
  const auto over = run_json(loop + " --floor=380");
  EXPECT_EQ(over["status"], "hangs");
  EXPECT_EQ(over["lying_mm"], 0.0);
  EXPECT_EQ(over["floor_force_N"], 0.0);
  EXPECT_FALSE(over.contains("touchdown_at_mm"));
  const auto without = run_json(loop);
  EXPECT_EQ(over["min_radius_mm"], without["min_radius_mm"]);
  EXPECT_NEAR(without["lowest_mm"][1].get<double>(), -374.0983, 0.02);  // three methods
}

// Greenhill 1881: a column clamped at its foot stands up to w L^3 / EI = 7.8373.
TEST(CalcHangStiff, AColumnStandsUntilItBucklesUnderItsOwnWeight) {
  constexpr Units u{900.0, 0.1};
  const auto column = [&](double k) {
    return run_json(line(u.length_mm, u.mass_kg_m, u.moment() * u.length_mm / 1e6 / k) +
                    " --free-end --start-angle=90");
  };
  const auto below = column(7.83);
  EXPECT_NEAR(below["tip_mm"][1].get<double>(), 900.0, 1e-6);
  EXPECT_TRUE(below["min_radius_mm"].is_null());  // straight
  const auto above = column(8.2);
  EXPECT_LT(above["tip_mm"][1].get<double>(), 880.0);
  EXPECT_GT(std::abs(above["tip_mm"][0].get<double>()), 200.0);
}

TEST(CalcHangStiff, WithoutAShapeGivesNoFigures) {
  const auto taut = run_json(line(500.0, 0.1, 0.01) + " --dx=300 --dz=-410", 1);
  EXPECT_EQ(taut["status"], "too short");
  EXPECT_NEAR(taut["short_by_mm"].get<double>(), std::hypot(300.0, 410.0) - 500.0, 1e-9);
  // More line than hangs and lies between its ends heaps up.
  const std::string heap = line(3000.0, 0.1, 0.001) + " --dx=1000 --dz=0 --floor=300" +
                           " --start-angle=-90 --end-angle=90";
  const auto heaped = run_json(heap, 1);
  EXPECT_TRUE(heaped["status"] == "unstable" || heaped["status"] == "not converged")
      << heaped["status"];
  for (const char* key : {"min_radius_mm", "moment_start_Nmm", "horizontal_N", "points_mm"}) {
    EXPECT_FALSE(taut.contains(key)) << key;
    EXPECT_FALSE(heaped.contains(key)) << key;
  }
  const Output text = run_bight(heap);
  EXPECT_EQ(text.exit_code, 1);
  EXPECT_NE(text.out.find("heaps up"), std::string::npos) << text.out;
}

TEST(CalcHangStiff, SaysWhichOptionsDoNotGoTogether) {
  const struct {
    const char* arguments;
    const char* says;
  } wrong[] = {
      {"--dx 300 --dz 0 --length 400 --mass 0.1 --start-angle 0", "--stiffness"},
      {"--dx 300 --dz 0 --length 400 --mass 0.1 --floor 100", "--stiffness"},
      {"--length 400 --mass 0.1 --free-end", "--stiffness"},
      {"--dx 300 --length 400 --mass 0.1 --stiffness 0.1 --free-end", "--free-end"},
      {"--length 400 --mass 0.1 --stiffness 0.1", "--dx"},
      {"--length 400 --mass 0.1 --stiffness 0.1 --free-end --end-angle 0", "--end-angle"},
      {"--length 400 --mass 0.1 --stiffness 0.1 --free-end --floor 90 --end-angle 90", "180"},
      {"--dx 300 --dz -200 --length 400 --mass 0.1 --stiffness 0.1 --floor 100", "below the floor"},
      {"--dx 300 --dz 0 --length 400 --mass 0.1 --stiffness -1", "stiffness"},
      {"--dx 300 --dz 0 --length 400 --mass 0.1 --stiffness nan", "stiffness"},
      {"--dx 300 --dz 0 --length 400 --mass 0 --stiffness 0", "stiffness"},
  };
  for (const auto& w : wrong) {
    const Output output = run_bight(std::string("calc hang ") + w.arguments);
    EXPECT_EQ(output.exit_code, 2) << w.arguments;
    EXPECT_NE(output.err.find(w.says), std::string::npos) << w.arguments << "\n" << output.err;
    EXPECT_TRUE(output.out.empty()) << output.out;
  }
}

TEST(CalcDroop, FindsTheStiffnessOfTheHeavyElastica) {
  constexpr Units u{400.0, 0.3};
  for (const CantileverRow& r : k_cantilevers) {
    if (r.alpha != 0.0) continue;
    SCOPED_TRACE(r.k);
    const auto json = run_json(
        fmt::format("calc droop --overhang 400 --mass 0.3 --droop {:.10g}", -400.0 * r.y_tip));
    const double expected = u.moment() * u.length_mm / 1e6 / r.k;
    EXPECT_EQ(json["status"], "solved");
    expect_near(json["stiffness_Nm2"], expected, 1e-4, 0.0, "EI");
  }
}

TEST(CalcDroop, GivesBackTheStiffnessOfALineThatHangsFromAnEdge) {
  for (const double stiffness : {0.004, 0.02, 0.1}) {
    const auto hang = run_json(line(500.0, 0.11, stiffness) + " --free-end --start-angle=0");
    const double droop = -hang["tip_mm"][1].get<double>();
    const auto test = [&](double read) {
      return run_json(fmt::format("calc droop --overhang 500 --mass 0.11 --droop {:.12g}", read));
    };
    const auto json = test(droop);
    expect_near(json["stiffness_Nm2"], stiffness, 1e-4, 0.0, "EI");
    // The bounds are the stiffnesses of a droop read 5 mm more and less.
    expect_near(json["stiffness_low_Nm2"], test(droop + 5.0)["stiffness_Nm2"], 1e-9, 0.0, "low");
    expect_near(json["stiffness_high_Nm2"], test(droop - 5.0)["stiffness_Nm2"], 1e-9, 0.0, "high");
    EXPECT_LT(json["stiffness_low_Nm2"], stiffness);
    EXPECT_GT(json["stiffness_high_Nm2"], stiffness);
  }
}

TEST(CalcDroop, SaysWhatTellsNothing) {
  EXPECT_EQ(run_json("calc droop --overhang 400 --droop 0.2 --mass 0.1", 1)["status"], "too stiff");
  EXPECT_EQ(run_json("calc droop --overhang 400 --droop 399 --mass 0.1", 1)["status"], "too limp");
  EXPECT_EQ(run_bight("calc droop --overhang 400 --droop -1 --mass 0.1").exit_code, 2);
  // A droop that may have been none bounds the stiffness on one side only.
  const auto slight = run_json("calc droop --overhang 400 --droop 4 --mass 0.1");
  EXPECT_TRUE(slight["stiffness_low_Nm2"].is_number());
  EXPECT_TRUE(slight["stiffness_high_Nm2"].is_null());
}

}  // namespace
}  // namespace bight::cli
