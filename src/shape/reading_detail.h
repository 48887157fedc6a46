#pragma once
// What a reader made of a mesh file, and its way out of the process in which the reader ran.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "shape/import.h"

namespace bight::shape {

/// The mesh, or a problem.
struct Reading {
  Mesh mesh;
  ImportReport report;
  std::string problem = {};                ///< a clause, empty when the mesh is good
  std::vector<std::string> warnings = {};  ///< what the reader had to say about a usable file
};

/// The reading as bytes in the memory layout of this program; both ends are the same program.
std::string packed(const Reading& reading);

/// The reading, or nothing when the bytes are not whole, an index is out of range or a coordinate
/// not finite: what comes from a process that read a hostile file is looked at as the file was.
std::optional<Reading> unpacked(std::string_view text);

}  // namespace bight::shape
