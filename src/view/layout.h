#pragma once
// Where the sheets of the window lie, from its size alone. Wide windows show findings and travel at
// the left, the picture with the tour strip in the middle and one page at the right; smaller ones
// show one page at a time beside the picture.

namespace bight::view {

/// Pages in the order of the index at the right edge.
enum class Page { findings, travel, plan, section, lengths, compare, hooks, curves };
inline constexpr int k_pages = 8;

struct Area {
  float x = 0.0F;
  float y = 0.0F;
  float width = 0.0F;
  float height = 0.0F;
  bool empty() const { return !(width > 0.0F && height > 0.0F); }
};

/// Areas that are not shown are empty. They do not overlap and lie within the window.
struct Layout {
  bool wide = false;  ///< findings and travel have their own places
  Area header;
  Area findings;
  Area travel;
  Area picture;
  Area strip;
  Area page;
  Area index;
};

/// Sizes in pixels, `em` is the height of the font. `page` is the one shown: a table of all options
/// and curves get more room than a form, and curves do without the strip, which shows the same.
Layout lay_out(float width, float height, float em, Page page = Page::plan);

/// Whether the index lists the page: in a wide window findings and travel are always there.
bool listed(const Layout& layout, Page page);

}  // namespace bight::view
