#include "view/folder_list.h"

#include <algorithm>
#include <cstdlib>

namespace bight::view {
namespace fs = std::filesystem;

FolderList list_folder(const fs::path& folder, const std::vector<std::string>& endings) {
  FolderList list;
  list.folder = folder;
  std::error_code error;
  fs::directory_iterator it(folder, fs::directory_options::skip_permission_denied, error);
  if (error) {
    list.problem = "This folder cannot be read: " + error.message() + ".";
    return list;
  }
  for (; it != fs::directory_iterator(); it.increment(error)) {
    if (error) break;
    const std::string name = it->path().filename().string();
    if (name.empty() || name.front() == '.') continue;
    std::error_code unknown;
    const bool is_folder = it->is_directory(unknown);
    if (!is_folder &&
        std::ranges::find(endings, it->path().extension().string()) == endings.end()) {
      continue;
    }
    if (list.entries.size() == k_folder_limit) {
      list.cut_short = true;
      break;
    }
    list.entries.push_back({name, is_folder});
  }
  std::ranges::sort(list.entries, [](const FolderEntry& a, const FolderEntry& b) {
    return a.is_folder != b.is_folder ? a.is_folder : a.name < b.name;
  });
  return list;
}

fs::path typed_path(const std::string& text, const fs::path& folder) {
  if (text.starts_with("~")) {
    const char* home = std::getenv("HOME");
    const std::size_t rest = text.size() > 1 && text[1] == '/' ? 2 : 1;
    return fs::path(home != nullptr ? home : "/") / text.substr(std::min(rest, text.size()));
  }
  const fs::path path(text);
  return path.is_absolute() ? path : folder / path;
}

}  // namespace bight::view
