#include "base/large_pages.h"

#include <cstdlib>  // tells which C library this is

#if defined(__linux__) && defined(__GLIBC__)
#include <malloc.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>
#endif

namespace bight {

void use_large_pages() {
#if defined(__linux__) && defined(__GLIBC__)
  constexpr int k_megabyte = 1 << 20;
  constexpr int k_heap = 128 * k_megabyte;  // reserved, not used: pages come when touched
  // A multisampled picture's buffers are allocations of 16 MB: they belong into the heap, too.
  mallopt(M_MMAP_THRESHOLD, 32 * k_megabyte);
  mallopt(M_TRIM_THRESHOLD, 2 * k_heap);
  mallopt(M_TOP_PAD, k_heap);
  const auto before = reinterpret_cast<std::uintptr_t>(::sbrk(0));
  // Grows the heap by that and the padding; volatile, or the compiler leaves both calls out.
  void* volatile grown = std::malloc(k_megabyte);
  std::free(grown);
  const auto after = reinterpret_cast<std::uintptr_t>(::sbrk(0));
  mallopt(M_TOP_PAD, k_megabyte);
  constexpr std::uintptr_t k_page = 4096;
  const std::uintptr_t start = (before + k_page - 1) / k_page * k_page;
  if (after <= start) return;  // the heap is somewhere else, in a sanitizer's hands for instance
  ::madvise(reinterpret_cast<void*>(start), after - start,
            MADV_HUGEPAGE);  // NOLINT(performance-no-int-to-ptr)
#endif
}

}  // namespace bight
