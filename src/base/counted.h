#pragma once
// Counts with their noun, for sentences.

#include <cstddef>
#include <string>

namespace bight {

/// "1 stop", "3 stops".
inline std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

}  // namespace bight
