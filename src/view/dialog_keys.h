#pragma once
// The keyboard in dialogs: arrows and Tab go from one button, field or row to the next, Space and
// Enter press it. In the sheets of the window the same keys are shortcuts.

namespace bight::view {

/// Before the frame of Dear ImGui begins, once its keys are known.
void take_keys_for_dialog(bool dialog_is_open);

/// After it began: Tab stops at buttons and rows as well; ImGui 1.86 knows fields only.
void tab_through_dialog(bool dialog_is_open);

/// Shows what has the focus of the dialog that comes up, so that Enter presses it at once.
void show_focus();

}  // namespace bight::view
