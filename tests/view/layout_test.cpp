#include "view/layout.h"

#include <gtest/gtest.h>

#include <vector>

namespace bight::view {
namespace {

std::vector<Area> areas_of(const Layout& l) {
  std::vector<Area> shown;
  for (const Area& a : {l.header, l.findings, l.travel, l.picture, l.strip, l.page, l.index}) {
    if (!a.empty()) shown.push_back(a);
  }
  return shown;
}

bool overlap(const Area& a, const Area& b) {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

TEST(Layout, NothingOverlapsOrLeavesTheWindowAtAnySize) {
  for (const float em : {13.0F, 15.0F, 30.0F}) {
    for (float width = 1.0F; width < 4000.0F; width += 37.0F) {
      for (float height = 1.0F; height < 2300.0F; height += 61.0F) {
        const Page page = static_cast<int>(width) % 2 == 0 ? Page::plan : Page::curves;
        const auto areas = areas_of(lay_out(width, height, em, page));
        for (std::size_t i = 0; i < areas.size(); ++i) {
          EXPECT_GE(areas[i].x, 0.0F);
          EXPECT_GE(areas[i].y, 0.0F);
          EXPECT_LE(areas[i].x + areas[i].width, width + 0.5F);
          EXPECT_LE(areas[i].y + areas[i].height, height + 0.5F);
          for (std::size_t j = i + 1; j < areas.size(); ++j) {
            EXPECT_FALSE(overlap(areas[i], areas[j])) << width << " x " << height << ": " << i << j;
          }
        }
      }
    }
  }
}

TEST(Layout, EveryPageCanBeReachedInEveryWindow) {
  for (const float width : {640.0F, 1000.0F, 1360.0F, 3840.0F}) {
    const Layout l = lay_out(width, 0.6F * width, 15.0F);
    for (int i = 0; i < k_pages; ++i) {
      const auto page = static_cast<Page>(i);
      const bool has_place = (page == Page::findings && !l.findings.empty()) ||
                             (page == Page::travel && !l.travel.empty());
      EXPECT_TRUE(listed(l, page) || has_place) << width << ", page " << i;
    }
  }
}

TEST(Layout, SmallWindowStillShowsThePicture) {
  const Layout l = lay_out(640.0F, 400.0F, 15.0F);
  EXPECT_FALSE(l.picture.empty());
  EXPECT_FALSE(l.page.empty());
  EXPECT_FALSE(l.wide);
}

}  // namespace
}  // namespace bight::view
