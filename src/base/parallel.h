#pragma once
// Parallel loops over indices. Results depend on the index only, so 1 and N threads give the same
// bits. Plain std::thread rather than a tasking library: the thread sanitizer sees all of it, and
// no library start-up cost.

#include <cstddef>
#include <functional>

namespace bight {

/// Threads used when nothing else is asked: the machine's, at least 1.
unsigned default_threads();

/// Calls body(i) once for each i in [0, count), on up to `threads` threads (0: default_threads()).
/// The body writes only to slot i of its results. An exception of a body is rethrown here after all
/// threads ended.
void parallel_for(std::size_t count, unsigned threads,
                  const std::function<void(std::size_t)>& body);

}  // namespace bight
