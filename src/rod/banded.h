#pragma once
// Symmetric banded matrices, factored as L D L^T without pivoting. For the spatial rod's equations,
// where the unknowns of a node are followed by the multiplier of the link that ends there: every
// leading block is then regular as long as the shape is stable, and the signs of D count
// eigenvalues (Sylvester's law of inertia).

#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "base/vec.h"

namespace bight::rod {

class BandedSymmetric {
 public:
  /// Entries more than this far from the diagonal are zero: a node couples with the second next.
  static constexpr std::size_t k_half_width = 10;

  explicit BandedSymmetric(std::size_t size) : columns_(size + k_half_width), size_(size) {}

  std::size_t size() const { return size_; }
  void clear();

  /// Adds to the entry (row, column) of the lower triangle: row >= column.
  void add(std::size_t row, std::size_t column, double value) {
    columns_[column][row - column] += value;
  }

  /// Adds a 3 x 3 block whose first entry is (row, column), row >= column + 3; or, when row =
  /// column, its lower triangle.
  void add_block(std::size_t row, std::size_t column, const Mat3& block);

  /// Replaces the matrix by its factors; returns the number of negative pivots. A pivot of 0 makes
  /// the rest infinite, which solve() passes on.
  std::size_t factor();

  /// Solves in place with the factors.
  void solve(std::span<double> right_hand_side) const;

 private:
  /// Column c: entries (c, c) to (c + k_half_width, c); padded so that updates have one length.
  using Column = std::array<double, k_half_width + 2>;
  std::vector<Column> columns_;  ///< k_half_width empty ones beyond the end spare all range checks
  std::size_t size_;
};

}  // namespace bight::rod
