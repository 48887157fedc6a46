#include "rod/banded.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace bight::rod {
namespace {

TEST(BandedSymmetric, SolvesWhatADenseProductMade) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> any(-1.0, 1.0);
  for (std::size_t n : {1U, 5U, 11U, 40U}) {
    BandedSymmetric matrix(n);
    std::vector<std::vector<double>> dense(n, std::vector<double>(n, 0.0));
    for (std::size_t r = 0; r < n; ++r) {
      for (std::size_t c = r > 10 ? r - 10 : 0; c <= r; ++c) {
        const double value = r == c ? 25.0 + any(random) : any(random);
        matrix.add(r, c, value);
        dense[r][c] = dense[c][r] = value;
      }
    }
    std::vector<double> x(n);
    for (double& v : x) v = any(random);
    std::vector<double> b(n, 0.0);
    for (std::size_t r = 0; r < n; ++r) {
      for (std::size_t c = 0; c < n; ++c) b[r] += dense[r][c] * x[c];
    }
    EXPECT_EQ(matrix.factor(), 0U);
    matrix.solve(b);
    for (std::size_t r = 0; r < n; ++r) EXPECT_NEAR(b[r], x[r], 1e-13);
  }
}

// -1, 2, -1 has the eigenvalues 2 - 2 cos(k pi / (n + 1)); a shift makes a known number negative.
TEST(BandedSymmetric, CountsNegativeEigenvalues) {
  constexpr std::size_t n = 20;
  for (double shift : {0.1, 0.5, 1.3, 2.9}) {
    BandedSymmetric matrix(n);
    std::size_t negative = 0;
    for (std::size_t r = 0; r < n; ++r) {
      matrix.add(r, r, 2.0 - shift);
      if (r > 0) matrix.add(r, r - 1, -1.0);
      const double eigenvalue =
          2.0 - 2.0 * std::cos(static_cast<double>(r + 1) * std::acos(-1.0) / (n + 1.0));
      negative += eigenvalue < shift ? 1 : 0;
    }
    EXPECT_EQ(matrix.factor(), negative) << shift;
  }
}

}  // namespace
}  // namespace bight::rod
