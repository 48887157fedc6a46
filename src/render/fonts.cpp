#include "render/fonts.h"

#include <imgui.h>
#include <imgui_freetype.h>

#include <algorithm>
#include <cmath>
#include <system_error>

namespace bight::render {
namespace {

namespace fs = std::filesystem;

// ImGui keeps the pointers to ranges until the atlas is built.
constexpr ImWchar k_digits[] = {'0', '9', 0};
constexpr ImWchar k_text[] = {0x20,   0xFF,   // Latin, with degree, plus-minus, squared, middle dot
                              0x100,  0x17F,  // names of people
                              0x2010, 0x2027,  // dashes, quotes, dots
                              0x2030, 0x203A,  // per mille, primes
                              0x20AC, 0x20AC,  // euro
                              0x2190, 0x2195,  // arrows
                              0x2205, 0x2205, 0x2220, 0x2220, 0x221E, 0x221E, 0x2248,
                              0x2248, 0x2260, 0x2265,  // not equal, at most, at least
                              0x2300, 0x2300,          // diameter
                              0x25A0, 0x25CF, 0x26A0, 0x26A0, 0x2713, 0x2713, 0};

constexpr const char* k_inter = "/usr/share/fonts/opentype/inter/Inter-Regular.otf";
constexpr const char* k_inter_strong = "/usr/share/fonts/opentype/inter/Inter-SemiBold.otf";
constexpr const char* k_dejavu = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf";
constexpr const char* k_dejavu_strong = "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf";

/// ImGui ends the program over a font file that is not there: look first.
bool is_there(const fs::path& path) {
  std::error_code error;
  return !path.empty() && fs::is_regular_file(path, error) && !error;
}

/// A font made of files, the first of which that has a sign gives it. Null when none is there.
ImFont* add_font(ImFontAtlas& atlas, const std::vector<fs::path>& files, double size_px) {
  ImFont* font = nullptr;
  const auto size = static_cast<float>(std::max(std::round(size_px), 6.0));
  for (const fs::path& file : files) {
    if (!is_there(file)) continue;
    ImFontConfig config;
    config.PixelSnapH = true;
    config.OversampleH = 1;
    config.MergeMode = font != nullptr;
    if (font == nullptr) {
      // Digits of one width, so that numbers do not jump while they change.
      constexpr float k_digit_width = 0.56F;
      ImFontConfig digits = config;
      digits.GlyphMinAdvanceX = std::floor(k_digit_width * size + 0.3F);
      digits.GlyphMaxAdvanceX = digits.GlyphMinAdvanceX;
      font = atlas.AddFontFromFileTTF(file.c_str(), size, &digits, k_digits);
      config.MergeMode = true;
    }
    atlas.AddFontFromFileTTF(file.c_str(), size, &config, k_text);
  }
  return font;
}

}  // namespace

Fonts load_fonts(ImFontAtlas& atlas, const FontRequest& request) {
  atlas.Clear();
  atlas.FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
  atlas.FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
  atlas.TexDesiredWidth = 1024;
  constexpr double k_small = 0.87;
  constexpr double k_strong = 1.2;
  const std::vector<fs::path> text{request.preferred, k_inter, k_dejavu};
  const std::vector<fs::path> strong{request.preferred, k_inter_strong, k_inter, k_dejavu_strong,
                                     k_dejavu};
  Fonts fonts;
  fonts.text = add_font(atlas, text, request.size_px);
  if (fonts.text != nullptr) {
    fonts.small = add_font(atlas, text, k_small * request.size_px);
    fonts.strong = add_font(atlas, strong, k_strong * request.size_px);
    fonts.about = std::find_if(text.begin(), text.end(), [](const fs::path& p) {
                    return is_there(p);
                  })->string();
  } else {
    fonts.text = atlas.AddFontDefault();
    fonts.small = fonts.text;
    fonts.strong = fonts.text;
    fonts.about = "built in";
  }
  atlas.Build();
  constexpr ImWchar k_needed[] = {0xB0, 0xB1, 0xB7, 0x2013, 0x2192, 0x2248, 0x2264, 0x2265, 0x2300};
  fonts.complete = std::all_of(std::begin(k_needed), std::end(k_needed), [&](ImWchar sign) {
    return fonts.text->FindGlyphNoFallback(sign) != nullptr;
  });
  return fonts;
}

}  // namespace bight::render
