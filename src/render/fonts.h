#pragma once
// Fonts for window and pictures: Inter with digits of one width, DejaVu Sans for signs that it
// lacks, else what ImGui brings.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

struct ImFont;
struct ImFontAtlas;

namespace bight::render {

struct FontRequest {
  double size_px = 15.0;                              ///< already scaled
  std::filesystem::path preferred;                    ///< tried first; may be empty
  std::filesystem::path folder = "/usr/share/fonts";  ///< where the distribution keeps them
  std::string letters;  ///< of other scripts, as further_letters() gives them
};

/// Fonts are owned by the atlas. `complete`: has every sign that the program uses; else dashes,
/// ellipses and the like are drawn as their nearest ASCII sign.
struct Fonts {
  ImFont* text = nullptr;
  ImFont* small = nullptr;   ///< 0.87 of the size
  ImFont* strong = nullptr;  ///< half bold, 1.2 of the size
  bool complete = false;
  std::string about;  ///< the file that the text comes from; "built in"
};

/// What a text needs beyond the letters that are always there (Latin and signs): the first letter
/// of each stretch of 128 code points of which it has one, in order. Greek, Cyrillic and the like
/// cost time at the start, so they are loaded once a text has them.
std::string further_letters(std::string_view text);

/// Fills an atlas (cleared first) and builds it. Never fails: a missing file goes to the next.
Fonts load_fonts(ImFontAtlas& atlas, const FontRequest& request);

}  // namespace bight::render
