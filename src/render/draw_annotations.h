#pragma once
// Texts, signs and lines of a picture into an ImGui draw list: the window's, or that of a picture
// file.

#include "render/fonts.h"
#include "scene/annotate.h"

struct ImDrawList;

namespace bight::render {

/// Measures with the font that draw_annotations will use for that size.
scene::MeasureText text_measure(const Fonts& fonts);

/// `offset`: where the picture's upper left corner lies in the draw list, pixels.
void draw_annotations(ImDrawList& list, const scene::Annotations& annotations, const Fonts& fonts,
                      scene::Scheme scheme, const Vec2& offset = Vec2(0.0));

/// A severity sign, for lists in panels too: its shape tells as well as its colour.
void draw_sign(ImDrawList& list, const Vec2& middle, double radius_px, scene::Mark mark,
               scene::Scheme scheme);

/// Colour as ImGui packs it.
unsigned packed(const scene::Color& color);

}  // namespace bight::render
