#pragma once
// How long each piece is cut and how much of each article is bought.

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace bight::line {

struct CutLengthProblem {
  std::vector<double> legs_mm;  ///< each leg of the run at its longest
  double service_loop_mm = 0.0;
  double termination_start_mm = 0.0;
  double termination_end_mm = 0.0;
  double spare_percent = 0.0;     ///< of all the above
  double purchase_step_mm = 0.0;  ///< rounded up to a multiple of it; 0: not rounded
};

struct CutLengthResult {
  bool valid = true;           ///< false: a number is negative or not finite
  double run_mm = 0.0;         ///< sum of the legs
  double net_mm = 0.0;         ///< run + service loop + terminations
  double with_spare_mm = 0.0;  ///< net with the percentage
  double cut_mm = 0.0;         ///< with_spare rounded up to the step: what to cut and buy
};

/// Common practice. A length that is a multiple of the step to within k_length_equal_mm is not
/// stepped up.
CutLengthResult cut_length(const CutLengthProblem& problem);

/// A piece of an article.
struct Piece {
  std::string line;
  std::string article;
  double cut_mm = 0.0;
};

/// What to buy of one article: all its pieces come from one drum.
struct Drum {
  std::string article;
  std::vector<std::string> lines;  ///< in the order of the pieces
  double total_mm = 0.0;
  double longest_mm = 0.0;      ///< no drum or coil may be shorter than this
  std::optional<double> price;  ///< total_mm at the article's price per metre, when known
};

struct ArticlePrice {
  std::string article;
  double per_metre = 0.0;
};

/// Sums the pieces by article, in the order of first use.
std::vector<Drum> drums(std::span<const Piece> pieces, std::span<const ArticlePrice> prices = {});

}  // namespace bight::line
