#pragma once
// Steps of an axis: 1, 2 or 5 times a power of ten.

#include <string>
#include <vector>

namespace bight::view {

/// Values from `low` to `high` that carry a grid line, `decimals` enough to tell them apart.
struct AxisTicks {
  std::vector<double> values;
  double step = 0.0;
  int decimals = 0;
};

/// About one tick for every `spacing` of the axis' `length` (same unit, for example pixels). Empty
/// unless low < high, both finite, and length > 0.
AxisTicks axis_ticks(double low, double high, double length, double spacing);

}  // namespace bight::view
