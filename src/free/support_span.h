#pragma once
// What an overhead support feels of a line that hangs from it to an anchor: force, pull and energy.
// The one interface between supports with a free coordinate and the models of a line, so that each
// support works with the closed form (limp) and with bending stiffness (rod).

#include <memory>
#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::free {

/// A piece of line from a support to an anchor, both fixed for the moment; Z is up.
struct SupportSpan {
  Vec3 anchor{0.0};
  double length_mm = 0.0;  ///< > 0
  double mass_kg_m = 0.0;  ///< > 0
  /// Unit tangent with which the line leaves the anchor, straight up or down; absent: pinned. Limp
  /// lines do not feel it.
  std::optional<Vec3> anchor_direction;
};

enum class SpanStatus {
  hangs,          ///< all fields are set
  too_short,      ///< taut or does not reach: `short_by_mm` >= 0 and `leaving`, nothing else
  not_converged,  ///< the rod found no stable shape
  invalid         ///< a value is not finite or out of range
};

struct SpanState {
  SpanStatus status = SpanStatus::invalid;
  double short_by_mm = 0.0;         ///< distance of the ends minus length
  Vec3 force_N{0.0};                ///< of the line on the support
  Vec3 anchor_force_N{0.0};         ///< of the line on the anchor
  Vec3 leaving{0.0};                ///< unit tangent at the support, into the span
  double pull_N = 0.0;              ///< force_N along `leaving`
  double energy_Nmm = 0.0;          ///< weight x height above Z = 0, and bending
  Vec3 lowest{0.0};                 ///< lowest point of the line
  double smallest_radius_mm = 0.0;  ///< where it bends most
};

/// A model of lines. Not thread-safe: one a thread.
class LineModel {
 public:
  LineModel() = default;
  LineModel(const LineModel&) = delete;
  LineModel& operator=(const LineModel&) = delete;
  virtual ~LineModel() = default;

  virtual SpanState solve(const Vec3& support, const SupportSpan& span) = 0;

  /// Points evenly spaced along the line from support to anchor, `segments` + 1 or what the model
  /// has; empty unless it hangs.
  virtual std::vector<Vec3> points(const Vec3& support, const SupportSpan& span, int segments) = 0;

  /// True when the energy is known to be strictly convex in the place of the support, so that the
  /// force along any straight way falls and balance is unique.
  ///
  /// Limp line: the catenary is the curve of least weight x height among all with |x'| <= 1, a
  /// convex set, and the height is linear; a partial minimum of a convex problem is convex in the
  /// ends (Rockafellar, Convex Analysis, 1970, Theorem 5.7). Were it not strictly so, the mean of
  /// two solutions would be one as well, with |x'| = 1: then both have the same tangents and one
  /// anchor: they are the same.
  virtual bool is_convex() const = 0;
};

/// Closed form (rod/catenary.h).
std::unique_ptr<LineModel> limp_line();

/// Discrete rod of stiffness EI > 0 (rod/planar_rod.h), pinned at the support. A slack stiff line
/// can buckle either way, so its energy is not convex: balance is then searched by scanning.
std::unique_ptr<LineModel> stiff_line(double stiffness_Nm2, int segments = 64);

}  // namespace bight::free
