#include "rod/banded.h"

#include "base/check.h"

namespace bight::rod {

void BandedSymmetric::clear() {
  for (Column& c : columns_) c.fill(0.0);
}

std::size_t BandedSymmetric::factor() {
  std::size_t negative = 0;
  for (std::size_t k = 0; k < size_; ++k) {
    Column& pivot = columns_[k];
    negative += pivot[0] < 0.0 ? 1 : 0;
    const double inverse = 1.0 / pivot[0];
    Column scaled{};
    for (std::size_t i = 1; i <= k_half_width; ++i) scaled[i] = pivot[i] * inverse;
    for (std::size_t r = 1; r <= k_half_width; ++r) {
      double* target = columns_[k + r].data();
      const double factor = pivot[r];
      const double* source = scaled.data() + r;
      for (std::size_t s = 0; s <= k_half_width - r; ++s) target[s] -= factor * source[s];
    }
    for (std::size_t i = 1; i <= k_half_width; ++i) pivot[i] = scaled[i];
    pivot[0] = inverse;
  }
  return negative;
}

void BandedSymmetric::solve(std::span<double> b) const {
  BIGHT_CHECK(b.size() == size_);
  // The last k_half_width rows run short of the band: their columns hold zeros there, but b does
  // not.
  for (std::size_t k = 0; k < size_; ++k) {
    const std::size_t reach = size_ - k - 1 < k_half_width ? size_ - k - 1 : k_half_width;
    const double value = b[k];
    for (std::size_t i = 1; i <= reach; ++i) b[k + i] -= columns_[k][i] * value;
  }
  for (std::size_t k = size_; k-- > 0;) {
    const std::size_t reach = size_ - k - 1 < k_half_width ? size_ - k - 1 : k_half_width;
    double value = b[k] * columns_[k][0];
    for (std::size_t i = 1; i <= reach; ++i) value -= columns_[k][i] * b[k + i];
    b[k] = value;
  }
}

}  // namespace bight::rod
