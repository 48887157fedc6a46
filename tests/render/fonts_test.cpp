#include "render/fonts.h"

#include <gtest/gtest.h>
#include <imgui.h>

#include <filesystem>

namespace bight::render {
namespace {

namespace fs = std::filesystem;

/// A folder of fonts that has only those of the packages named.
class FontFolder {
 public:
  explicit FontFolder(const std::vector<std::string>& packages)
      : folder_(fs::path(testing::TempDir()) /
                ("bight-fonts-" + std::to_string(packages.size()) +
                 (packages.empty() ? "" : fs::path(packages.front()).filename().string()))) {
    fs::remove_all(folder_);
    fs::create_directories(folder_ / "opentype");
    fs::create_directories(folder_ / "truetype");
    for (const std::string& package : packages) {
      fs::create_directory_symlink(fs::path("/usr/share/fonts") / package, folder_ / package);
    }
  }
  ~FontFolder() { fs::remove_all(folder_); }
  FontFolder(const FontFolder&) = delete;
  FontFolder& operator=(const FontFolder&) = delete;
  const fs::path& path() const { return folder_; }

 private:
  fs::path folder_;
};

Fonts load(ImFontAtlas& atlas, const fs::path& folder, const std::string& letters = {}) {
  return load_fonts(atlas,
                    {.size_px = 15.0, .preferred = {}, .folder = folder, .letters = letters});
}

// Signs that panels write: en dash, ellipsis, times.
constexpr ImWchar k_written[] = {0x2013, 0x2026, 0xD7};

TEST(Fonts, EachMissingPackageLeavesTextsWithoutGaps) {
  const std::vector<std::vector<std::string>> cases = {
      {"opentype/inter", "truetype/dejavu"}, {"truetype/dejavu"}, {"opentype/inter"}, {}};
  for (const auto& packages : cases) {
    const FontFolder folder(packages);
    ImFontAtlas atlas;
    const Fonts fonts = load(atlas, folder.path());
    const std::string name = packages.empty() ? "none" : packages.front();
    ASSERT_NE(fonts.text, nullptr) << name;
    for (const ImFont* font : {fonts.text, fonts.small, fonts.strong}) {
      for (const ImWchar sign : k_written) {
        EXPECT_NE(font->FindGlyphNoFallback(sign), nullptr) << name << ", sign " << sign;
      }
      for (ImWchar c = 0x20; c < 0x7F; ++c) {
        EXPECT_NE(font->FindGlyphNoFallback(c), nullptr) << name << ", sign " << c;
      }
    }
    EXPECT_EQ(fonts.about == "built in", packages.empty());
    // All signs are in DejaVu Sans (its own table of characters).
    EXPECT_EQ(fonts.complete, name != "none" && packages.back() == "truetype/dejavu") << name;
  }
}

TEST(Fonts, DigitsHaveOneWidth) {
  ImFontAtlas atlas;
  const Fonts fonts = load(atlas, "/usr/share/fonts");
  const float width = fonts.text->FindGlyph('0')->AdvanceX;
  for (ImWchar digit = '1'; digit <= '9'; ++digit) {
    EXPECT_EQ(fonts.text->FindGlyph(digit)->AdvanceX, width);
  }
}

TEST(Fonts, OtherScriptsAreThereOnceATextHasThem) {
  const std::string cyrillic = "\u041A\u0430\u0431\u0435\u043B\u044C";  // Kabel'
  const std::string greek = "\u03B1\u03B2";
  ImFontAtlas without;
  EXPECT_EQ(load(without, "/usr/share/fonts").text->FindGlyphNoFallback(0x41A), nullptr);
  const std::string letters = further_letters("plan \u00E4 " + cyrillic + greek);
  ImFontAtlas with;
  const Fonts fonts = load(with, "/usr/share/fonts", letters);
  constexpr ImWchar k_loaded[] = {0x41A, 0x430, 0x44C, 0x3B1, 0x3B2};
  for (const ImWchar code : k_loaded) {
    EXPECT_NE(fonts.text->FindGlyphNoFallback(code), nullptr) << code;
  }
}

TEST(Fonts, FurtherLettersAreOnePerStretchOf128AndNoneForLatin) {
  EXPECT_EQ(further_letters("Gr\u00F6\u00DFe 12 \u2264 \u017C"), "");
  // Greek 0380-03FF, Cyrillic 0400-047F.
  EXPECT_EQ(further_letters("\u03B1\u03C9\u0416\u03B1"), "\u0380\u0400");
  EXPECT_EQ(further_letters(further_letters("\u03B1\u0416")), "\u0380\u0400");
  EXPECT_EQ(further_letters("\xFF\xC3"), "");  // no UTF-8
}

}  // namespace
}  // namespace bight::render
