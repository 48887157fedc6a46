#pragma once
// A field for a text that is handed over once it is finished: by Enter, Tab, or a click elsewhere.

#include <imgui.h>

#include <optional>
#include <string>

namespace bight::view {

/// What stands in the field that is being typed into. ImGui drops it when another item takes the
/// keyboard in the same frame, so it is kept here; one for the window.
struct TypedText {
  ImGuiID id = 0;
  std::string text;
  ImGuiID left_id = 0;  ///< the field before, which a field above it may have taken over from
  std::string left_text;
};

/// The new text, when it was finished in this frame and differs; Escape drops it.
std::optional<std::string> text_field(const char* id, const std::string& value, TypedText& typed,
                                      ImGuiInputTextFlags flags = 0);

}  // namespace bight::view
