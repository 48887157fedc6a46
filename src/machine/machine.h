#pragma once
// The machine of a plan, ready for computation: joints, what each body's motion is, and parts as
// solids.

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "plan/plan.h"
#include "shape/health.h"
#include "shape/solid.h"

namespace bight::machine {

/// A body's translation is the sum over joints of motion[j] * q[j] (mm; q in joint units, mm).
struct Body {
  std::string name;
  std::vector<Vec3> motion;  ///< one entry a joint of the machine
};

/// A part in place: its solid stands in the frame of the plan with all joints at zero.
struct PlacedPart {
  std::string name;
  std::size_t body = 0;
  plan::Role role = plan::Role::machine;
  double minimum_clearance_mm = 0.0;
  std::shared_ptr<const shape::Solid> solid;  ///< shared, since options seldom change a mesh
  /// Of what a mesh file holds, in mm, Z up, before it is turned and put; null for a primitive.
  std::shared_ptr<const shape::Health> health;
  Place place;  ///< in the plan file
};

struct Machine {
  std::vector<plan::Joint> joints;
  std::vector<Body> bodies;  ///< bodies[0] is the ground
  std::vector<PlacedPart> parts;
  std::vector<plan::Touching>
      touching;     ///< declared in the plan, then those that the parametric frame declares
  plan::Tool tool;  ///< from [tool] or the parametric frame; body empty when there is none

  /// Index of a body by name; BIGHT_CHECKs that it exists (the plan was validated).
  std::size_t body_index(const std::string& name) const;
};

/// Meshes already read and solids already built: options of one plan and live edits share them, so
/// an equal part is the same solid. Hand the same cache to every build; it keeps what the last
/// builds used and forgets the rest. Made and read by load_parts only.
struct MeshCache {
  /// A mesh file, as it was when it had that size and time; what its import had to say.
  struct File {
    std::shared_ptr<const shape::Mesh> mesh;
    std::shared_ptr<const shape::Health> health;
    std::vector<Diagnostic> words;  ///< without a place
    std::uint64_t last_build = 0;
  };
  struct Placed {
    std::shared_ptr<const shape::Solid> solid;
    std::uint64_t last_build = 0;
  };
  std::map<std::string, File> files;
  std::map<std::string, Placed> solids;
  std::uint64_t builds = 0;
};

/// Builds the machine of a validated plan. Problems of meshes and geometry are added to
/// `diagnostics`; a part that cannot be built is left out then, so a machine with errors must not
/// be studied.
Machine build_machine(const plan::Plan& plan, MeshCache& cache, Diagnostics& diagnostics);

/// Translation of a body at a pose (one value a joint), mm.
Vec3 translation(const Body& body, const std::vector<double>& pose);

}  // namespace bight::machine
