#pragma once
// Text that never runs out of its room: shortened with an ellipsis, the whole of it on hovering; or
// broken into lines.

#include <imgui.h>

#include <string>
#include <string_view>

namespace bight::view {

/// The longest beginning of `text` that fits into `width` pixels of the current font, with an
/// ellipsis when something is left out; empty when not even that fits.
std::string shortened(std::string_view text, float width);

/// One line in the room that is left in the current line, or in `width` when that is above 0.
/// Shortened text shows whole in a tooltip.
void fitted_text(std::string_view text, ImU32 colour, float width = 0.0F);

/// The text with line ends where `width` pixels of the current font are full: at spaces, and within
/// a word only when it is longer than a line.
std::string broken_into_lines(std::string_view text, float width);

/// Text broken at the right edge of the window's content; a word longer than a line is broken, too.
void wrapped_text(std::string_view text, ImU32 colour);

/// The text with its numbers tied to their units, so that no line ends between them.
std::string tied(std::string_view text);

/// A heading with a hairline under it.
void heading(std::string_view text);

}  // namespace bight::view
