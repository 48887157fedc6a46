#pragma once
// The cross-section of a filled chain as a drawing: walls, dividers, lines with the clearance that
// they want, and what is too close.

#include "base/units.h"
#include "picture/drawing.h"
#include "plan/plan.h"
#include "study/study.h"

namespace bight::picture {

/// `figures` belong to `chain`. A line that lacks clearance is marked, with its number.
Drawing chain_section(const plan::Chain& chain, const study::ChainFigures& figures,
                      LengthUnit unit);

}  // namespace bight::picture
