#pragma once
// Breaks a sentence into lines that fit a width.

#include <functional>
#include <string>
#include <vector>

namespace bight::scene {

/// Lines of the words of `text`, each at most `width` wide as `width_of` measures; a longer word
/// has a line of its own. At least one line.
std::vector<std::string> wrapped_text(const std::string& text, double width,
                                      const std::function<double(const std::string&)>& width_of);

}  // namespace bight::scene
