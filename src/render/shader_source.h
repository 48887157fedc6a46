#pragma once
// The shaders of the folder shaders/, put into the program at build.

#include <string_view>

namespace bight::render {

/// Text of a shader file by its name ("solid.vert"), without a version line; empty when there is
/// none.
std::string_view shader_source(std::string_view name);

}  // namespace bight::render
