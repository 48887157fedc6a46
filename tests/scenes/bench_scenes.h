#pragma once
// Parts of a small gantry machine with a chosen number of triangles, for benchmarks and for tests
// at size: a head with carriage, finned spindle, collet and tool over a travel of 1200 x 800 x 120
// mm, against four surroundings.

#include <cstddef>
#include <string>

#include "clearance/travel.h"
#include "shape/mesh.h"

namespace bight::scenes {

enum class BenchScene {
  flat,    ///< a flat shoe over a flat bed: 3 mm everywhere when it is down
  clamps,  ///< six clamps reach to 3 mm under the lowest tip
  posts,   ///< leaning posts and a leaning plate around the travel, about 3 mm at one corner;
           ///< nothing is parallel to an axis
  collide  ///< as clamps, but one clamp stands 8 mm into the travel
};

struct BenchPair {
  shape::Mesh a;  ///< the head with all joints at zero
  shape::Mesh b;  ///< what stands still
  clearance::Travel travel;
};

/// Both meshes are closed and have about `triangles` triangles each: within a twentieth from 10 000
/// on, up to 700 more at 1000, where outlines keep their corners.
BenchPair make_bench_pair(BenchScene scene, std::size_t triangles);

std::string name_of(BenchScene scene);

}  // namespace bight::scenes
