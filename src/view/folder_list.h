#pragma once
// What lies in a folder, for choosing a file. No ImGui.

#include <filesystem>
#include <string>
#include <vector>

namespace bight::view {

struct FolderEntry {
  std::string name;
  bool is_folder = false;
};

/// Folders first, each by name; hidden ones left out; of files only those with one of the endings
/// (".toml"). At most `k_folder_limit` entries.
struct FolderList {
  std::filesystem::path folder;
  std::vector<FolderEntry> entries;
  std::string problem;  ///< a sentence when it cannot be read
  bool cut_short = false;
};

inline constexpr std::size_t k_folder_limit = 2000;

FolderList list_folder(const std::filesystem::path& folder,
                       const std::vector<std::string>& endings);

/// What a person typed as a path: "~" is the home folder, a relative one starts at `folder`.
std::filesystem::path typed_path(const std::string& text, const std::filesystem::path& folder);

}  // namespace bight::view
