#include "view/file_panel.h"

#include <imgui.h>
#include <imgui_stdlib.h>

#include <cstdlib>

#include "view/fitted_text.h"

namespace bight::view {
namespace fs = std::filesystem;

namespace {

void enter(FilePanel& panel, const fs::path& folder) {
  std::error_code error;
  const fs::path whole = fs::weakly_canonical(folder, error);
  panel.folder = error ? folder : whole;
  panel.problem.clear();
  if (!panel.saving) panel.typed.clear();
}

/// What to do with a path that was typed or clicked: go into a folder, or hand out the file.
std::optional<fs::path> take(FilePanel& panel, const fs::path& path) {
  std::error_code error;
  if (fs::is_directory(path, error)) {
    enter(panel, path);
    return {};
  }
  if (panel.saving) {
    if (!fs::is_directory(path.parent_path(), error)) {
      panel.problem = "There is no such folder: " + path.parent_path().string();
      return {};
    }
    fs::path file = path;
    if (file.extension().empty()) file += ".toml";
    return file;
  }
  if (!fs::is_regular_file(path, error)) {
    panel.problem = "There is no such file: " + path.string();
    return {};
  }
  return path;
}

}  // namespace

FilePanel open_file_panel(const fs::path& folder, bool saving, const std::string& name) {
  FilePanel panel;
  panel.saving = saving;
  std::error_code error;
  enter(panel, folder.empty() ? fs::current_path(error) : folder);
  panel.typed = name;
  return panel;
}

std::optional<fs::path> file_panel(const PanelContext& context, FilePanel& panel, float height) {
  std::optional<fs::path> chosen;
  if (panel.list.folder != panel.folder) {
    panel.list = list_folder(panel.folder, {".toml"});
    context.state.letters += panel.folder.string();
    for (const FolderEntry& entry : panel.list.entries) context.state.letters += entry.name;
  }
  fitted_text(panel.folder.string(), context.palette.faint);
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x - context.em * 8.0F);
  if (panel.focus) {
    ImGui::SetKeyboardFocusHere();
    panel.focus = false;
  }
  const bool entered =
      ImGui::InputTextWithHint("##path", panel.saving ? "file name" : "file or folder",
                               &panel.typed, ImGuiInputTextFlags_EnterReturnsTrue);
  ImGui::SameLine();
  const bool pressed =
      ImGui::Button(panel.saving ? "Save here" : "Open it", {context.em * 7.4F, 0.0F});
  if ((entered || pressed) && !panel.typed.empty()) {
    chosen = take(panel, typed_path(panel.typed, panel.folder));
  }
  if (!panel.problem.empty()) wrapped_text(panel.problem, context.palette.stop);
  if (!panel.list.problem.empty()) wrapped_text(panel.list.problem, context.palette.stop);
  if (ImGui::Button("Up")) enter(panel, panel.folder.parent_path());
  ImGui::SameLine();
  if (ImGui::Button("Home folder")) {
    const char* home = std::getenv("HOME");
    if (home != nullptr) enter(panel, home);
  }
  ImGui::BeginChild("files", {0.0F, height}, true, ImGuiWindowFlags_NavFlattened);
  for (const FolderEntry& entry : panel.list.entries) {
    const std::string label =
        shortened(entry.name + (entry.is_folder ? "/" : ""), ImGui::GetContentRegionAvail().x);
    const bool double_clicked_row = ImGui::Selectable(
        (label + "##" + entry.name).c_str(), panel.typed == entry.name,
        ImGuiSelectableFlags_DontClosePopups | ImGuiSelectableFlags_AllowDoubleClick);
    if (!double_clicked_row) continue;
    if (ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left) ||
        ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Enter), false)) {
      chosen = take(panel, panel.folder / entry.name);
    } else if (!entry.is_folder || !panel.saving) {
      panel.typed = entry.name;
    }
  }
  if (panel.list.entries.empty()) {
    wrapped_text("No plan files here.", context.palette.faint);
  }
  if (panel.list.cut_short) {
    wrapped_text("There are more; type the name.", context.palette.faint);
  }
  ImGui::EndChild();
  std::error_code error;
  const bool other = chosen && panel.saving && *chosen != context.editor.file();
  if (other && *chosen != panel.replaces && fs::exists(*chosen, error)) {
    panel.replaces = *chosen;
    panel.problem = chosen->filename().string() + " is there already. Save again to replace it.";
    chosen.reset();
  }
  return chosen;
}

}  // namespace bight::view
