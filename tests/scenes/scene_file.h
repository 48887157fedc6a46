#pragma once
// Scenes as text, for cases that once went wrong. Lines:
//   # why the case is kept
//   contact | clear            what the truth is over the whole travel
//   part a | part b            the following vertices and triangles belong to it
//   v X Y Z                    vertex, mm
//   f I J K                    triangle, vertices counted from 0
//   axis DX DY DZ LOWER UPPER  a joint: mm of A relative to B per unit, and its range

#include <filesystem>
#include <optional>

#include "scenes/random_scene.h"

namespace bight::scenes {

struct KeptScene {
  Scene scene;
  bool contact = false;
};

/// Nothing when the file cannot be read or has a line that is none of the above.
std::optional<KeptScene> read_scene(const std::filesystem::path& path);

}  // namespace bight::scenes
