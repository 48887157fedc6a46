#pragma once
// Steps of solve_chain_shape, shared by its sources only.

#include <optional>
#include <span>
#include <vector>

#include "chain/chain_shape.h"

namespace bight::chain::shape_detail {

/// A piece of constant curvature in place.
struct Arc {
  PieceKind kind = PieceKind::lying;
  Vec2 start{0.0};
  double angle = 0.0;  ///< rad, tangent at the start
  double curvature = 0.0;
  double length = 0.0;

  Vec2 point(double s) const;
  double end_angle() const { return angle + curvature * length; }
  Vec2 end() const { return point(length); }
  /// Integral of (point(u) - start) du over [0, s].
  Vec2 first_moment(double s) const;
};

/// sin(x) / x and (1 - cos(x)) / x, also near 0.
double sinc(double x);
double versinc(double x);

/// Chords that a piece is drawn with: no longer than a link, no more than 5 deg each.
int drawing_steps(double length, double curvature, double pitch);

/// Arcs joined end to end, with what is known of the forces.
struct ArcChain {
  std::vector<Arc> arcs;
  bool bracket_at_stop =
      false;  ///< the joint at the last bracket is at its stop: it carries moment
  void add(PieceKind kind, double curvature, double length);
};

struct ArcForces {
  bool found = false;
  Vec2 end_force{0.0};  ///< of the bracket on the chain
  double end_moment = 0.0;
  Vec2 start_force{0.0};
  double start_moment = 0.0;
  std::vector<double> reactions;  ///< +y on the chain at the end of each arc, 0 where none can be
  double lying_N = 0.0;           ///< spread over lying pieces
  double wrong_sign = 0.0;        ///< largest moment or reaction of wrong sign, scaled
};

/// Angle (rad) of the line from the moving pin that touches the bend from above: what the sag of
/// the upper run is told from. Nothing where the pin lies within the bend.
std::optional<double> bend_tangent(const Vec2& centre, double radius, const Vec2& moving);

/// Forces from M = 0 where arcs join, at the last bracket unless its joint is at its stop, and on
/// lying pieces. `weight` N/mm along `gravity`.
ArcForces arc_forces(const ArcChain& chain, double weight, const Vec2& gravity);

/// A chain over a tray or sticking out: gravity along -y, fixed end low. Fills the result.
void solve_lying(const ChainShapeProblem& problem, ChainShape& shape);

/// Any other chain, as a rod with a little stiffness between the stops, coarse and fine; false,
/// and only `problem` touched, when it does not settle.
bool solve_as_rod(const ChainShapeProblem& problem, ChainShape& shape);

/// A loop that hangs with its bend down: gravity along +x.
void solve_hanging(const ChainShapeProblem& problem, ChainShape& shape);

}  // namespace bight::chain::shape_detail
