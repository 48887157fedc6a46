#pragma once
// Fonts for window and pictures: Inter with digits of one width, DejaVu Sans for signs that it
// lacks, else what ImGui brings.

#include <filesystem>
#include <string>
#include <vector>

struct ImFont;
struct ImFontAtlas;

namespace bight::render {

struct FontRequest {
  double size_px = 15.0;            ///< already scaled
  std::filesystem::path preferred;  ///< tried first; may be empty
};

/// Fonts are owned by the atlas. `complete`: has every sign that the program uses (else write ">="
/// and the like).
struct Fonts {
  ImFont* text = nullptr;
  ImFont* small = nullptr;   ///< 0.87 of the size
  ImFont* strong = nullptr;  ///< half bold, 1.2 of the size
  bool complete = false;
  std::string about;  ///< the file that the text comes from; "built in"
};

/// Fills an atlas (cleared first) and builds it. Never fails: a missing file goes to the next.
Fonts load_fonts(ImFontAtlas& atlas, const FontRequest& request);

}  // namespace bight::render
