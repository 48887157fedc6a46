#pragma once
// Fits a view to a box so that neither bars nor legends of the picture lie over it.

#include <vector>

#include "scene/camera.h"
#include "scene/label_layout.h"

namespace bight::scene {

/// True when a part of the box, seen by the camera, lies under the rectangle. The outline of the
/// box counts: the hull of its corners.
bool is_covered(const Box& box, const Camera& camera, const Viewport& viewport, const Rect& cover);

/// True when all of the box is within the insets.
bool is_in_view(const Box& box, const Camera& camera, const Viewport& viewport,
                const Insets& insets);

/// fitted() within the insets and clear of `legends`, which stand in the lower right corner:
/// above them or beside them, wherever the box is larger.
Camera fitted_beside(const Camera& camera, const Box& box, const Viewport& viewport, double margin,
                     const Insets& insets, const std::vector<Rect>& legends);

}  // namespace bight::scene
