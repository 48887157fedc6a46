#include "view/fitted_text.h"

#include <gtest/gtest.h>

namespace bight::view {
namespace {

/// Text is measured with a font, and that belongs to a frame.
class FittedText : public testing::Test {
 protected:
  FittedText() {
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {400.0F, 300.0F};
    unsigned char* pixels = nullptr;
    int width = 0;
    int height = 0;
    io.Fonts->GetTexDataAsAlpha8(&pixels, &width, &height);
    ImGui::NewFrame();
  }
  ~FittedText() override {
    ImGui::EndFrame();
    ImGui::DestroyContext();
  }
};

float width_of(const char* text) {
  return ImGui::CalcTextSize(text).x;
}

TEST_F(FittedText, LinesEndAtSpacesAndNeverWithinANumber) {
  const float width = width_of("and within 2.3");
  EXPECT_EQ(broken_into_lines("and within 2.3 % of it", width), "and within 2.3\n% of it");
  EXPECT_EQ(broken_into_lines("and within 2.3 % of it", width - 1.0F), "and within\n2.3 % of it");
}

TEST_F(FittedText, AWordLongerThanALineIsBroken) {
  EXPECT_EQ(broken_into_lines("to abcdef", width_of("abcd")), "to\nabcd\nef");
  EXPECT_EQ(broken_into_lines("abc", 1.0F), "a\nb\nc");
}

TEST_F(FittedText, LineEndsOfTheTextStay) {
  EXPECT_EQ(broken_into_lines("one\ntwo", 300.0F), "one\ntwo");
}

TEST_F(FittedText, NumbersAreTiedToTheirUnits) {
  EXPECT_EQ(tied("5 mm, 0.5 N m^2; 3 of 4"), "5\u00a0mm, 0.5\u00a0N\u00a0m^2; 3 of 4");
}

}  // namespace
}  // namespace bight::view
