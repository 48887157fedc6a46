#include "base/check.h"

#include <cstdio>
#include <cstdlib>

namespace bight {

void check_failed(const char* condition, const char* file, int line) {
  std::fprintf(stderr, "bight: internal error: %s does not hold (%s:%d)\n", condition, file, line);
  std::abort();
}

}  // namespace bight
