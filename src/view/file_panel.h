#pragma once
// Choosing a file inside a dialog: a path to type, and the folder to click through.

#include <optional>

#include "view/folder_list.h"
#include "view/panel_context.h"

namespace bight::view {

/// Where the panel is. `list` is read again when `folder` differs from its own.
struct FilePanel {
  std::filesystem::path folder;
  std::string typed;
  std::string problem;
  FolderList list;
  bool saving = false;             ///< the file need not exist
  std::filesystem::path replaces;  ///< a file that is there, and may be replaced when asked again
  bool focus = true;               ///< the path takes the keyboard in the next frame
};

/// Starts at a folder; an empty one: the current folder.
FilePanel open_file_panel(const std::filesystem::path& folder, bool saving,
                          const std::string& name = {});

/// Draws the panel; the file once it was chosen.
std::optional<std::filesystem::path> file_panel(const PanelContext& context, FilePanel& panel,
                                                float height);

}  // namespace bight::view
