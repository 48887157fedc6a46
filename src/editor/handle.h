#pragma once
// What can be taken hold of in the picture and dragged: hooks, anchors, brackets of chains and
// parts, each along the directions in which it may go.

#include <optional>
#include <string>
#include <vector>

#include "base/vec.h"
#include "editor/edit.h"
#include "editor/model.h"

namespace bight::editor {

enum class HandleKind { support, anchor, fixed_bracket, moving_bracket, part };

/// A handle. `id` stays the same over edits: "support.rafter hook", "chain.X chain.fixed_at".
struct Handle {
  std::string id;
  HandleKind kind = HandleKind::part;
  std::string thing;  ///< name of the element
  std::string path;   ///< of the key that holds its place: "support.rafter hook.at"
  std::string body;   ///< that it is fixed to
  Vec3 at{0.0};       ///< in the frame of the plan with all joints at zero, mm
  /// Unit vectors, square to each other, of the directions in which it may be dragged.
  std::vector<Vec3> directions;
  bool in_use = true;  ///< false: a hold on which no line of the option hangs
};

/// Handles of everything that is there. Parts made by the frame have none (their dimensions are
/// keys of the frame).
std::vector<Handle> make_handles(const Model& model);

/// Where the handle is at a pose.
Vec3 handle_at(const Model& model, const Handle& handle, const std::vector<double>& pose);

struct SnapOptions {
  double step_mm = 10.0;   ///< grid; 0: none
  double catch_mm = 15.0;  ///< levels of other handles and faces of parts catch within this
  bool to_things = true;   ///< catch on levels of other things before the grid
};

/// A wanted place brought into the handle's directions and onto the grid or a level near by.
struct SnappedPlace {
  Vec3 at{0.0};
  /// What each of x, y, z caught on ("ceiling", "X chain", "grid"); empty: nothing.
  std::string caught[3];
};

/// `wanted` (same frame as Handle::at) is where the pointer is; only along `along`, when given, it
/// moves.
SnappedPlace snapped(const Model& model, const std::vector<Handle>& handles, const Handle& handle,
                     const Vec3& wanted, const std::optional<Vec3>& along,
                     const SnapOptions& options = {});

/// The edit that moves the handle there; the ends of clipped legs that lie on it go along.
SetValues move_edit(const Model& model, const Handle& handle, const Vec3& to);

}  // namespace bight::editor
