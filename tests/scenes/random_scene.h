#pragma once
// Random pairs of small meshes with a travel, from a seed: the inputs of the randomised tests.
// Sizes, distances and shapes are chosen so that about half of the scenes are in contact.

#include <cstdint>
#include <string>

#include "base/box.h"
#include "base/vec.h"
#include "clearance/travel.h"
#include "shape/mesh.h"

namespace bight::scenes {

/// Same numbers on every platform (SplitMix64; Steele, Lea, Flood 2014), unlike the distributions
/// of the standard library.
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}
  std::uint64_t bits();
  double uniform(double lower, double upper);
  int integer(int lower, int upper);  ///< both ends included
  bool chance(double probability) { return uniform(0.0, 1.0) < probability; }
  Vec3 point(const Box& box);
  Vec3 direction();  ///< unit vector, uniform on the sphere
  Mat3 turn();       ///< rotation, uniform

 private:
  std::uint64_t state_;
};

shape::Mesh box_mesh(const Box& box);
/// A closed star-shaped body of 2 * around * rings triangles about the origin, radius within
/// [(1 - rough) * radius, (1 + rough) * radius].
shape::Mesh blob_mesh(Random& random, double radius, double rough, int around, int rings);
/// A closed ring in the XY plane about the origin.
shape::Mesh ring_mesh(double radius, double thickness, int around, int section);
/// Inside out: a mesh that bounds a cavity.
shape::Mesh reversed(shape::Mesh mesh);
/// The same solid with vertices and triangles in another order and each triangle's corners rotated.
shape::Mesh shuffled(Random& random, const shape::Mesh& mesh);
/// Mirrored at the plane x = 0, with orientation kept outward.
shape::Mesh mirrored(const shape::Mesh& mesh);
shape::Mesh scaled(shape::Mesh mesh, double factor);

struct Scene {
  std::string kind;  ///< for messages
  shape::Mesh a;
  shape::Mesh b;
  clearance::Travel travel;
  double size_mm = 1.0;          ///< about the size of the bodies
  bool open_or_cracked = false;  ///< has an open mesh or degenerate triangles
};

Scene random_scene(std::uint64_t seed);

/// Poses spread evenly at random over the travel.
std::vector<clearance::Pose> random_poses(Random& random, const clearance::Travel& travel,
                                          int count);

}  // namespace bight::scenes
