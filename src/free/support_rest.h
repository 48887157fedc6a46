#pragma once
// Where a support with one free coordinate comes to rest: roots of the force along the coordinate,
// stops, and the band in which friction holds it. Shared by trolley, boom, pulley and retractor.

#include <functional>
#include <limits>
#include <vector>

#include "free/support_span.h"

namespace bight::free {

/// At one value of the coordinate. Where the line is too short the force is infinite, towards where
/// it is less so; not a number where the line has no known shape.
struct Balance {
  double force = 0.0;       ///< towards larger values; minus the slope of the energy
  double friction = 0.0;    ///< greatest force that friction can hold, >= 0
  double energy_Nmm = 0.0;  ///< infinite where the line is too short
};
using BalanceAt = std::function<Balance(double)>;

struct RestSearch {
  double lower = 0.0;
  double upper = 0.0;
  /// The force is known to fall, up to `turn`: one rest, bracketed by the ends. Else the range is
  /// scanned in `steps` equal steps; two balances within one step are missed.
  bool falling = false;
  bool stops = true;  ///< the ends hold the support (false: the range is a full turn)
  int steps = 256;
  double turn = std::numeric_limits<double>::infinity();
};

/// Stable rests without friction, rising: the force changes from up to down, or pushes against a
/// stop. `failed`: somewhere the force was not a number.
struct Rests {
  std::vector<double> stable;
  bool failed = false;
};
Rests stable_rests(const BalanceAt& balance, const RestSearch& search);

/// The interval around a rest in which friction holds the support: its ends are the two extremes of
/// slip. Looked for in steps from the rest, equal ones or, where the force falls, growing ones:
/// what slips within one step only is missed.
struct FrictionBand {
  double low = 0.0;
  double high = 0.0;
  bool failed = false;
};
FrictionBand friction_band(const BalanceAt& balance, double rest, const RestSearch& search);

/// What every support says.
enum class SupportStatus {
  rests,         ///< in balance within its range
  at_stop,       ///< held by an end of its range; `outside_by` says how far beyond it would go
  runs_out,      ///< held by an end of its range; there is no balance on that side at all
  out_of_reach,  ///< the line is too short wherever the support may be: `short_by_mm`
  not_converged,
  invalid  ///< a value is not finite or out of range
};

/// The support at one value of its coordinate.
struct SupportAt {
  double coordinate = 0.0;
  Vec3 place{0.0};               ///< of the point that carries the line
  std::vector<SpanState> spans;  ///< as in the problem
  Vec3 load_N{0.0};              ///< on what holds the support
};

/// `rest`, `low` and `high` mean something in the first three states only. `rest` is
/// without friction: of several stable ones that of least energy (pulley and retractor: the one
/// that is not at a stop), `low` and `high` the extremes of the band that friction adds (all three
/// the same without friction). `unique` is proved; else `others` holds the other stable rests that
/// a scan found.
struct SupportResult {
  SupportStatus status = SupportStatus::invalid;
  SupportAt rest;
  SupportAt low;
  SupportAt high;
  double outside_by = 0.0;  ///< >= 0, in the unit of the coordinate
  double short_by_mm = 0.0;
  bool unique = false;
  std::vector<double> others;

  bool has_shape() const {
    return status == SupportStatus::rests || status == SupportStatus::at_stop ||
           status == SupportStatus::runs_out;
  }
};

/// Moves the stable rest of least energy to the front; the others stay in order.
Rests least_energy_first(const BalanceAt& balance, Rests rests);

using SupportAtCoordinate = std::function<SupportAt(double)>;

/// Fills a result for given stable rests, the first of which is taken: friction band, shapes.
/// Leaves `outside_by` and the kind of stop to the caller; a rest where a span is too short becomes
/// out_of_reach.
SupportResult settle(const BalanceAt& balance, const SupportAtCoordinate& at,
                     const RestSearch& search, const Rests& rests);

/// Sum of the forces of spans on their support along a unit direction; infinite, towards the
/// anchors out of reach, when one is too short; not a number when one has no shape.
double force_along(const std::vector<SpanState>& spans, const Vec3& direction);

/// Infinite unless all hang.
double energy_of(const std::vector<SpanState>& spans);

std::vector<SpanState> solve_spans(LineModel& model, const Vec3& support,
                                   const std::vector<SupportSpan>& spans);

bool is_valid(const std::vector<SupportSpan>& spans);

}  // namespace bight::free
