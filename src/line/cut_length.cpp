#include "line/cut_length.h"

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"

namespace bight::line {
namespace {

double rounded_up(double length, double step) {
  if (step == 0.0) return length;
  const double steps = std::ceil((length - k_length_equal_mm) / step);
  return std::max(0.0, steps) * step;
}

}  // namespace

CutLengthResult cut_length(const CutLengthProblem& problem) {
  CutLengthResult result;
  const auto add = [&result](double v) {
    result.valid = result.valid && std::isfinite(v) && v >= 0.0;
    return v;
  };
  for (const double leg : problem.legs_mm) result.run_mm += add(leg);
  result.net_mm = result.run_mm + add(problem.service_loop_mm) + add(problem.termination_start_mm) +
                  add(problem.termination_end_mm);
  result.with_spare_mm = result.net_mm * (1.0 + add(problem.spare_percent) / 100.0);
  result.cut_mm = rounded_up(result.with_spare_mm, add(problem.purchase_step_mm));
  result.valid = result.valid && std::isfinite(result.cut_mm);
  return result;
}

std::vector<Drum> drums(std::span<const Piece> pieces, std::span<const ArticlePrice> prices) {
  std::vector<Drum> result;
  for (const Piece& piece : pieces) {
    auto drum = std::find_if(result.begin(), result.end(),
                             [&piece](const Drum& d) { return d.article == piece.article; });
    if (drum == result.end()) {
      result.push_back({.article = piece.article, .lines = {}, .price = {}});
      drum = result.end() - 1;
    }
    drum->lines.push_back(piece.line);
    drum->total_mm += piece.cut_mm;
    drum->longest_mm = std::max(drum->longest_mm, piece.cut_mm);
  }
  for (Drum& drum : result) {
    const auto price = std::find_if(prices.begin(), prices.end(), [&drum](const ArticlePrice& p) {
      return p.article == drum.article;
    });
    if (price != prices.end()) drum.price = drum.total_mm / 1000.0 * price->per_metre;
  }
  return result;
}

}  // namespace bight::line
