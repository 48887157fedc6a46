#pragma once
// The marks of verdicts and findings, of the same shapes as in the pictures: each its own shape as
// well as its own colour, so that nothing is told by colour alone.

#include <imgui.h>

#include "study/finding.h"
#include "study/study.h"
#include "view/theme.h"

namespace bight::view {

/// stop: a square on its corner with a bar; act: a triangle with a point; note: a ring with a
/// point.
void draw_mark(ImDrawList* draw, const Palette& palette, ImVec2 centre, float radius,
               study::Severity severity);

/// stop and act as above; clear: a ring.
void draw_mark(ImDrawList* draw, const Palette& palette, ImVec2 centre, float radius,
               study::Verdict verdict);

/// A verdict that is being worked out, or is out of date: a broken ring.
void draw_pending_mark(ImDrawList* draw, const Palette& palette, ImVec2 centre, float radius);

/// How sure a statement is, as a mark of the same height: proved: a double rule (no gap); sampled:
/// a row of points; formula: a wave. Drawn from `left` on, returns its width.
float draw_certainty(ImDrawList* draw, const Palette& palette, ImVec2 left_middle, float height,
                     study::Certainty certainty);

}  // namespace bight::view
