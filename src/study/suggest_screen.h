#pragma once
// Is a changed plan better than the one that it was made from? The checks of study/study without
// their advice, cheap ones first; what the change does not touch is taken over from the last full
// check; ends as soon as the answer can only be no. For study/suggest, which checks in full what
// passes here: a mistake here costs time, or a suggestion, but never makes a wrong one.

#include <compare>
#include <cstddef>
#include <optional>
#include <vector>

#include "study/suggest.h"
#include "study/suggest_variant.h"

namespace bight::study {

/// What is to become less: stops first, then findings to act on.
struct Score {
  std::size_t stops = 0;
  std::size_t acts = 0;
  // NOLINTNEXTLINE(modernize-use-nullptr): clang-tidy 14 takes the 0 behind a < for a pointer
  auto operator<=>(const Score&) const = default;
};

Score score_of(const std::vector<Finding>& findings);

/// The score of `changed`, which differs from `now` by `changes` alone, when it is below `limit`;
/// else, or when cancelled, nothing.
std::optional<Score> screen(const Variant& now, const Draft& changed,
                            const std::vector<PlanChange>& changes, const Score& limit,
                            const StudyOptions& options);

}  // namespace bight::study
