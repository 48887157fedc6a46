// How the answers of planar and spatial rods tend to the true ones as links get shorter: the table
// of docs/models.md, computed here.

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "rod/planar_rod.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

// A hanging loop of 900 mm, 0.085 kg/m, 0.012 N m2, ends 220 mm apart and 60 mm up, clamped
// upright. Collocation, shooting and the energy of up to 1920 links agree to 8e-10 of length and
// weight on: H -0.3635275 N, smallest radius 112.7302 mm, lowest point -348.8913 mm.
constexpr double k_force_N = -0.3635275;
constexpr double k_radius_mm = 112.7302;
constexpr double k_lowest_mm = -348.8913;

struct Errors {
  double force, radius, lowest;
};

Errors planar(int links) {
  PlanarRodSolver solver(links);
  const bool converged = solver
                             .solve_cold({.length_mm = 900.0,
                                          .mass_kg_m = 0.085,
                                          .stiffness_Nm2 = 0.012,
                                          .end = {220.0, 60.0},
                                          .at_start = {EndKind::clamped, -90.0},
                                          .at_end = {EndKind::clamped, 90.0}})
                             .converged();
  EXPECT_TRUE(converged);
  const PlanarRodFigures f = solver.figures();
  return {f.horizontal_force_N - k_force_N, f.smallest_radius_mm - k_radius_mm,
          f.lowest.y - k_lowest_mm};
}

Errors spatial(int links) {
  SpatialRodProblem p{.length_mm = 900.0, .mass_kg_m = 0.085, .stiffness_Nm2 = 0.012};
  p.end = {220.0, 0.0, 60.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_tangent = Vec3(0.0, 0.0, 1.0);
  SpatialRodSolver solver(links);
  EXPECT_TRUE(solver.solve_cold(p).converged());
  const SpatialRodFigures f = solver.figures();
  return {f.end_force_N.x - k_force_N, f.smallest_radius_mm - k_radius_mm,
          f.lowest.z - k_lowest_mm};
}

double order(double coarse, double fine) {
  return std::log2(std::abs(coarse / fine));
}

TEST(Refinement, IsOfSecondOrderAndPrintsTheTableOfTheModels) {
  std::ifstream file(BIGHT_SOURCE_DIR "/docs/models.md");
  std::stringstream models;
  models << file.rdbuf();
  std::vector<std::string> rows;
  Errors before_planar{};
  Errors before_spatial{};
  for (const int links : {32, 64, 128, 256, 512}) {
    const Errors a = planar(links);
    const Errors b = spatial(links);
    std::array<char, 200> row{};
    std::snprintf(row.data(), row.size(), "| %d | %.1e | %.3f | %.3f | %.1e | %.3f | %.3f |", links,
                  std::abs(a.force), std::abs(a.radius), std::abs(a.lowest), std::abs(b.force),
                  std::abs(b.radius), std::abs(b.lowest));
    rows.push_back(row.data());
    if (links > 64) {  // the lowest joint of the spatial rod is off the lowest point by chance
      for (const auto& [coarse, fine] :
           {std::pair{before_planar.force, a.force}, std::pair{before_planar.radius, a.radius},
            std::pair{before_planar.lowest, a.lowest}, std::pair{before_spatial.force, b.force}}) {
        EXPECT_NEAR(order(coarse, fine), 2.0, 0.15) << links;
      }
      EXPECT_LT(std::abs(b.radius), 0.5 * std::abs(before_spatial.radius)) << links;
    }
    before_planar = a;
    before_spatial = b;
  }
  for (const std::string& row : rows) {
    EXPECT_NE(models.str().find(row), std::string::npos) << "docs/models.md lacks: " << row;
  }
}

}  // namespace
}  // namespace bight::rod
