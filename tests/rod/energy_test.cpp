#include "rod/energy.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace bight::rod {
namespace {

TEST(BendTerm, IsTheDiscreteCurvatureOfTwoEqualLinks) {
  constexpr double k_stiffness = 0.7;
  constexpr double l = 0.2;
  for (double turn : {0.01, 0.5, 1.5, 3.0}) {
    const double square = 2.0 * l * l * (1.0 - std::cos(turn));  // |e1 - e0|^2
    const double curvature = 2.0 * std::tan(0.5 * turn);
    EXPECT_NEAR(bend_term(k_stiffness, l, square).energy,
                k_stiffness / (2.0 * l) * curvature * curvature, 1e-12 * curvature * curvature);
  }
  EXPECT_TRUE(std::isinf(bend_term(k_stiffness, l, 4.0 * l * l).energy));  // folded back
}

TEST(BendTerm, HasTheGradientAndHessianOfItsDifferences) {
  std::mt19937 random(4);
  std::uniform_real_distribution<double> any(-0.1, 0.1);
  constexpr double l = 0.2;
  const auto energy = [&](const Vec3& d) { return bend_term(0.7, l, glm::dot(d, d)).energy; };
  for (int i = 0; i < 50; ++i) {
    const Vec3 d(any(random), any(random), any(random));
    const BendTerm t = bend_term(0.7, l, glm::dot(d, d));
    constexpr double k_step = 1e-4;
    for (int r = 0; r < 3; ++r) {
      Vec3 u(0.0);
      u[r] = k_step;
      EXPECT_NEAR((energy(d + u) - energy(d - u)) / (2.0 * k_step), t.slope * d[r], 2e-4);
      for (int c = 0; c < 3; ++c) {
        Vec3 v(0.0);
        v[c] = k_step;
        const double second =
            (energy(d + u + v) - energy(d + u - v) - energy(d - u + v) + energy(d - u - v)) /
            (4.0 * k_step * k_step);
        const double exact = (r == c ? t.slope : 0.0) + t.bend * d[r] * d[c];
        EXPECT_NEAR(second, exact, 1e-4 * (t.slope + t.bend * l * l));
      }
    }
  }
}

}  // namespace
}  // namespace bight::rod
