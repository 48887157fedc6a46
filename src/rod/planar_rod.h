#pragma once
// Equilibrium of a line with bending stiffness in a vertical plane: a discrete elastic rod of N
// equal rigid links (Bergou et al., Discrete Elastic Rods, SIGGRAPH 2008, without twist). For
// cables and hoses between two anchors whose clamps lie in one vertical plane, and for droop tests.
//
// Unknowns are the N link angles and the force at the end (H, V). With the links' weight at their
// middles and angle springs EI/l between links (2 EI/l against a clamp: half a cell, which keeps
// second order), equilibrium of link j reads
//   bending_j + l (H sin t_j - V_j cos t_j) = 0,   V_j = V - weight beyond the middle of link j,
// closed by sum l cos t_j = dx, sum l sin t_j = dz. The Newton matrix is tridiagonal with two
// border rows (arrow-head), so a step costs O(N). Its inertia tells stable shapes from unstable
// ones.
//
// Angles are those of the tangent from +x, counter-clockwise, in the direction start -> end, and
// continuous along the line: the difference of two clamp angles is the total turning.

#include <optional>
#include <span>
#include <vector>

#include "base/vec.h"
#include "rod/rod_status.h"

namespace bight::rod {

enum class EndKind {
  pinned,   ///< position given, no moment
  clamped,  ///< position and direction given
  free      ///< nothing given (the end of the line only, not its start)
};

struct PlanarEnd {
  EndKind kind = EndKind::pinned;
  double angle_deg = 0.0;  ///< tangent angle when clamped
};

struct PointMass {
  double at_mm = 0.0;  ///< arc length from the start
  double mass_kg = 0.0;
};

/// The start is the origin, z is up.
struct PlanarRodProblem {
  double length_mm = 0.0;      ///< > 0
  double mass_kg_m = 0.0;      ///< >= 0; a line without weight needs stiffness
  double stiffness_Nm2 = 0.0;  ///< EI > 0
  Vec2 end{0.0};               ///< [dx, dz]; ignored when the end is free
  PlanarEnd at_start;
  PlanarEnd at_end;
  /// The end slides without friction along the straight line through `end` in this direction, deg
  /// from +x, clamped or pinned; not with a free end. A start that slides: swap the ends.
  std::optional<double> end_slide_deg;
  double natural_curvature_per_m = 0.0;  ///< curvature when unloaded (a line that keeps its set)
  std::vector<PointMass> point_masses;
};

/// What can be said of a converged shape; forces as in rod/catenary.h: the part beyond s pulls on
/// the part before s with (H, V(s)). Moments EI (curvature - natural curvature), counter-clockwise.
struct PlanarRodFigures {
  double energy_Nmm = 0.0;  ///< bending energy + weight x height above the start
  double horizontal_force_N = 0.0;
  double vertical_start_N = 0.0;
  double vertical_end_N = 0.0;
  double moment_start_Nmm = 0.0;
  double moment_end_Nmm = 0.0;
  double greatest_tension_N = 0.0;  ///< negative: push everywhere
  double smallest_radius_mm = 0.0;
  double smallest_radius_at_mm = 0.0;  ///< arc length
  Vec2 lowest{0.0};
  double lowest_at_mm = 0.0;  ///< arc length
};

/// Solves one line at many poses. Each solve starts from the shape of the last one (with a tangent
/// predictor for the change of its ends) and allocates nothing. Not thread-safe: one a thread.
class PlanarRodSolver {
 public:
  /// `segments` >= 4 links.
  explicit PlanarRodSolver(int segments);

  /// Warm when the last solve converged, else cold.
  RodReport solve(const PlanarRodProblem& problem, const RodOptions& options = {});

  /// From the catenary, then from smooth curves that fit the ends, then by stiffness continuation:
  /// the first that converges to a stable shape.
  RodReport solve_cold(const PlanarRodProblem& problem, const RodOptions& options = {});

  /// From every start above; keeps the stable shape of lowest energy. Slower by the number of
  /// starts. No proof that there is none lower.
  RodReport solve_lowest(const PlanarRodProblem& problem, const RodOptions& options = {});

  /// From given link angles, rad, one a link.
  RodReport solve_from(std::span<const double> angles_rad, const PlanarRodProblem& problem,
                       const RodOptions& options = {});

  /// These need the last solve to have converged.
  PlanarRodFigures figures() const;
  /// Horizontal and vertical force at the end, as in the figures, without the rest of them.
  Vec2 end_force_N() const { return {force_N_ * h_, force_N_ * v_}; }
  std::vector<Vec2> points() const;  ///< segments + 1 joints, start to end
  std::span<const double> angles_rad() const;
  Vec2 point_at(double s_mm) const;

  int segments() const { return segments_; }

 private:
  // planar_rod.cpp: the equations and Newton's method.
  bool set_problem(const PlanarRodProblem& problem);
  double evaluate(const std::vector<double>& angles);
  bool factor(double shift);
  Vec2 held(const Vec2& v) const;
  void solve_factored();
  void predict(const Vec2& end_before, double start_angle_before, double end_angle_before);
  double energy(const std::vector<double>& angles) const;
  bool search_along_step(double before);
  RodReport iterate(const RodOptions& options);
  double link() const { return 1.0 / segments_; }

  // planar_rod_start.cpp: where to start from.
  bool catenary_start();
  void free_end_start();
  bool curve_start(int seed);
  RodReport from_stiffer(const RodOptions& options);
  RodReport try_starts(const RodOptions& options, bool all);

  int segments_;
  bool warm_ = false;  ///< the state is a converged shape of problem_
  PlanarRodProblem problem_;

  // Scaled problem: lengths by L, forces by w L + EI / L^2.
  double force_N_ = 1.0;
  double bend_ = 0.0;
  double rest_curvature_ = 0.0;
  Vec2 end_{0.0};
  Vec2 across_{0.0};  ///< normal of the slide; 0 when the end does not slide
  double start_angle_ = 0.0;
  double end_angle_ = 0.0;
  std::vector<double> beyond_;  ///< weight beyond the middle of each link

  // State, and what evaluate() makes of it.
  std::vector<double> angle_;
  double h_ = 0.0;
  double v_ = 0.0;
  std::vector<double> sine_;
  std::vector<double> cosine_;
  std::vector<double> gradient_;
  Vec2 gap_{0.0};  ///< wanted end minus reached end

  // Factors of the tridiagonal matrix, the two border rows reduced by them, the 2 x 2 rest, the
  // step.
  std::vector<double> inverse_pivot_;
  std::vector<double> factor_;
  std::vector<double> border_h_;
  std::vector<double> border_v_;
  double rest_hh_ = 0.0;
  double rest_hv_ = 0.0;
  double rest_vv_ = 0.0;
  std::vector<double> step_;
  double step_h_ = 0.0;
  double step_v_ = 0.0;
  std::vector<double> trial_;
  double merit_weight_ = 0.0;
};

}  // namespace bight::rod
