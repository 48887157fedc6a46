#include "plan/nearest.h"

#include <algorithm>
#include <cstdlib>

namespace bight::plan {
namespace {

// Nobody mistypes more than this; it also bounds the time that a hostile file can take.
constexpr std::size_t k_longest_word = 64;

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

}  // namespace

int edit_distance(std::string_view a, std::string_view b) {
  std::vector<int> before(b.size() + 1);
  std::vector<int> previous(b.size() + 1);
  std::vector<int> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) previous[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int change = lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1;
      row[j] = std::min({previous[j] + 1, row[j - 1] + 1, previous[j - 1] + change});
      const bool swapped = i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
                           lower(a[i - 2]) == lower(b[j - 1]);
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    std::swap(before, previous);
    std::swap(previous, row);
  }
  return previous[b.size()];
}

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
  if (word.size() > k_longest_word) return {};
  std::string best;
  int best_distance = 0;
  for (const std::string& candidate : candidates) {
    if (candidate.size() > k_longest_word) continue;
    const int limit = std::max(2, static_cast<int>(candidate.size()) / 3);
    const int difference =
        std::abs(static_cast<int>(candidate.size()) - static_cast<int>(word.size()));
    if (difference > limit) continue;
    const int distance = edit_distance(word, candidate);
    // Two steps turn any word of two letters into any other.
    if (distance > limit || distance >= static_cast<int>(candidate.size())) continue;
    if (best.empty() || distance < best_distance) {
      best = candidate;
      best_distance = distance;
    }
  }
  return best;
}

}  // namespace bight::plan
