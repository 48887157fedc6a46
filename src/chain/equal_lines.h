#pragma once
// How many equal cables a plain duct or compartment holds, without clearances: for choosing a size.

#include <vector>

#include "base/vec.h"

namespace bight::chain {

struct EqualLinesOptions {
  int starts = 0;  ///< arrangements tried for each further line; 0: by the count
};

/// Invariant when valid: max(squared_rows, hexagonal_rows) <= found <= upper_bound.
struct EqualLinesResult {
  bool valid = true;       ///< false: a size is not above 0 or not finite, or more than 400 fit
  int squared_rows = 0;    ///< one above the other
  int hexagonal_rows = 0;  ///< staggered, along the width or along the height, the better
  int found = 0;           ///< best arrangement found
  int upper_bound = 0;     ///< Oler, Acta Mathematica 105 (1961): no arrangement holds more
  std::vector<Vec2> centres_mm;  ///< of `found`, from the lower left corner
};

/// Counts circles of `diameter_mm` in a rectangle: rows, then denser packings one line at a time.
EqualLinesResult count_equal_lines(double width_mm, double height_mm, double diameter_mm,
                                   const EqualLinesOptions& options = {});

}  // namespace bight::chain
