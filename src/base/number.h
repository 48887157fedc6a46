#pragma once
// Numbers to and from text, independent of the locale.

#include <optional>
#include <string>
#include <string_view>

namespace bight {

/// The whole text as a finite number, or nothing.
std::optional<double> parse_number(std::string_view text);

/// Shortest text that reads back as the same number ("12", "0.1", "1e+20").
std::string shortest(double value);

/// Fixed number of decimals, trailing zeros kept, never "-0.00".
std::string fixed(double value, int decimals);

}  // namespace bight
