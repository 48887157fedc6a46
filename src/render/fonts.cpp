#include "render/fonts.h"

#include <imgui.h>
#include <imgui_freetype.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <system_error>
#include <utility>

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

constexpr const char* k_inter = "opentype/inter/Inter-Regular.otf";
constexpr const char* k_inter_strong = "opentype/inter/Inter-SemiBold.otf";
constexpr const char* k_dejavu = "truetype/dejavu/DejaVuSans.ttf";
constexpr const char* k_dejavu_strong = "truetype/dejavu/DejaVuSans-Bold.ttf";

/// ImGui ends the program over a font file that is not there: look first.
bool is_there(const fs::path& path) {
  std::error_code error;
  return !path.empty() && fs::is_regular_file(path, error) && !error;
}

constexpr unsigned k_stretch = 128;

/// Whether k_text has it.
bool always_there(unsigned code) {
  for (const ImWchar* range = k_text; *range != 0; range += 2) {
    if (range[0] <= code && code <= range[1]) return true;
  }
  return code < 0x20;
}

/// Code points of UTF-8 text; what is no UTF-8 is left out.
std::vector<unsigned> code_points(std::string_view text) {
  std::vector<unsigned> codes;
  for (std::size_t i = 0; i < text.size();) {
    const auto first = static_cast<unsigned char>(text[i]);
    const std::size_t length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
    unsigned code = length == 1 ? first : first & (0xFFU >> (length + 1));
    bool whole = i + length <= text.size() && (first < 0x80 || first >= 0xC0);
    for (std::size_t k = 1; whole && k < length; ++k) {
      const auto byte = static_cast<unsigned char>(text[i + k]);
      whole = (byte & 0xC0U) == 0x80U;
      code = code << 6U | (byte & 0x3FU);
    }
    if (whole) codes.push_back(code);
    i += whole ? length : 1;
  }
  return codes;
}

std::string utf8(unsigned code) {
  if (code < 0x80) return {static_cast<char>(code)};
  const auto tail = [code](unsigned shift) {
    return static_cast<char>(0x80U | (code >> shift & 0x3FU));
  };
  if (code < 0x800) return {static_cast<char>(0xC0U | code >> 6U), tail(0)};
  return {static_cast<char>(0xE0U | code >> 12U), tail(6), tail(0)};
}

/// Ranges of all text, ended by 0.
std::vector<ImWchar> ranges_with(const std::string& letters) {
  std::vector<ImWchar> ranges;
  for (const ImWchar* one = k_text; *one != 0; ++one) ranges.push_back(*one);
  for (const unsigned code : code_points(letters)) {
    const unsigned from = code / k_stretch * k_stretch;
    ranges.push_back(static_cast<ImWchar>(from));
    ranges.push_back(static_cast<ImWchar>(from + k_stretch - 1));
  }
  ranges.push_back(0);
  return ranges;
}

/// A font made of files, the first of which that has a sign gives it. Null when none is there.
ImFont* add_font(ImFontAtlas& atlas, const std::vector<fs::path>& files, double size_px,
                 const std::vector<ImWchar>& ranges) {
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
    atlas.AddFontFromFileTTF(file.c_str(), size, &config, ranges.data());
  }
  return font;
}

/// Signs that no font at hand has are written with those that every font has.
void spell_in_ascii(ImFont& font) {
  constexpr std::pair<ImWchar, ImWchar> k_spellings[] = {
      {0x2010, '-'},  {0x2011, '-'},  {0x2012, '-'}, {0x2013, '-'}, {0x2014, '-'},
      {0x2018, '\''}, {0x2019, '\''}, {0x201C, '"'}, {0x201D, '"'}, {0x2026, '.'},
      {0x2190, '<'},  {0x2192, '>'},  {0x00D7, 'x'}, {0x00B7, '.'}};
  for (const auto& [sign, letter] : k_spellings) {
    if (font.FindGlyphNoFallback(sign) == nullptr) font.AddRemapChar(sign, letter);
  }
}

}  // namespace

std::string further_letters(std::string_view text) {
  constexpr unsigned k_plane = 0xFFFF;  // more ImGui does not count
  std::set<unsigned> stretches;
  if (std::ranges::none_of(text, [](char c) { return static_cast<unsigned char>(c) >= 0x80; })) {
    return {};
  }
  for (const unsigned code : code_points(text)) {
    if (code <= k_plane && !always_there(code)) stretches.insert(code / k_stretch * k_stretch);
  }
  std::string letters;
  for (const unsigned from : stretches) letters += utf8(from);
  return letters;
}

Fonts load_fonts(ImFontAtlas& atlas, const FontRequest& request) {
  atlas.Clear();
  atlas.FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
  atlas.FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
  atlas.TexDesiredWidth = 1024;
  constexpr double k_small = 0.87;
  constexpr double k_strong = 1.2;
  const fs::path& folder = request.folder;
  const std::vector<fs::path> text{request.preferred, folder / k_inter, folder / k_dejavu};
  const std::vector<fs::path> strong{request.preferred, folder / k_inter_strong, folder / k_inter,
                                     folder / k_dejavu_strong, folder / k_dejavu};
  const std::vector<ImWchar> ranges = ranges_with(request.letters);
  Fonts fonts;
  fonts.text = add_font(atlas, text, request.size_px, ranges);
  if (fonts.text != nullptr) {
    fonts.small = add_font(atlas, text, k_small * request.size_px, ranges);
    fonts.strong = add_font(atlas, strong, k_strong * request.size_px, ranges);
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
  for (ImFont* font : atlas.Fonts) spell_in_ascii(*font);
  constexpr ImWchar k_needed[] = {0xB0, 0xB1, 0xB7, 0x2013, 0x2192, 0x2248, 0x2264, 0x2265, 0x2300};
  fonts.complete = std::all_of(std::begin(k_needed), std::end(k_needed), [&](ImWchar sign) {
    return fonts.text->FindGlyphNoFallback(sign) != nullptr;
  });
  return fonts;
}

}  // namespace bight::render
