#pragma once
// The shape that a drag chain takes under its own weight, with the forces on its brackets: for
// chains whose stops let the run sag, whose brackets stand higher than 2 R, or that hang.
//
// Model: the pitch line moves in one plane and has no bending stiffness; its curvature is confined
// to [-1/back radius, 1/R] (joint stops), folding positive. A shape of least potential energy then
// consists of pieces (Pontryagin's principle with the bending moment M as switching function):
//   fold  at the folding stop, curvature 1/R, M >= 0
//   back  at the back stop, curvature -1/back radius, M <= 0
//   free  between the stops, M = 0: a catenary
//   lying on the tray or on the run below, M = 0
// Closure gives the lengths of the pieces; M = 0 where two pieces join gives the forces; the signs
// of M and of the contact forces then prove the balance, so nothing rests on a regularising
// stiffness or on a number of segments. A chain with stiffness tends to this as stiffness goes to
// 0.
//
// Coordinates of the loop (chain/loop.h): x along the joint, positive where the loop opens, y from
// the fixed run to the moving run, fixed pin at the origin. Lengths mm, forces N.

#include <optional>
#include <string>
#include <vector>

#include "base/vec.h"

namespace bight::chain {

struct ChainShapeProblem {
  double length_mm = 0.0;
  double bend_radius_mm = 0.0;  ///< R of the pitch line
  std::optional<double>
      back_radius_mm;            ///< tightest bend the other way; absent: stops hold straight
  double pitch_mm = 0.0;         ///< the joint at a bracket turns by at most pitch / R
  double outer_height_mm = 0.0;  ///< of a link: the runs come no nearer than this
  Vec2 moving{0.0};              ///< pin at the moving bracket; y: distance of the runs
  double mass_kg_per_m = 0.0;    ///< chain and fill
  Vec2 gravity{0.0, -1.0};       ///< direction of the weight, its part in the plane
  bool tray = true;              ///< the lower run lies on a tray at its bracket's height
};

/// Only `balanced` has everything; `on_its_side` has the shape, and no forces.
enum class ChainShapeStatus {
  balanced,
  on_its_side,    ///< weight across the plane and runs 2 R apart: geometry alone gives the shape
  too_short,      ///< does not reach, or the bend has come to a bracket
  too_low,        ///< runs nearer than 2 R: no chain bends so
  not_simulated,  ///< the arrangement is not one of those that are simulated: see `problem`
  not_balanced,   ///< neither pieces nor a rod between the stops were found in balance
  invalid,        ///< a number is not finite or out of range
};

enum class PieceKind { lying, back, fold, free };

/// From the fixed bracket to the moving one. `curvature_per_mm` is 0 for lying and free pieces.
struct ChainShapePiece {
  PieceKind kind = PieceKind::lying;
  double length_mm = 0.0;
  double curvature_per_mm = 0.0;
};

/// Forces and moments that the brackets exert on the chain.
struct ChainShape {
  ChainShapeStatus status = ChainShapeStatus::invalid;
  std::string problem;  ///< one sentence, empty when balanced
  std::vector<ChainShapePiece> pieces;
  std::vector<Vec2>
      points;           ///< pitch line from the fixed to the moving pin, ends of pieces included
  double sag_mm = 0.0;  ///< of the upper run below the straight line from bracket to bend
  double gap_mm = 0.0;  ///< lying: least height of the upper run's pitch line over the lower
                        ///< bracket's; hanging: distance of the runs where the bend begins
  double on_itself_mm = 0.0;  ///< length of the upper run that lies on the lower one
  double front_mm = 0.0;      ///< foremost point of the pitch line
  double smallest_radius_mm = 0.0;
  Vec2 fixed_force_N{0.0};
  Vec2 moving_force_N{0.0};
  double fixed_moment_Nmm = 0.0;   ///< magnitude
  double moving_moment_Nmm = 0.0;  ///< magnitude
  double pull_N = 0.0;             ///< on the moving bracket, along the joint (magnitude)
  double floor_force_N = 0.0;      ///< of the tray where the bend leaves it
  double tray_force_N = 0.0;       ///< of the tray on the whole chain, that point included
  /// Found by a rod between the same stops, where no arrangement of pieces is known.
  bool by_rod = false;
  /// By how much front and sag, and the forces on the brackets, may be off, estimated from two
  /// refinements; 0 for pieces, which are exact. The gap is then read off joints, to a link.
  double error_mm = 0.0;
  double error_N = 0.0;
  double residual = 0.0;  ///< largest closure error over the length, wrong-signed M over w L^2
  bool converged() const { return status == ChainShapeStatus::balanced; }
  bool has_shape() const { return converged() || status == ChainShapeStatus::on_its_side; }
};

/// Solves one pose, from pieces directly (no start, no iteration that could miss) in a few
/// microseconds; as a rod in milliseconds. Runs that
/// are mounted 2 R apart to within slots and the polygon of links count as exactly 2 R apart.
ChainShape solve_chain_shape(const ChainShapeProblem& problem);

/// How far the pitch line strays from the ideal loop of the same chain (chain/loop.h), mm: from
/// whichever part of it is nearest, as the room that the loop is given in a clearance proof.
double strays_from_loop(const ChainShapeProblem& problem, const ChainShape& shape);

}  // namespace bight::chain
