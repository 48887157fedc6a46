#include "base/parallel.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>
#include <vector>

namespace bight {
namespace {

std::vector<double> sines(unsigned threads) {
  std::vector<double> values(1000);
  parallel_for(values.size(), threads,
               [&](std::size_t i) { values[i] = std::sin(static_cast<double>(i)) / 3.0; });
  return values;
}

TEST(Parallel, OneAndManyThreadsGiveTheSameBits) {
  const std::vector<double> one = sines(1);
  for (const unsigned threads : {2U, 3U, 8U, 0U}) EXPECT_EQ(sines(threads), one) << threads;
}

TEST(Parallel, AnExceptionOfABodyArrivesAtTheCaller) {
  EXPECT_THROW(parallel_for(100, 4,
                            [](std::size_t i) {
                              if (i == 57) throw std::runtime_error("57");
                            }),
               std::runtime_error);
}

TEST(Parallel, NothingToDoIsDone) {
  int calls = 0;
  parallel_for(0, 4, [&](std::size_t) { ++calls; });
  EXPECT_EQ(calls, 0);
}

}  // namespace
}  // namespace bight
