#include "chain/equal_lines.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "line/circle_packing.h"

namespace bight::chain {
namespace {

/// Relative. A duct made for exactly n lines holds n, whatever the rounding of n d.
constexpr double k_exact_fit = 1e-9;
/// Packings beyond it take minutes and nobody fills a duct so.
constexpr int k_most_lines = 400;

int whole(double ratio) {
  return static_cast<int>(std::floor(ratio * (1.0 + k_exact_fit) + k_exact_fit));
}

std::vector<Vec2> squared(double width, double height, double d) {
  std::vector<Vec2> centres;
  const int columns = whole(width / d);
  for (int j = 0; j < whole(height / d); ++j) {
    for (int i = 0; i < columns; ++i) centres.emplace_back((i + 0.5) * d, (j + 0.5) * d);
  }
  return centres;
}

/// Rows along the width, every other one shifted by half a diameter.
std::vector<Vec2> staggered(double width, double height, double d) {
  std::vector<Vec2> centres;
  if (width < d * (1.0 - k_exact_fit) || height < d * (1.0 - k_exact_fit)) return centres;
  const double rise = 0.5 * std::numbers::sqrt3 * d;
  const int rows = whole((height - d) / rise) + 1;
  for (int j = 0; j < rows; ++j) {
    const double shift = j % 2 == 0 ? 0.0 : 0.5 * d;
    for (int i = 0; i < whole((width - shift) / d); ++i) {
      centres.emplace_back((i + 0.5) * d + shift, 0.5 * d + j * rise);
    }
  }
  return centres;
}

std::vector<Vec2> staggered_either_way(double width, double height, double d) {
  std::vector<Vec2> along = staggered(width, height, d);
  std::vector<Vec2> upright = staggered(height, width, d);
  if (upright.size() <= along.size()) return along;
  for (Vec2& c : upright) std::swap(c.x, c.y);
  return upright;
}

/// N <= (2/sqrt 3) (W-d)(H-d)/d^2 + (W-d + H-d)/d + 1.
int oler_bound(double width, double height, double d) {
  const double w = (width - d) / d;
  const double h = (height - d) / d;
  if (!(w >= -k_exact_fit && h >= -k_exact_fit)) return 0;
  return whole(2.0 / std::numbers::sqrt3 * w * h + w + h + 1.0);
}

}  // namespace

EqualLinesResult count_equal_lines(double width_mm, double height_mm, double diameter_mm,
                                   const EqualLinesOptions& options) {
  EqualLinesResult result;
  for (const double v : {width_mm, height_mm, diameter_mm}) {
    result.valid = result.valid && std::isfinite(v) && v > 0.0;
  }
  result.valid = result.valid && width_mm / diameter_mm * (height_mm / diameter_mm) <= k_most_lines;
  if (!result.valid) return result;

  std::vector<Vec2> rows = squared(width_mm, height_mm, diameter_mm);
  std::vector<Vec2> hexagons = staggered_either_way(width_mm, height_mm, diameter_mm);
  result.squared_rows = static_cast<int>(rows.size());
  result.hexagonal_rows = static_cast<int>(hexagons.size());
  result.centres_mm = std::move(rows.size() >= hexagons.size() ? rows : hexagons);
  result.found = static_cast<int>(result.centres_mm.size());
  result.upper_bound = oler_bound(width_mm, height_mm, diameter_mm);
  if (result.found == 0) return result;  // not even one

  while (result.found < result.upper_bound) {
    const auto count = static_cast<std::size_t>(result.found) + 1;
    line::PackingProblem problem;
    problem.goal = line::PackingGoal::most_room;
    problem.size_mm = {width_mm, height_mm};
    problem.wall_mm.assign(count, 0.5 * diameter_mm);
    problem.apart_mm.assign(count * count, diameter_mm);
    std::vector<Vec2> one_more = result.centres_mm;
    one_more.emplace_back(0.5 * width_mm, 0.5 * height_mm);
    const line::PackingResult packed = line::pack_circles(
        problem,
        {.starts = options.starts > 0 ? options.starts : 40 + static_cast<int>(8000 / count),
         .enough = k_exact_fit * diameter_mm,
         .first = {one_more}});
    if (!(packed.s <= k_exact_fit * diameter_mm)) break;
    result.centres_mm = packed.centres_mm;
    ++result.found;
  }
  return result;
}

}  // namespace bight::chain
