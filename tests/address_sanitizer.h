#pragma once
// Defines BIGHT_ADDRESS_SANITIZER when that sanitizer is compiled in, by either compiler. For tests
// of what it does not stand.
//
// It does not hold its allocator's locks over a fork, as the C library does: a copy made while
// another thread allocates may wait for ever for a lock that nobody holds.

#if defined(__SANITIZE_ADDRESS__)
#define BIGHT_ADDRESS_SANITIZER 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define BIGHT_ADDRESS_SANITIZER 1
#endif
#endif
