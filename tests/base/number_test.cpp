#include "base/number.h"

#include <gtest/gtest.h>

#include <clocale>
#include <cstdlib>
#include <random>

namespace bight {
namespace {

TEST(Number, ReadsWholeTextOnly) {
  EXPECT_EQ(parse_number("12.5"), 12.5);
  EXPECT_EQ(parse_number("+3"), 3.0);
  EXPECT_EQ(parse_number("-1e-3"), -1e-3);
  for (const char* bad : {"", "12mm", " 1", "1 ", "+", "--1", "nan", "inf", "1e999", "1,5"}) {
    EXPECT_FALSE(parse_number(bad).has_value()) << bad;
  }
}

// The C library's strtod is the independent reader.
TEST(Number, ShortestTextReadsBackAsTheSameNumber) {
  std::mt19937_64 generator(7);
  std::uniform_real_distribution<double> mantissa(-10.0, 10.0);
  std::uniform_int_distribution<int> exponent(-30, 30);
  for (int i = 0; i < 2000; ++i) {
    const double value = mantissa(generator) * std::pow(10.0, exponent(generator));
    EXPECT_EQ(std::strtod(shortest(value).c_str(), nullptr), value);
    EXPECT_EQ(parse_number(shortest(value)), value);
  }
}

TEST(Number, FixedKeepsDecimalsAndHasNoNegativeZero) {
  EXPECT_EQ(fixed(2.5, 2), "2.50");
  EXPECT_EQ(fixed(-0.001, 2), "0.00");
  EXPECT_EQ(fixed(-1.0, 1), "-1.0");
  EXPECT_EQ(fixed(1e300, 0).size(), 301U);
}

TEST(Number, DoesNotDependOnTheLocale) {
  const std::string before = fixed(1234.5, 1);
  // Where the locale is not installed the call changes nothing and the test holds trivially.
  std::setlocale(LC_ALL, "de_DE.UTF-8");
  EXPECT_EQ(fixed(1234.5, 1), before);
  EXPECT_EQ(parse_number("0.5"), 0.5);
  std::setlocale(LC_ALL, "C");
}

}  // namespace
}  // namespace bight
