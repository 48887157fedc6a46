#pragma once
// The free pieces of a line that touches a floor, at one number of links: planar rods whose ends
// move until the conditions of contact hold (rod/rod_on_floor.h).

#include <cstddef>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "base/vec.h"
#include "rod/planar_rod.h"
#include "rod/rod_on_floor.h"

namespace bight::rod {

enum class TouchKind {
  flat,        ///< lies between two free pieces
  point,       ///< touches between two free pieces
  lying_tail,  ///< lies up to its free end
  lying_end,   ///< lies up to where it is held
  tip          ///< only its free end touches
};

struct Touch {
  TouchKind kind = TouchKind::flat;
  double at_mm = 0.0;
  double lying_mm = 0.0;
  double x_mm = 0.0;
  double angle_deg = 0.0;  ///< of the tangent: a multiple of 180
};

/// Figures, points and touches need a solve that returned true.
class FloorPieces {
 public:
  /// `touches` in the order of the line, at least one.
  FloorPieces(const RodOnFloorProblem& problem, std::vector<Touch> touches, int segments);

  /// From link angles (rad) of the whole line.
  bool solve_from_line(const std::vector<double>& angles);
  /// From the same pieces at another number of links.
  bool solve_from_pieces(const FloorPieces& coarse);

  /// Which touch is of another kind than was taken, and what it is; none: all hold. A line that
  /// would go through the floor beside a point lies there; what would lie a negative length
  /// touches in a point.
  std::optional<std::pair<std::size_t, TouchKind>> wrong_touch() const;

  /// The floor only pushes, nothing is below it, and nothing lies a negative length.
  bool admissible() const;

  const std::vector<Touch>& touches() const { return touches_; }
  const RodReport& report() const { return report_; }
  FloorTouch floor_touch(std::size_t k) const;
  PlanarRodFigures whole() const;
  std::vector<Vec2> points() const;  ///< joints of all pieces; the last point is the line's end

 private:
  /// Ways in which a touch can move. A free piece that is nearly straight hardly lets its ends move
  /// apart, so its length beyond the chord (its slack) changes by a way of its own.
  enum class Way {
    slide_from,  ///< begins to lie farther on, both in arc length and along the floor
    slide_to,    ///< lies on farther
    slacken      ///< takes length from the piece after it (or the tail) for the piece before it
  };
  struct Move {
    std::size_t touch;
    Way way;
    double change_mm;   ///< for difference quotients
    double longest_mm;  ///< of a step
  };

  double from_mm(std::size_t piece) const;
  double to_mm(std::size_t piece) const;
  Vec2 from_point(std::size_t piece) const;
  double weight_per_mm() const;
  double force() const;
  PlanarRodProblem piece(std::size_t i) const;
  double slack(std::size_t i) const;
  std::vector<Move> moves() const;
  static void apply(const Move& move, double by_mm, std::vector<Touch>& touches);
  RodOptions newton() const;
  bool conditions(std::vector<double>& residual);
  bool solve(const std::function<std::vector<double>(std::size_t)>& start_angles);

  RodOnFloorProblem problem_;
  std::vector<Touch> touches_;
  int segments_;
  std::vector<PlanarRodSolver> solvers_;
  std::vector<PlanarRodFigures> figures_;
  RodReport report_;
};

}  // namespace bight::rod
