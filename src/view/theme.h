#pragma once
// Colours and measures of the window: ink on paper by day, chalk on slate by night.

#include <imgui.h>

#include "study/finding.h"
#include "study/study.h"

namespace bight::view {

enum class Scheme { light, dark };

/// Every colour that the window uses, as ImGui wants it (ABGR).
struct Palette {
  ImU32 backdrop = 0;  ///< behind the 3-D picture and between sheets
  ImU32 sheet = 0;     ///< of a panel
  ImU32 well = 0;      ///< of fields, plots and lists
  ImU32 rule = 0;      ///< hairlines
  ImU32 ink = 0;       ///< text
  ImU32 faint = 0;     ///< secondary text; at least 4.5 : 1 on a sheet (WCAG 2.1, 1.4.3)
  ImU32 accent = 0;    ///< what is chosen or can be pressed
  ImU32 accent_soft = 0;
  ImU32 on_accent = 0;
  ImU32 stop = 0;
  ImU32 act = 0;
  ImU32 clear = 0;
  ImU32 note = 0;
  ImU32 on_mark = 0;  ///< the sign inside a mark
  ImU32 series[4] = {0, 0, 0, 0};
};

const Palette& palette(Scheme scheme);

ImU32 colour_of(const Palette& palette, study::Severity severity);
ImU32 colour_of(const Palette& palette, study::Verdict verdict);

/// `colour` with its opacity replaced.
ImU32 with_alpha(ImU32 colour, float alpha);

/// Sets ImGui's style from a scheme; sizes are for a content scale of 1 times `scale`.
void apply_theme(Scheme scheme, float scale);

}  // namespace bight::view
