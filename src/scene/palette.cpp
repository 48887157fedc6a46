#include "scene/palette.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace bight::scene {
namespace {

constexpr Color rgb(std::uint32_t hex, float opacity = 1.0F) {
  constexpr float k_most = 255.0F;
  return {static_cast<float>((hex >> 16U) & 0xFFU) / k_most,
          static_cast<float>((hex >> 8U) & 0xFFU) / k_most,
          static_cast<float>(hex & 0xFFU) / k_most, opacity};
}

struct Pair {
  Paint paint = Paint::count_;
  Color light;
  Color dark;
};

constexpr std::array<Pair, static_cast<std::size_t>(Paint::count_)> k_colors{{
    {Paint::background_top, rgb(0xFAFBFC), rgb(0x20262C)},
    {Paint::background_bottom, rgb(0xE3E8EC), rgb(0x14181C)},
    {Paint::floor, rgb(0xEEF1F3), rgb(0x23292F)},
    {Paint::grid, rgb(0x9AA7B2, 0.35F), rgb(0x8496A6, 0.20F)},
    {Paint::grid_strong, rgb(0x7B8995, 0.65F), rgb(0x93A5B5, 0.40F)},
    {Paint::text, rgb(0x1B242C), rgb(0xEDF1F4)},
    {Paint::text_quiet, rgb(0x586672), rgb(0x9AA8B4)},
    {Paint::halo, rgb(0xFFFFFF, 0.86F), rgb(0x171C21, 0.86F)},
    {Paint::edge, rgb(0x26323C, 0.80F), rgb(0x0A0D10, 0.85F)},
    {Paint::fixed, rgb(0xC3C9CE), rgb(0x8B959E)},
    {Paint::moving_one, rgb(0xA9BACA), rgb(0x75889B)},
    {Paint::moving_two, rgb(0x8CA7C1), rgb(0x6384A5)},
    {Paint::moving_three, rgb(0x7095BB), rgb(0x5480AE)},
    {Paint::tool, rgb(0xC79A3B), rgb(0xD9AE55)},
    {Paint::stock, rgb(0xDCC8A4), rgb(0xB69E76)},
    {Paint::clamp, rgb(0x6F7C87), rgb(0xA9B5BF)},
    {Paint::surroundings, rgb(0xE4E8EB), rgb(0x39424A)},
    {Paint::chain, rgb(0x4C5761), rgb(0x59656F)},
    {Paint::bracket, rgb(0x7D8892), rgb(0x8D99A3)},
    {Paint::anchor, rgb(0x245E73), rgb(0x6DB7D0)},
    {Paint::support, rgb(0x3C6478), rgb(0x8FC1D6)},
    {Paint::limit_switch, rgb(0x76549A), rgb(0xB79AD8)},
    {Paint::work_area, rgb(0x1F7F6B), rgb(0x5CC4AC)},
    {Paint::travel, rgb(0x3F6FB5), rgb(0x7FA9E6)},
    {Paint::blocked, rgb(0xC03A30), rgb(0xEB6A5E)},
    {Paint::undecided, rgb(0xD08A3A), rgb(0xE8AE68)},
    {Paint::path, rgb(0x7442A8), rgb(0xBD93EA)},
    {Paint::witness, rgb(0x12181D), rgb(0xF6F8FA)},
    {Paint::selection, rgb(0x0A7BCB), rgb(0x4FB4F5)},
    {Paint::hover, rgb(0x55A6DC), rgb(0x8BCBF5)},
    {Paint::cut, rgb(0xB9754B), rgb(0xC58A62)},
    {Paint::note, rgb(0x2D6CA8), rgb(0x74B2EA)},
    {Paint::act, rgb(0xB76A00), rgb(0xF0AC3F)},
    {Paint::stop, rgb(0xBE2A2A), rgb(0xF0655C)},
    {Paint::clear, rgb(0x2A7F50), rgb(0x66C48E)},
}};

constexpr bool in_order() {
  for (std::size_t i = 0; i < k_colors.size(); ++i) {
    if (static_cast<std::size_t>(k_colors[i].paint) != i) return false;
  }
  return true;
}
static_assert(in_order(), "one entry a paint, in the order of the enumeration");

using Lab = std::array<double, 3>;

/// Ends of the ramps. Between them the ramp is a straight line in CIELAB, so equal steps of value
/// are equal colour differences by construction.
struct RampEnds {
  Lab low{};
  Lab high{};
};

RampEnds ends(Ramp ramp, Scheme scheme) {
  const bool light = scheme == Scheme::light;
  switch (ramp) {
    case Ramp::use:
      return light ? RampEnds{{64.0, -6.0, -34.0}, {47.0, 32.0, 54.0}}
                   : RampEnds{{52.0, -3.0, -38.0}, {76.0, 18.0, 62.0}};
    case Ramp::depth:
      return light ? RampEnds{{93.0, -4.0, 0.0}, {42.0, -17.0, -13.0}}
                   : RampEnds{{30.0, -7.0, -7.0}, {84.0, -26.0, -6.0}};
    case Ramp::window:
      break;
  }
  return light ? RampEnds{{92.0, 3.0, -4.0}, {38.0, 34.0, -42.0}}
               : RampEnds{{30.0, 14.0, -22.0}, {82.0, 16.0, -20.0}};
}

// IEC 61966-2-1: sRGB transfer; D65 white; CIE 15: CIELAB.
constexpr double k_white[3] = {0.95047, 1.0, 1.08883};

double to_linear(double c) {
  return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

float from_linear(double c) {
  const double v = c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1.0 / 2.4) - 0.055;
  return static_cast<float>(std::clamp(v, 0.0, 1.0));
}

double lab_f(double t) {
  constexpr double k_delta = 6.0 / 29.0;
  return t > k_delta * k_delta * k_delta ? std::cbrt(t)
                                         : t / (3.0 * k_delta * k_delta) + 4.0 / 29.0;
}

double lab_inverse(double f) {
  constexpr double k_delta = 6.0 / 29.0;
  return f > k_delta ? f * f * f : 3.0 * k_delta * k_delta * (f - 4.0 / 29.0);
}

Color from_lab(const Lab& lab) {
  const double fy = (lab[0] + 16.0) / 116.0;
  const double x = k_white[0] * lab_inverse(fy + lab[1] / 500.0);
  const double y = k_white[1] * lab_inverse(fy);
  const double z = k_white[2] * lab_inverse(fy - lab[2] / 200.0);
  return {from_linear(3.2404542 * x - 1.5371385 * y - 0.4985314 * z),
          from_linear(-0.9692660 * x + 1.8760108 * y + 0.0415560 * z),
          from_linear(0.0556434 * x - 0.2040259 * y + 1.0572252 * z), 1.0F};
}

}  // namespace

Color color(Paint paint, Scheme scheme) {
  const auto i = static_cast<std::size_t>(paint);
  BIGHT_CHECK(i < k_colors.size());
  return scheme == Scheme::light ? k_colors[i].light : k_colors[i].dark;
}

Paint paint_of(Mark mark) {
  switch (mark) {
    case Mark::stop:
      return Paint::stop;
    case Mark::act:
      return Paint::act;
    case Mark::note:
      return Paint::note;
    case Mark::clear:
      return Paint::clear;
    case Mark::none:
      break;
  }
  return Paint::text_quiet;
}

Color ramp_color(Ramp ramp, double value, Scheme scheme) {
  if (std::isnan(value)) return color(Paint::text_quiet, scheme);
  if (ramp == Ramp::use && value > 1.0) return color(Paint::stop, scheme);
  const double t = std::clamp(value, 0.0, 1.0);
  const RampEnds e = ends(ramp, scheme);
  Lab lab{};
  for (std::size_t i = 0; i < 3; ++i) lab[i] = e.low[i] + t * (e.high[i] - e.low[i]);
  return from_lab(lab);
}

std::array<double, 3> to_lab(const Color& c) {
  const double r = to_linear(c.r);
  const double g = to_linear(c.g);
  const double b = to_linear(c.b);
  const double x = 0.4124564 * r + 0.3575761 * g + 0.1804375 * b;
  const double y = 0.2126729 * r + 0.7151522 * g + 0.0721750 * b;
  const double z = 0.0193339 * r + 0.1191920 * g + 0.9503041 * b;
  const double fx = lab_f(x / k_white[0]);
  const double fy = lab_f(y / k_white[1]);
  const double fz = lab_f(z / k_white[2]);
  return {116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)};
}

}  // namespace bight::scene
