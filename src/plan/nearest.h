#pragma once
// The nearest known word to one that is not known, for "did you mean".

#include <string>
#include <string_view>
#include <vector>

namespace bight::plan {

/// Steps from one word to the other: a letter put in, taken out, changed, or two neighbours swapped
/// (optimal string alignment distance; F. J. Damerau, Communications of the ACM 7 (1964) 171-176).
/// Letters of either case count as equal; bytes count as letters.
int edit_distance(std::string_view a, std::string_view b);

/// The candidate with the fewest steps from `word`, the first one of several; empty when it is not
/// plausible that it was meant: more than a third of its letters differ (2 in short words).
std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace bight::plan
