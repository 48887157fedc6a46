#include "shape/isolated.h"

#include <gtest/gtest.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <stdexcept>
#include <thread>
#include <vector>

namespace bight::shape {
namespace {

constexpr IsolationLimits k_limits{
    .memory_bytes = std::size_t{256} << 20U, .cpu_seconds = 20, .wall_seconds = 60};

TEST(Isolated, HandsBackWhatTheWorkReturns) {
  const std::string large(3'000'000, 'x');

  const IsolatedResult result = run_isolated([&] { return large + "\0end"; }, k_limits);

  ASSERT_TRUE(result.output) << result.problem;
  EXPECT_EQ(*result.output, large + "\0end");
  EXPECT_EQ(run_isolated([] { return std::string(); }, k_limits).output, "");
}

TEST(Isolated, WhatTheWorkWritesStaysWithIt) {
  int here = 1;
  run_isolated([&] { return here = 2, std::string(); }, k_limits);
  EXPECT_EQ(here, 1);
}

TEST(Isolated, AnExceptionBecomesAProblem) {
  const IsolatedResult result = run_isolated(
      []() -> std::string { throw std::runtime_error("page 7 is missing"); }, k_limits);

  EXPECT_FALSE(result.output);
  EXPECT_EQ(result.problem, "page 7 is missing");
}

TEST(Isolated, ACrashOrAnAbortBecomesAProblem) {
  for (const int number : {SIGSEGV, SIGABRT, SIGFPE}) {
    const IsolatedResult result =
        run_isolated([=] { return std::raise(number), std::string(); }, k_limits);
    EXPECT_FALSE(result.output);
    EXPECT_NE(result.problem.find("ended by a signal"), std::string::npos);
  }
}

TEST(Isolated, MemoryIsBounded) {
  const IsolatedResult result =
      run_isolated([] { return std::string(std::size_t{1} << 30U, 'x').substr(0, 1); }, k_limits);

  EXPECT_FALSE(result.output);
  // A sanitizer's allocator ends the process where the standard one throws.
  EXPECT_TRUE(result.problem == "it takes more than 256 MiB" ||
              result.problem.find("ended without") != std::string::npos ||
              result.problem.find("ended by a signal") != std::string::npos)
      << result.problem;
}

TEST(Isolated, WorkThatNeverEndsIsEnded) {
  IsolationLimits limits = k_limits;
  limits.wall_seconds = 1;
  const IsolatedResult waiting = run_isolated(
      [] { return std::this_thread::sleep_for(std::chrono::hours(1)), std::string(); }, limits);
  EXPECT_EQ(waiting.problem, "it took more than 1 s");

  limits = k_limits;
  limits.cpu_seconds = 1;
  const IsolatedResult busy = run_isolated(
      [] {
        const auto end = std::chrono::steady_clock::now() + std::chrono::hours(1);
        while (std::chrono::steady_clock::now() < end) {
        }
        return std::string();
      },
      limits);
  EXPECT_EQ(busy.problem, "it took more than 1 s");
}

TEST(Isolated, SeveralThreadsMayEachHaveTheirOwn) {
  if (!isolation_stands_threads()) GTEST_SKIP() << "as its header says of this sanitizer";
  std::vector<int> right(8, 0);
  std::vector<std::thread> threads;
  for (std::size_t i = 0; i < right.size(); ++i) {
    threads.emplace_back([&right, i] {
      const std::string wanted(100000, static_cast<char>('a' + i));
      for (int k = 0; k < 10; ++k) {
        if (run_isolated([&] { return wanted; }, k_limits).output == wanted) ++right[i];
      }
    });
  }
  for (std::thread& t : threads) t.join();
  EXPECT_EQ(right, std::vector<int>(8, 10));
}

}  // namespace
}  // namespace bight::shape
