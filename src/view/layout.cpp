#include "view/layout.h"

#include <algorithm>
#include <cmath>

namespace bight::view {
namespace {

float whole(float v) {
  return std::floor(std::max(0.0F, v));
}

}  // namespace

Layout lay_out(float width, float height, float em, Page page) {
  Layout l;
  const float gap = std::max(1.0F, std::round(em * 0.13F));
  const bool tall = height >= 30.0F * em;
  l.wide = width >= 74.0F * em && height >= 36.0F * em;
  l.header = {0.0F, 0.0F, width, whole(std::min(height, (tall ? 4.75F : 2.7F) * em))};
  const float top = l.header.height + gap;
  const float below = whole(height - top);
  const float index_width = whole(std::min(6.2F * em, 0.2F * width));
  l.index = {width - index_width, top, index_width, below};
  float page_width = l.wide ? whole(std::clamp(0.25F * width, 25.0F * em, 36.0F * em))
                            : whole(std::clamp(0.42F * width, 16.5F * em, 27.0F * em));
  if (l.wide && (page == Page::compare || page == Page::curves)) {
    page_width = whole(std::clamp(0.36F * width, 25.0F * em, 60.0F * em));
  }
  const float page_left = std::max(0.0F, l.index.x - page_width);
  l.page = {page_left, top, l.index.x - page_left, below};
  float left = 0.0F;
  if (l.wide) {
    const float column = whole(std::clamp(0.21F * width, 23.0F * em, 32.0F * em));
    const float travel_height = whole(std::min(17.5F * em, 0.45F * below));
    l.findings = {0.0F, top, column, below - travel_height - gap};
    l.travel = {0.0F, top + l.findings.height + gap, column, travel_height};
    left = column + gap;
  }
  const float picture_width = whole(page_left - gap - left);
  if (picture_width < 6.0F * em) return l;
  const float strip_height = page != Page::curves && (l.wide || below >= 36.0F * em)
                                 ? whole(std::clamp(0.2F * below, 9.5F * em, 16.0F * em))
                                 : 0.0F;
  l.picture = {left, top, picture_width, below - (strip_height > 0.0F ? strip_height + gap : 0.0F)};
  if (strip_height > 0.0F) {
    l.strip = {left, top + l.picture.height + gap, picture_width, strip_height};
  }
  return l;
}

bool listed(const Layout& layout, Page page) {
  return !layout.wide || (page != Page::findings && page != Page::travel);
}

}  // namespace bight::view
