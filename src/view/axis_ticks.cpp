#include "view/axis_ticks.h"

#include <algorithm>
#include <cmath>

namespace bight::view {

AxisTicks axis_ticks(double low, double high, double length, double spacing) {
  AxisTicks ticks;
  const bool usable = std::isfinite(low) && std::isfinite(high) && low < high && length > 0.0;
  if (!usable || !(spacing > 0.0)) return ticks;
  const double wanted = (high - low) * spacing / length;
  const double power = std::pow(10.0, std::floor(std::log10(wanted)));
  const double ratio = wanted / power;
  ticks.step = power * (ratio <= 1.0 ? 1.0 : ratio <= 2.0 ? 2.0 : ratio <= 5.0 ? 5.0 : 10.0);
  ticks.decimals = std::max(0, -static_cast<int>(std::floor(std::log10(ticks.step) + 1e-9)));
  // Counted in whole steps: adding up would drift. A tick at the very end survives rounding.
  const double slack = 1e-9;
  const auto first = static_cast<long long>(std::ceil(low / ticks.step - slack));
  const auto last = static_cast<long long>(std::floor(high / ticks.step + slack));
  constexpr long long k_most = 1000;
  for (long long i = first; i <= std::min(last, first + k_most); ++i) {
    ticks.values.push_back(static_cast<double>(i) * ticks.step);
  }
  return ticks;
}

}  // namespace bight::view
