#pragma once
// A free leg of a run put into the machine: its two anchors with their motion, and what hangs on
// them.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "free/window.h"
#include "study/context.h"
#include "study/moving_support.h"

namespace bight::study {

/// One end of a free leg: an anchor or a support of the plan.
struct FreeEnd {
  std::string name;
  std::string body;
  Vec3 at{0.0};
  std::optional<Vec3> direction;     ///< clamped
  std::optional<double> max_load_N;  ///< of a support
  bool is_hook = false;              ///< a support that stays where it is
};

struct FreeRun {
  const plan::Run* run = nullptr;
  std::size_t leg = 0;  ///< index in the run
  FreeEnd from;
  FreeEnd to;
  free::AnchorPair anchors;
  std::vector<const plan::Line*> lines;  ///< that hang here; each by itself
  /// One end is on a support that rests where its lines put it; `anchors` say where the support is
  /// fixed (plan::Support::at). Null: both ends are where `anchors` say.
  std::shared_ptr<const MovingSupport> support;
  bool support_at_start = false;
  const plan::Support* festoon = nullptr;  ///< the leg is its loops, from its fixed end to its tow

  bool shaped_by(std::size_t joint) const;
};

/// Free legs of runs that at least one present line takes.
std::vector<FreeRun> make_free_runs(const Context& context);

/// The support of a run with a leg of another length, or with its ends moved to where the run's
/// anchors say. BIGHT_CHECKs that the run has one.
std::shared_ptr<const MovingSupport> support_with(const FreeRun& run, double length_mm);

/// A line of the run as a rod, its end on a support followed as the support moves.
FreeRunRod make_rod(const FreeRun& run, const HangingRod& rod, const free::Pose& home,
                    Slip slip = Slip::rest);

/// Anchors with every place that the support of the run can be as additional joints: for bounds
/// that hold wherever it rests.
free::AnchorPair reach_of(const FreeRun& run);

/// The tightest window of all lines of a free run. On a support that moves by itself it is sampled
/// at poses of the travel (study/support_window.h), and `of_line` is empty.
struct RunWindow {
  std::vector<free::Window> of_line;  ///< in the order of FreeRun::lines
  std::size_t min_line = 0;           ///< line that sets the least length
  std::size_t max_line = 0;           ///< and the greatest
  double min_mm = 0.0;
  double max_mm = 0.0;
  double length_mm = 0.0;         ///< given in the plan, else recommended
  double longest_tried_mm = 0.0;  ///< of a sampled window
  bool given = false;
  std::string min_reason;  ///< what sets the limits, in words; "nothing"
  std::string max_reason;
  std::vector<double> min_pose;  ///< empty: no pose
  std::vector<double> max_pose;
  Certainty min_certainty = Certainty::proved;
  Certainty max_certainty = Certainty::proved;
  free::ExtremePose farthest;  ///< of the ends
  free::ExtremePose nearest;
  std::size_t poses = 0;  ///< sampled; 0: none had to be
  double step_mm = 0.0;   ///< largest between neighbours, before the worst was looked at closer
  bool open() const { return min_mm <= max_mm; }
};

RunWindow window_of(const Context& context, const FreeRun& run);

/// Sets the length: the plan's, else the one to cut (free::length_to_cut).
void choose_length(const plan::Leg& leg, RunWindow& window);

/// A length that can hardly be meant: more than ten times what the farthest distance of its ends
/// asks for, and than 10 m. Its shapes would take long and tell nothing.
bool is_hardly_meant(const free::AnchorPair& anchors, double length_mm);

/// The same of a run that is `length_mm` long, or of anything else on its support.
bool hangs_on_hardly_meant(const FreeRun& run, double length_mm);

/// What the window needs to know of a line.
free::HangingLine hanging_line(const Context& context, const plan::Line& line);
/// With the floor as what the line stays above when the leg names nothing and may not lie there.
free::WindowOptions window_options(const Context& context, const plan::Leg& leg);

/// Times the farthest distance of its ends: nobody hangs a line longer than this (common practice).
/// Where only its own weight limits a line beyond, its window has no upper end.
inline constexpr double k_longest_share = 4.0;

}  // namespace bight::study
