#pragma once
// Equilibrium of a line with bending stiffness in space, also lying on or leaning against bodies: a
// discrete elastic rod without twist (Bergou et al., Discrete Elastic Rods, SIGGRAPH 2008) whose
// links keep their length exactly.
//
// Unknowns are the positions of the joints and one tension a link (the multiplier of its length):
// treating stretch as a stiff spring instead costs five to twenty times the iterations. A clamp
// acts on half a cell (stiffness 2 EI/l against the first link), which keeps second order. Contact
// is frictionless, at the joints, by a primal-dual interior point method with slacks (Nocedal and
// Wright, Numerical Optimization, 2006, ch. 19): it starts from shapes that run through a body and
// adds nothing to the bandwidth of the matrix.

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "base/vec.h"
#include "rod/banded.h"
#include "rod/contact.h"
#include "rod/planar_rod.h"
#include "rod/rod_status.h"

namespace bight::rod {

/// Limits of a chain's joints, curvature of the pitch line in 1/m, counter-clockwise positive seen
/// against +Y (x to the right, z up): least <= 0 <= greatest.
struct CurvatureLimits {
  double least_per_m = 0.0;
  double greatest_per_m = 0.0;
};

enum class RodSpace {
  full,
  xz_plane  ///< all joints stay in the plane y = start.y (a chain; or a line guided on both sides)
};

struct SpatialRodProblem {
  double length_mm = 0.0;      ///< > 0
  double mass_kg_m = 0.0;      ///< >= 0
  double stiffness_Nm2 = 0.0;  ///< EI > 0
  Vec3 start{0.0};
  Vec3 end{0.0};
  bool end_is_free = false;
  /// The end slides without friction along the straight line through `end` with this direction
  /// (unit), clamped or pinned. A start that slides: swap the ends.
  std::optional<Vec3> end_slide;
  std::optional<Vec3>
      start_tangent;  ///< clamped: unit tangent there, in the direction start -> end
  std::optional<Vec3> end_tangent;
  std::vector<PointMass> point_masses;
  std::vector<Obstacle> obstacles;
  double radius_mm = 0.0;  ///< the joints keep this distance from obstacles
  RodSpace space = RodSpace::full;
  std::optional<CurvatureLimits> limits;  ///< needs RodSpace::xz_plane
};

/// A joint pressed against an obstacle.
struct RodContact {
  std::size_t obstacle = 0;
  double at_mm = 0.0;  ///< arc length
  Vec3 point{0.0};     ///< of the line's middle
  Vec3 force_N{0.0};   ///< on the line
};

/// Forces and moments that the supports exert on the line.
struct SpatialRodFigures {
  double energy_Nmm = 0.0;  ///< bending energy + weight x height above the start
  Vec3 start_force_N{0.0};
  Vec3 end_force_N{0.0};
  double start_moment_Nmm = 0.0;  ///< magnitude
  double end_moment_Nmm = 0.0;
  double greatest_tension_N = 0.0;
  double smallest_radius_mm = 0.0;
  double smallest_radius_at_mm = 0.0;
  Vec3 lowest{0.0};
  double lowest_at_mm = 0.0;
  std::vector<RodContact> contacts;  ///< those that carry more than a millionth of the weight
};

/// Second-order energy of small displacements u (mm) of the joints across the vertical plane of a
/// line that hangs in one: sum of link (u[j+1] - u[j])^2 / 2 + joint (u[i-1] - 2 u[i] + u[i+1])^2 /
/// 2 + clamps (u of the joint next to the clamp minus the clamp's)^2 / 2. Stiffness in N/mm.
struct SidewaysForm {
  std::vector<double> link;   ///< one a link
  std::vector<double> joint;  ///< one an inner joint
  double start_clamp = 0.0;   ///< 0 when there is none
  double end_clamp = 0.0;
  std::vector<double> mass_kg;  ///< of each joint
};

/// Solves one line at many poses, as PlanarRodSolver does. Without obstacles and limits a warm
/// solve allocates nothing.
class SpatialRodSolver {
 public:
  explicit SpatialRodSolver(int segments);

  /// Warm when the last solve converged, else cold.
  RodReport solve(const SpatialRodProblem& problem, const RodOptions& options = {});

  /// From the shape in the vertical plane through the ends, as the planar rod finds it; pushed
  /// aside a little when that is not stable in space.
  RodReport solve_cold(const SpatialRodProblem& problem, const RodOptions& options = {});

  /// From given joints (segments + 1), near which the shape is looked for.
  RodReport solve_from(std::span<const Vec3> points, const SpatialRodProblem& problem,
                       const RodOptions& options = {});

  /// These need the last solve to have converged.
  SpatialRodFigures figures() const;
  std::vector<Vec3> points() const;
  Vec3 point_at(double s_mm) const;
  SidewaysForm sideways_form() const;

  int segments() const { return segments_; }

 private:
  /// g(x) >= 0 on one joint (contact) or three (curvature limit), with slack and multiplier.
  struct Inequality {
    std::size_t joint = 0;  ///< the joint, or the middle one of three
    std::size_t obstacle = 0;
    double side = 0.0;   ///< 0: contact; 1: greatest curvature, -1: least
    double bound = 0.0;  ///< of the curvature limit: sine of the joint's turn, or of the clamp's
    double value = 0.0;
    std::array<Vec3, 3> gradient{};  ///< by the joints before, at and after `joint`
    Mat3 curvature{0.0};
    double slack = 0.0;
    double multiplier = 0.0;
    double slack_step = 0.0;
    double multiplier_step = 0.0;
  };

  // spatial_rod.cpp: the equations.
  bool set_problem(const SpatialRodProblem& problem);
  double link() const { return 1.0 / segments_; }
  bool is_fixed(std::size_t joint, int axis) const;
  Vec3 reachable_end() const;
  double evaluate();
  double energy() const;
  void add_block(std::size_t a, std::size_t b, const Mat3& block);
  bool factor(double shift);

  // spatial_rod_inequality.cpp: contact and curvature limits.
  void set_inequalities();
  void start_inequalities(double barrier);
  void evaluate_inequality(Inequality& q) const;
  void add_inequalities();
  double complementarity() const;

  // spatial_rod_newton.cpp: steps, line search, barrier.
  std::size_t joint_of(const Inequality& q, std::size_t k) const;
  void solve_step();
  void to_global(std::vector<double>& step) const;
  double longest_step(bool dual) const;
  void move(double length, double dual_length);
  double merit();
  double search(double before);
  void correct_stretch();
  RodReport iterate(const RodOptions& options);

  // spatial_rod_solve.cpp: starts, warm and cold.
  void predict(const Vec3& end_before, const Vec3& end,
               const std::optional<Vec3>& start_tangent_before,
               const std::optional<Vec3>& end_tangent_before);
  bool start_in_plane(const RodOptions& options);
  bool kick(double push);
  RodReport settle(const RodOptions& options);

  int segments_;
  bool warm_ = false;
  SpatialRodProblem problem_;
  PlanarRodSolver planar_;  ///< starts: the shape in the vertical plane through the ends

  // Scaled: lengths by L from the start, forces by w L + EI / L^2.
  double force_N_ = 1.0;
  double bend_ = 0.0;
  double barrier_ = 0.0;  ///< slack x multiplier that is aimed at; 0 without inequalities
  double offset_ = 0.0;   ///< by which obstacles are withdrawn
  Mat3 slide_{1.0};       ///< axes in which the last joint's unknowns count: x along the slide
  std::vector<double> weight_;  ///< of each joint
  std::vector<Vec3> position_;
  std::vector<double> tension_;  ///< of each link
  std::vector<Inequality> inequalities_;

  std::vector<Vec3> force_;      ///< gradient of the Lagrangian at each joint
  std::vector<double> stretch_;  ///< (|link|^2 - l^2) / 2l
  BandedSymmetric matrix_;
  std::vector<double> step_;  ///< for each link its end joint's three and its tension's
  std::vector<double> correction_;
  std::vector<Vec3> saved_position_;
  std::vector<double> saved_tension_;
  std::vector<std::array<double, 2>> saved_inequality_;
  double penalty_ = 0.0;
};

}  // namespace bight::rod
