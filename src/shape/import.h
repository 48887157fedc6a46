#pragma once
// Import of mesh files: STL (text, binary), OBJ, PLY, glTF, 3MF and whatever else Assimp reads, as
// one welded mesh in mm with Z up.
//
// Files are hostile: the reader runs in a process of its own with limits on time and memory, so a
// file on which it crashes, hangs or asks for all memory becomes a diagnostic like any other.

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>

#include "base/box.h"
#include "base/diagnostic.h"
#include "base/tolerance.h"
#include "shape/mesh.h"

namespace bight::shape {

/// mm. Coordinates beyond this (1000 km) are refused: the unit must be wrong, and later arithmetic
/// in single precision needs them small.
inline constexpr double k_mesh_coordinate_limit_mm = 1e9;

/// Axis of the file that points up. With `y` the mesh is turned so that the file's Y becomes Z and
/// its X stays X.
enum class UpAxis { y, z };

struct ImportOptions {
  /// mm for one unit of the file, > 0. glTF counts in metres: 1000. A unit that a 3MF or FBX file
  /// states itself is not looked at.
  double mm_per_unit = 1.0;
  UpAxis up = UpAxis::z;
  std::size_t bytes_limit = k_mesh_bytes_limit;          ///< files larger than this are refused
  std::size_t triangles_limit = k_mesh_triangles_limit;  ///< all instances counted
};

/// What was read, for whoever must judge whether it is what was meant.
struct ImportReport {
  std::string format;                ///< "binary STL" or the name of Assimp's reader
  std::size_t meshes = 0;            ///< placed in the scene, instances counted each
  std::size_t triangles = 0;         ///< after polygons were cut into triangles
  std::size_t skipped_faces = 0;     ///< points and lines: they bound nothing
  std::size_t crossed_polygons = 0;  ///< polygons that cross themselves, cut as fans
  std::size_t vertices_in_file = 0;  ///< before welding
  std::size_t vertices = 0;          ///< after welding
  Box box;                           ///< mm, Z up
};

struct ImportResult {
  std::optional<Mesh> mesh;  ///< absent exactly when an error was added to the diagnostics
  ImportReport report;
};

/// Reads the file, applies the transforms of its scene, cuts polygons into triangles, merges all
/// meshes, scales to mm, turns Z up and welds equal vertices. Refused with an error at the file's
/// path: a file that is missing, not regular, too large, of no known format or damaged; coordinates
/// that are not finite; no triangle at all; more triangles than the limit. Never throws.
ImportResult import_mesh(const std::filesystem::path& path, const ImportOptions& options,
                         Diagnostics& diagnostics);

}  // namespace bight::shape
