#include "rod/banded.h"

#include "base/check.h"

#include <utility>

namespace bight::rod {

void BandedSymmetric::clear() {
  for (Column& c : columns_) c.fill(0.0);
}

void BandedSymmetric::add_block(std::size_t row, std::size_t column, const Mat3& block) {
  for (std::size_t c = 0; c < 3; ++c) {
    const std::size_t first = row == column ? c : 0;
    double* entries = columns_[column + c].data() + (row + first - column - c);
    const Vec3& from = block[static_cast<int>(c)];
    for (std::size_t r = first; r < 3; ++r) entries[r - first] += from[static_cast<int>(r)];
  }
}

namespace {

constexpr std::size_t k_width = BandedSymmetric::k_half_width;

/// target[s] -= factor source[s] for s < Count; a count known at compile time becomes straight
/// code.
template <std::size_t Count>
inline void subtract(double* target, double factor, const double* source) {
  for (std::size_t s = 0; s < Count; ++s) target[s] -= factor * source[s];
}

/// All columns that the pivot's reaches: column r gets k_width - r + 1 entries.
template <class Column, std::size_t... R>
inline void eliminate(Column* columns, const Column& pivot, const Column& scaled,
                      std::index_sequence<R...>) {
  (subtract<k_width - R>(columns[R + 1].data(), pivot[R + 1], scaled.data() + R + 1), ...);
}

/// Sum of a[i] b[i] in a fixed order of two partial sums, which run side by side.
inline double dot(const double* a, const double* b) {
  double even = 0.0;
  double odd = 0.0;
  for (std::size_t i = 0; i < k_width; i += 2) {
    even += a[i] * b[i];
    odd += a[i + 1] * b[i + 1];
  }
  return even + odd;
}
static_assert(k_width % 2 == 0);

}  // namespace

std::size_t BandedSymmetric::factor() {
  std::size_t negative = 0;
  for (std::size_t k = 0; k < size_; ++k) {
    Column& pivot = columns_[k];
    negative += pivot[0] < 0.0 ? 1 : 0;
    const double inverse = 1.0 / pivot[0];
    Column scaled{};
    for (std::size_t i = 1; i <= k_width; ++i) scaled[i] = pivot[i] * inverse;
    eliminate(columns_.data() + k, pivot, scaled, std::make_index_sequence<k_width>());
    scaled[0] = inverse;
    pivot = scaled;
  }
  return negative;
}

void BandedSymmetric::solve(std::span<double> b) const {
  BIGHT_CHECK(b.size() == size_);
  // The last rows run short of the band: there the loops end with the vector.
  const std::size_t whole = size_ > k_width ? size_ - k_width : 0;
  for (std::size_t k = 0; k < whole; ++k) {
    subtract<k_width>(b.data() + k + 1, b[k], columns_[k].data() + 1);
  }
  for (std::size_t k = whole; k < size_; ++k) {
    for (std::size_t i = 1; k + i < size_; ++i) b[k + i] -= columns_[k][i] * b[k];
  }
  for (std::size_t k = size_; k-- > whole;) {
    double value = b[k] * columns_[k][0];
    for (std::size_t i = 1; k + i < size_; ++i) value -= columns_[k][i] * b[k + i];
    b[k] = value;
  }
  for (std::size_t k = whole; k-- > 0;) {
    b[k] = b[k] * columns_[k][0] - dot(columns_[k].data() + 1, b.data() + k + 1);
  }
}

}  // namespace bight::rod
