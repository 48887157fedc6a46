#pragma once
// Above the picture: where to look from, and what it shows besides the machine.

#include "view/panel_context.h"
#include "view/stage.h"

namespace bight::view {

/// Buttons along the upper edge of the picture; nothing where that is too short.
void view_bar(const PanelContext& context, Stage& stage);

/// Cuts along the next of X, Y and Z, through the middle of what is drawn, then along none.
void step_cut(Layers& layers, const Box& drawn);

}  // namespace bight::view
