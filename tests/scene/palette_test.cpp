#include "scene/palette.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace bight::scene {
namespace {

constexpr Ramp k_ramps[] = {Ramp::use, Ramp::depth, Ramp::window};
constexpr Scheme k_schemes[] = {Scheme::light, Scheme::dark};

double difference(const std::array<double, 3>& a, const std::array<double, 3>& b) {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/// WCAG 2.1 relative luminance, from CIELAB lightness (CIE 15).
double luminance(const Color& c) {
  const double f = (to_lab(c)[0] + 16.0) / 116.0;
  return f > 6.0 / 29.0 ? f * f * f : 3.0 * 36.0 / 841.0 * (f - 4.0 / 29.0);
}

double contrast(const Color& a, const Color& b) {
  const double high = std::max(luminance(a), luminance(b));
  const double low = std::min(luminance(a), luminance(b));
  return (high + 0.05) / (low + 0.05);
}

/// What a person without red or green cones tells apart: Brettel, Vienot, Mollon (1997) reduce
/// colour to lightness and a blue-yellow axis, near to b* of CIELAB.
double difference_without_red_green(const Color& a, const Color& b) {
  const auto x = to_lab(a);
  const auto y = to_lab(b);
  return std::hypot(x[0] - y[0], x[2] - y[2]);
}

TEST(Palette, LabOfWhiteBlackAndRedIsThatOfTheStandard) {
  // CIE 15 by definition; sRGB red in CIELAB under D65: 53.24, 80.09, 67.20 (Lindbloom's tables).
  const auto white = to_lab({1.0F, 1.0F, 1.0F, 1.0F});
  EXPECT_NEAR(white[0], 100.0, 0.01);
  EXPECT_NEAR(white[1], 0.0, 0.02);
  EXPECT_NEAR(white[2], 0.0, 0.02);
  EXPECT_NEAR(to_lab({0.0F, 0.0F, 0.0F, 1.0F})[0], 0.0, 0.01);
  const auto red = to_lab({1.0F, 0.0F, 0.0F, 1.0F});
  EXPECT_NEAR(red[0], 53.24, 0.05);
  EXPECT_NEAR(red[1], 80.09, 0.05);
  EXPECT_NEAR(red[2], 67.20, 0.05);
}

TEST(Palette, RampsGoInEqualStepsOfColourDifference) {
  constexpr int k_steps = 16;
  for (const Scheme scheme : k_schemes) {
    for (const Ramp ramp : k_ramps) {
      double least = std::numeric_limits<double>::infinity();
      double most = 0.0;
      for (int i = 0; i < k_steps; ++i) {
        const double step =
            difference(to_lab(ramp_color(ramp, static_cast<double>(i) / k_steps, scheme)),
                       to_lab(ramp_color(ramp, static_cast<double>(i + 1) / k_steps, scheme)));
        least = std::min(least, step);
        most = std::max(most, step);
      }
      EXPECT_GT(least, 2.3);          // a just noticeable difference (Mahy et al. 1994)
      EXPECT_LT(most / least, 1.10);  // and no colour is outside what a screen shows
    }
  }
}

TEST(Palette, LightnessOfARampRunsOneWay) {
  for (const Scheme scheme : k_schemes) {
    for (const Ramp ramp : k_ramps) {
      const double first = to_lab(ramp_color(ramp, 0.0, scheme))[0];
      const double last = to_lab(ramp_color(ramp, 1.0, scheme))[0];
      EXPECT_GT(std::abs(last - first), 15.0);
      for (int i = 1; i <= 20; ++i) {
        const double before = to_lab(ramp_color(ramp, (i - 1) / 20.0, scheme))[0];
        const double here = to_lab(ramp_color(ramp, i / 20.0, scheme))[0];
        EXPECT_GT((here - before) * (last - first), 0.0);
      }
    }
  }
}

TEST(Palette, EndsOfARampAreToldApartWithoutRedAndGreen) {
  for (const Scheme scheme : k_schemes) {
    for (const Ramp ramp : k_ramps) {
      EXPECT_GT(difference_without_red_green(ramp_color(ramp, 0.0, scheme),
                                             ramp_color(ramp, 1.0, scheme)),
                40.0);
    }
  }
}

TEST(Palette, BeyondTheLimitHasAColourOfItsOwn) {
  for (const Scheme scheme : k_schemes) {
    EXPECT_EQ(ramp_color(Ramp::use, 1.001, scheme), color(Paint::stop, scheme));
    EXPECT_EQ(ramp_color(Ramp::depth, 2.0, scheme), ramp_color(Ramp::depth, 1.0, scheme));
    EXPECT_EQ(ramp_color(Ramp::use, -1.0, scheme), ramp_color(Ramp::use, 0.0, scheme));
    EXPECT_EQ(ramp_color(Ramp::use, std::numeric_limits<double>::quiet_NaN(), scheme),
              color(Paint::text_quiet, scheme));
  }
}

TEST(Palette, TextReadsOnItsPlate) {
  // WCAG 2.1, 1.4.3: 4.5 for text, 3 for signs.
  for (const Scheme scheme : k_schemes) {
    for (const Paint plate : {Paint::halo, Paint::background_top, Paint::background_bottom}) {
      EXPECT_GE(contrast(color(Paint::text, scheme), color(plate, scheme)), 7.0);
      EXPECT_GE(contrast(color(Paint::text_quiet, scheme), color(plate, scheme)), 4.5);
      for (const Paint sign : {Paint::note, Paint::act, Paint::stop, Paint::clear}) {
        EXPECT_GE(contrast(color(sign, scheme), color(plate, scheme)), 3.0);
      }
    }
  }
}

}  // namespace
}  // namespace bight::scene
