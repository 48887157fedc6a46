#pragma once
// The colours of every picture, light and dark: one table for window, picture file and report.

#include <array>
#include <cstdint>
#include <span>

namespace bight::scene {

/// sRGB, 0 to 1, not premultiplied.
struct Color {
  float r = 0.0F;
  float g = 0.0F;
  float b = 0.0F;
  float a = 1.0F;
  bool operator==(const Color&) const = default;
};

enum class Scheme : std::uint8_t { light, dark };

/// What a surface or stroke is, not which colour it has. `moving_*`: parts carried by one, two or
/// more joints, each a step of tone.
enum class Paint : std::uint8_t {
  background_top,
  background_bottom,
  floor,
  grid,
  grid_strong,
  text,
  text_quiet,
  halo,  ///< behind text
  edge,
  fixed,
  moving_one,
  moving_two,
  moving_three,
  tool,
  stock,
  clamp,
  surroundings,
  chain,
  bracket,
  anchor,
  support,
  limit_switch,
  work_area,
  travel,
  blocked,
  undecided,
  path,
  witness,
  selection,
  hover,
  cut,  ///< faces of a section
  note,
  act,
  stop,
  clear,
  count_,
};

Color color(Paint paint, Scheme scheme);

/// How severe a mark is. Shape tells it as well as colour: note a circle, act a triangle, stop a
/// square standing on its corner, clear a ring.
enum class Mark : std::uint8_t { none, clear, note, act, stop };

Paint paint_of(Mark mark);

/// Ramps for values in [0, 1].
///   use    how much of a limit is used: blue over grey to amber, dark red beyond 1
///   depth  how deep the tool gets: pale (not deep) to deep teal
///   window margin of a length window: pale to violet
/// Each is made of equal steps of colour difference in CIELAB (CIE 1976), with lightness that runs
/// one way, so that it reads in grey and for every kind of colour vision.
enum class Ramp : std::uint8_t { use, depth, window };

/// Colour of a value; values beyond [0, 1] take the ends, except that `use` above 1 is Paint::stop.
/// NaN gives the colour of Paint::text_quiet.
Color ramp_color(Ramp ramp, double value, Scheme scheme);

/// CIELAB lightness, a, b of a colour under D65 (IEC 61966-2-1, CIE 15). For tests and legends.
std::array<double, 3> to_lab(const Color& color);

/// The colour with its opacity multiplied.
inline Color faded(Color c, float opacity) {
  c.a *= opacity;
  return c;
}

}  // namespace bight::scene
