#pragma once
// Memory in large pages, for programs that touch much of it once. For the command line's start.

namespace bight {

/// Lets the heap grow in one piece that the system may back with large pages, and keep what was
/// freed. A page that is touched for the first time costs up to 10 us on a virtual machine, and a
/// graphics driver in software touches a hundred megabytes before the first picture: of 0.57 s for
/// a picture 0.27 s were page faults. Call it before other threads start. Does nothing where the
/// C library or the system has no such thing; changes no result.
void use_large_pages();

}  // namespace bight
