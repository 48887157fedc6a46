#pragma once
// What of a scene is left out of the picture: walls seen from behind and what a section takes away.
// The same for drawing, texts and handles.

#include "scene/camera.h"
#include "scene/scene.h"

namespace bight::scene {

/// True unless it is a wall, floor or ceiling that the camera sees from outside the room.
bool is_shown(const Solid& solid, const CameraFrame& frame, const Camera& camera);

/// True for a point beyond the section of the scene.
bool is_cut_away(const Scene& scene, const Vec3& point);

/// What the section leaves of a box; all of it where the section does not lie along the axes.
Box kept_of(const Scene& scene, Box box);

}  // namespace bight::scene
