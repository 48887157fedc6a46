#pragma once
// An overhead support that rests where its lines put it: a trolley on its track, a boom about its
// post, a line over a pulley or out of a retractor, an elastic cord. Its free coordinate is solved
// with the lines that hang on it, at any pose.
//
// First with limp lines, whose rest is unique or the one of least energy (free/support_*.h), then
// with their bending stiffness from there (study/stiff_rest.h). With friction both extremes of the
// band in which it stays can be asked for.

#include <array>
#include <cstddef>
#include <map>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "plan/plan.h"
#include "study/hung_span.h"

namespace bight::study {

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
  /// Both ends of the band of friction with limp lines.
  struct LimpBand {
    SupportState low;
    SupportState high;
  };

  Vec3 place(const free::Pose& pose) const;
  free::SupportResult limp_result(const free::Pose& pose, bool with_band) const;
  SupportState limp_cord(const free::Pose& pose) const;
  SupportState solve(const free::Pose& pose, Slip slip) const;
  double whole_line() const;

  plan::Support support_;
  std::vector<Vec3> motion_;
  std::vector<HungSpan> spans_;
  mutable std::mutex mutex_;
  mutable std::map<std::pair<free::Pose, Slip>, SupportState> known_;
  mutable std::map<free::Pose, LimpBand> known_bands_;
};

/// "trolley", "boom", ...
const char* to_text(plan::SupportKind kind);

}  // namespace bight::study
