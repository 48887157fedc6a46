#pragma once
// The numerical policy of the project: every constant with its unit, who uses it and what goes
// wrong either way.

#include <cstddef>

namespace bight {

/// mm. The clearance query's bounds differ by at most this unless told otherwise. Larger: verdicts
/// near a limit become "undecided"; smaller: no use, machines are not built to it and far-away
/// scenes run out of digits.
inline constexpr double k_clearance_tolerance_mm = 0.01;

/// mm. Chord error of curved primitives (cylinder, capsule): the solid made of facets lies OUTSIDE
/// the true one by at most this, so that "clear" stays true. Smaller: more triangles for nothing.
inline constexpr double k_facet_tolerance_mm = 0.05;

/// mm. Resolution to which a blocked region is followed in a check. Smaller: slower, the answer
/// hardly changes.
inline constexpr double k_blocked_resolution_mm = 5.0;

/// Relative. Closed-form lines (catenary) are solved to this; the printed digits need 1e-9.
inline constexpr double k_catenary_relative = 1e-13;

/// mm. Lengths that are equal to within this count as equal when a limit is compared with a
/// computed value, so that a plan made exactly to its limit does not fail by rounding.
inline constexpr double k_length_equal_mm = 1e-6;

/// Degrees. A line that turns by no more from one leg of its run into the next goes straight on:
/// clips and brackets hold it no truer. So near to 180 it turns back on itself. Larger: kinks pass;
/// smaller: findings about how a plan was rounded.
inline constexpr double k_straight_turn_deg = 5.0;

/// Standard acceleration of gravity, m/s^2 (CGPM 1901).
inline constexpr double k_gravity = 9.80665;

/// Bytes. Largest plan file read; plans are tens of kilobytes, and each option is read as a plan.
inline constexpr std::size_t k_plan_bytes_limit = 1U << 20U;

/// Bytes and triangles. Largest mesh read: beyond it a machine is better described by simpler
/// parts.
inline constexpr std::size_t k_mesh_bytes_limit = 1U << 30U;
inline constexpr std::size_t k_mesh_triangles_limit = 10'000'000;

}  // namespace bight
