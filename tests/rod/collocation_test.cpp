// Forty random rods against an independent solver: collocation by SciPy's solve_bvp, run by
// collocation_rods.py as part of this test. Pinned, clamped and mixed ends, natural curvature, from
// stiff to slack.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "base/tolerance.h"
#include "rod/rod.h"

namespace bight::rod {
namespace {

std::vector<PlanarRodProblem> random_rods(int count) {
  std::mt19937 random(20240611);
  // Drawn by hand from the generator's bits, whose sequence the standard fixes.
  const auto draw = [&random](double low, double high) {
    return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
  };
  std::vector<PlanarRodProblem> rods;
  for (int i = 0; i < count; ++i) {
    PlanarRodProblem p;
    p.length_mm = draw(500.0, 1500.0);
    p.mass_kg_m = draw(0.05, 0.3);
    const double w = p.mass_kg_m * k_gravity / 1000.0;
    const double e = std::pow(10.0, draw(-3.0, 0.3));  // EI / (w L^3)
    p.stiffness_Nm2 = e * w * std::pow(p.length_mm, 3) / 1e6;
    const double reach = draw(0.15, 0.85) * p.length_mm;
    const double slope = draw(-0.8, 0.8);
    p.end = {reach * std::cos(slope), reach * std::sin(slope)};
    const int ends = i % 4;
    if (ends == 1 || ends == 2) p.at_start = {EndKind::clamped, draw(-100.0, 20.0)};
    if (ends == 2 || ends == 3) p.at_end = {EndKind::clamped, draw(-20.0, 100.0)};
    if (i % 5 == 4) p.natural_curvature_per_m = draw(-1.0, 1.0);
    rods.push_back(p);
  }
  return rods;
}

std::string line_of(const PlanarRodProblem& p) {
  std::ostringstream line;
  line.precision(17);
  const auto angle = [](const PlanarEnd& end) {
    std::ostringstream text;
    text.precision(17);
    if (end.kind == EndKind::clamped) text << end.angle_deg;
    return end.kind == EndKind::clamped ? text.str() : std::string("-");
  };
  line << p.end.x << ' ' << p.end.y << ' ' << p.length_mm << ' ' << p.mass_kg_m << ' '
       << p.stiffness_Nm2 << ' ' << angle(p.at_start) << ' ' << angle(p.at_end) << ' '
       << p.natural_curvature_per_m << '\n';
  return line.str();
}

struct Collocated {
  double energy, horizontal, vertical_start, moment_start, moment_end, lowest, radius;
};

/// All solutions of each rod.
std::vector<std::vector<Collocated>> collocate(const std::vector<PlanarRodProblem>& rods) {
  const std::filesystem::path file =
      std::filesystem::path(testing::TempDir()) /
      ("collocation_rods_" + std::to_string(std::random_device{}()) + ".txt");
  {
    std::ofstream out(file);
    for (const PlanarRodProblem& p : rods) out << line_of(p);
  }
  const std::string command = "OPENBLAS_NUM_THREADS=1 /usr/bin/python3 " BIGHT_SOURCE_DIR
                              "/tests/rod/collocation_rods.py < " +
                              file.string();
  std::vector<std::vector<Collocated>> all(rods.size());
  FILE* pipe = popen(command.c_str(), "r");
  EXPECT_NE(pipe, nullptr);
  std::size_t rod = 0;
  Collocated c{};
  while (pipe != nullptr && std::fscanf(pipe, "%zu %lf %lf %lf %lf %lf %lf %lf", &rod, &c.energy,
                                        &c.horizontal, &c.vertical_start, &c.moment_start,
                                        &c.moment_end, &c.lowest, &c.radius) == 8) {
    all.at(rod).push_back(c);
  }
  EXPECT_EQ(pclose(pipe), 0) << "python3 with scipy is needed";
  std::filesystem::remove(file);
  return all;
}

// Collocation finds equilibria, stable or not, from up to eight starts. Ours of lowest energy must
// be among them with all its figures, and none of them may be lower by more than the tolerance.
TEST(Collocation, FortyRandomRodsAgree) {
  const std::vector<PlanarRodProblem> rods = random_rods(40);
  const auto all = collocate(rods);
  int compared = 0;
  for (std::size_t i = 0; i < rods.size(); ++i) {
    const PlanarRodProblem& p = rods[i];
    SCOPED_TRACE("rod " + std::to_string(i) + ": " + line_of(p));
    const RodResult ours =
        solve_rod(p, {.shape = ShapeChoice::lowest, .change = 5e-4, .first_segments = 128});
    ASSERT_TRUE(ours.converged());
    const double length = p.length_mm;
    const double weight = p.mass_kg_m * k_gravity * length / 1000.0;
    const PlanarRodFigures& f = ours.figures;
    ASSERT_FALSE(all[i].empty());
    const Collocated* nearest = &all[i].front();
    for (const Collocated& c : all[i]) {
      EXPECT_GT(c.energy, f.energy_Nmm - 2e-4 * weight * length);
      if (std::abs(c.energy - f.energy_Nmm) < std::abs(nearest->energy - f.energy_Nmm))
        nearest = &c;
    }
    constexpr double k_share = 2e-4;  // of the weight, the length
    EXPECT_NEAR(f.energy_Nmm, nearest->energy, k_share * weight * length);
    const double size = std::max(weight, std::hypot(nearest->horizontal, nearest->vertical_start));
    EXPECT_NEAR(f.horizontal_force_N, nearest->horizontal, k_share * size);
    EXPECT_NEAR(f.vertical_start_N, nearest->vertical_start, k_share * size);
    EXPECT_NEAR(f.moment_start_Nmm, nearest->moment_start, k_share * size * length);
    EXPECT_NEAR(f.moment_end_Nmm, nearest->moment_end, k_share * size * length);
    EXPECT_NEAR(f.lowest.y, nearest->lowest, k_share * length);
    EXPECT_NEAR(length / f.smallest_radius_mm, length / nearest->radius,
                2e-3 * length / nearest->radius);
    ++compared;
  }
  EXPECT_EQ(compared, 40);
}

}  // namespace
}  // namespace bight::rod
