#pragma once
// Bounded reading and atomic saving of files.

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>

namespace bight {

/// A file's bytes, or why they could not be had.
struct FileText {
  std::optional<std::string> text;
  std::string problem;  ///< a sentence, set exactly when `text` is not
};

/// Reads a regular file of at most `limit` bytes.
FileText read_file(const std::filesystem::path& path, std::size_t limit);

/// Writes a temporary file beside `path`, flushes it to disk and renames it over `path`. A previous
/// file is kept as `path` + "~". Returns an empty string on success, else a sentence; on failure
/// the previous file is untouched.
std::string save_file(const std::filesystem::path& path, const std::string& text);

}  // namespace bight
