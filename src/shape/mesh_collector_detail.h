#pragma once
// Collects the triangles of a file into one welded mesh in mm with Z up.

#include <array>
#include <cstddef>
#include <string>

#include "shape/import.h"
#include "shape/reading_detail.h"
#include "shape/weld.h"

namespace bight::shape {

/// The problem of a file with this many triangles, empty when they are allowed.
std::string too_many_triangles(std::size_t triangles, const ImportOptions& options);

/// Takes triangles in units of the file.
class MeshCollector {
 public:
  MeshCollector(const ImportOptions& options, std::size_t expected_triangles);

  /// False, with a problem noted, when a corner is not finite in mm or a limit is passed.
  bool add(const std::array<Vec3, 3>& corners);

  /// The mesh, or the problem; `report` is completed with triangles, vertices and box.
  Reading finish(ImportReport report);

 private:
  ImportOptions options_;
  Welder welder_;
  Mesh mesh_;
  std::string problem_;
};

}  // namespace bight::shape
