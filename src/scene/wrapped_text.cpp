#include "scene/wrapped_text.h"

namespace bight::scene {

std::vector<std::string> wrapped_text(const std::string& text, double width,
                                      const std::function<double(const std::string&)>& width_of) {
  std::vector<std::string> lines;
  std::size_t start = 0;
  std::size_t end = std::string::npos;  // of what fits the line so far
  for (std::size_t space = text.find(' ');; space = text.find(' ', space + 1)) {
    const bool fits = width_of(text.substr(start, space - start)) <= width;
    if (!fits && end != std::string::npos) {
      lines.push_back(text.substr(start, end - start));
      start = end + 1;
    }
    if (space == std::string::npos) break;
    end = space;
  }
  lines.push_back(text.substr(start));
  return lines;
}

}  // namespace bight::scene
