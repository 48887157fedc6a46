#pragma once
// Hands on the 3-D picture: orbit, pan and zoom, picking, and the handles of hooks, anchors,
// brackets and parts.

#include "view/panel_context.h"
#include "view/stage.h"

namespace bight::view {

/// The picture as an item of the window: draws its texts and handles and takes the pointer.
/// `pixel_ratio`: pixels of the picture per unit of the window.
void stage_panel(const PanelContext& context, Stage& stage, double pixel_ratio);

}  // namespace bight::view
