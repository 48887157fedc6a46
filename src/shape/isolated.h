#pragma once
// Work in a process of its own, for code that we cannot vouch for on hostile input: what it does
// with memory, time or its own pointers stays there.

#include <cstddef>
#include <functional>
#include <optional>
#include <string>

namespace bight::shape {

struct IsolationLimits {
  std::size_t memory_bytes = 0;  ///< beyond what the process holds at the start; then bad_alloc
  unsigned cpu_seconds = 0;      ///< processor time, whole seconds
  unsigned wall_seconds = 0;     ///< clock time, for work that waits rather than computes
};

/// What the work returned, or why it did not.
struct IsolatedResult {
  std::optional<std::string> output;
  std::string problem;  ///< a clause ("it took more than 10 s"), set exactly when `output` is not
};

/// Runs `work` in a copy of this process (fork) and hands back what it returns. An exception, a
/// crash, an abort or a limit passed becomes a problem. The copy has the calling thread alone, no
/// output, no signal handlers of ours and no core file, and ends when its parent does. Costs about
/// 1 ms and two copies of the output. The work must not wait for another thread. Other threads may
/// run meanwhile where isolation_stands_threads().
IsolatedResult run_isolated(const std::function<std::string()>& work,
                            const IsolationLimits& limits);

/// True with the C library's allocator, which stays usable over a fork. AddressSanitizer's does not
/// hold its locks then: a copy made while another thread allocates may wait for ever.
bool isolation_stands_threads();

}  // namespace bight::shape
