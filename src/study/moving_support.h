#pragma once
// An overhead support that rests where its lines put it: a trolley on its track, a boom about its
// post, a line over a pulley or out of a retractor, an elastic cord. Its free coordinate is solved
// with the lines that hang on it, at any pose.
//
// First with limp lines, whose rest is unique or the one of least energy (free/support_*.h), then
// with their bending stiffness (study/free_run_rod.h) by a secant or Newton's method from there: of
// several rests of stiff lines the one nearest to that of limp lines counts. With friction both
// extremes of the band in which it stays can be asked for.

#include <array>
#include <cstddef>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "free/support_rest.h"
#include "plan/plan.h"
#include "study/free_run_rod.h"

namespace bight::study {

/// Where within its band of friction the support is.
enum class Slip { rest, low, high };

/// A line between the support and an anchor.
struct HungSpan {
  std::string run;
  std::size_t leg = 0;  ///< index in the run
  bool support_at_start = true;
  free::AnchorPair anchors;  ///< of the leg, the support at plan::Support::at
  HangingRod rod;            ///< length: of the leg; over a pulley: of the whole line
};

/// Of a support at a pose. The coordinate: mm along the track, degrees of the boom, mm of the run
/// beyond the pulley or retractor, mm that the cord is stretched.
struct SupportState {
  free::SupportStatus status = free::SupportStatus::invalid;
  double coordinate = 0.0;
  Vec3 shift{0.0};          ///< of the place that carries the line, from plan::Support::at
  double length_mm = 0.0;   ///< of the run beyond a pulley or retractor; 0: as the leg's
  Vec3 load_N{0.0};         ///< on what holds the support
  double outside_by = 0.0;  ///< beyond its range, in the unit of the coordinate
  double short_by_mm = 0.0;
  /// The force changes its sign without being 0: the run is pulled straight, without slack that a
  /// rod could tell, or the line bows to one side before this place and to the other behind it.
  bool jumps = false;
  double residual_N = 0.0;  ///< unbalanced force (boom: moment over arm) with stiff lines

  bool has_shape() const {
    return status == free::SupportStatus::rests || status == free::SupportStatus::at_stop ||
           status == free::SupportStatus::runs_out;
  }
};

/// Results are kept, so asking twice for a pose costs nothing. Safe to ask from several threads;
/// what comes out depends on the pose alone.
class MovingSupport {
 public:
  /// `motion`: of its body, one entry a joint.
  MovingSupport(plan::Support support, std::vector<Vec3> motion, std::vector<HungSpan> spans);

  /// With the lines' stiffness.
  SupportState at(const free::Pose& pose, Slip slip = Slip::rest) const;
  /// As if the lines were limp.
  SupportState limp_at(const free::Pose& pose, Slip slip = Slip::rest) const;

  const plan::Support& support() const { return support_; }
  const std::vector<Vec3>& motion() const { return motion_; }
  const std::vector<HungSpan>& spans() const { return spans_; }

  /// True when the joint moves an anchor of some line against the support.
  bool shaped_by(std::size_t joint) const;
  bool has_friction() const;

  /// Limits of the coordinate where it has any.
  std::optional<std::array<double, 2>> range() const;

  /// Every place that the support can be, as additional joints of a pair of anchors: for bounds.
  std::vector<free::JointMotion> reach(bool support_at_start) const;

 private:
  Vec3 place(const free::Pose& pose) const;
  SupportState solve(const free::Pose& pose, Slip slip) const;
  SupportState refined_along(const free::Pose& pose, Slip slip, SupportState state) const;
  SupportState refined_in_space(const free::Pose& pose, SupportState state) const;
  double whole_line() const;

  plan::Support support_;
  std::vector<Vec3> motion_;
  std::vector<HungSpan> spans_;
  mutable std::mutex mutex_;
  mutable std::map<std::pair<free::Pose, Slip>, SupportState> known_;
};

/// "trolley", "boom", ...
const char* to_text(plan::SupportKind kind);

}  // namespace bight::study
