#pragma once
// The two readers behind import: binary STL, which is most of what a workshop has, by fixed
// records; everything else by Assimp, whose types appear in read_assimp.cpp alone.

#include <filesystem>
#include <optional>

#include "shape/import.h"
#include "shape/reading_detail.h"

namespace bight::shape {

/// Reads a binary STL; nothing when the file is not one (its size is not that of the number of
/// records it announces), which then is for the other reader to judge. A file named .stl that is
/// shorter than it announces and not text is a problem.
std::optional<Reading> read_binary_stl(const std::filesystem::path& path,
                                       const ImportOptions& options);

/// Reads whatever Assimp reads. Throws, crashes or hangs as Assimp does, and sets Assimp's logger,
/// which the whole process shares: run it isolated.
Reading read_with_assimp(const std::filesystem::path& path, const ImportOptions& options);

}  // namespace bight::shape
