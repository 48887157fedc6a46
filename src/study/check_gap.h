#pragma once
// Check: gaps at which people can be crushed, against the minimum gaps of ISO 13854.

#include <optional>
#include <string>
#include <vector>

#include "study/mover.h"

namespace bight::study {

/// Minimum gap in mm to avoid crushing a part of the body (ISO 13854:2017, as listed in a public
/// insurer's lexicon); nothing for a limb that the standard does not list.
std::optional<double> minimum_gap(const std::string& limb);

/// Each gap named in the plan over the whole travel and out to the hard stops. A gap that never
/// changes crushes nobody: a note says so.
std::vector<Finding> check_gaps(const Context& context, const std::vector<Mover>& movers);

}  // namespace bight::study
