#pragma once
// Always-on check for programming errors. Bad input is never checked with it: that becomes a
// diagnostic.

namespace bight {

/// Reports the broken condition on stderr and aborts. Called by BIGHT_CHECK only.
[[noreturn]] void check_failed(const char* condition, const char* file, int line);

}  // namespace bight

#define BIGHT_CHECK(condition) \
  ((condition) ? static_cast<void>(0) : ::bight::check_failed(#condition, __FILE__, __LINE__))
