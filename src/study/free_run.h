#pragma once
// A free leg of a run put into the machine: its two anchors with their motion, and what hangs on
// them.

#include <optional>
#include <string>
#include <vector>

#include "free/window.h"
#include "study/context.h"

namespace bight::study {

/// One end of a free leg: an anchor or a support of the plan.
struct FreeEnd {
  std::string name;
  std::string body;
  Vec3 at{0.0};
  std::optional<Vec3> direction;     ///< clamped
  std::optional<double> max_load_N;  ///< of a support
};

struct FreeRun {
  const plan::Run* run = nullptr;
  std::size_t leg = 0;  ///< index in the run
  FreeEnd from;
  FreeEnd to;
  free::AnchorPair anchors;
  std::vector<const plan::Line*> lines;  ///< that hang here; each by itself
};

/// Free legs of runs that at least one present line takes.
std::vector<FreeRun> make_free_runs(const Context& context);

/// The tightest window of all lines of a free run.
struct RunWindow {
  std::vector<free::Window> of_line;  ///< in the order of FreeRun::lines
  std::size_t min_line = 0;           ///< line that sets the least length
  std::size_t max_line = 0;           ///< and the greatest
  double min_mm = 0.0;
  double max_mm = 0.0;
  double length_mm = 0.0;  ///< given in the plan, else recommended
  bool given = false;
  bool open() const { return min_mm <= max_mm; }
};

RunWindow window_of(const Context& context, const FreeRun& run);

/// What the window needs to know of a line.
free::HangingLine hanging_line(const Context& context, const plan::Line& line);
free::WindowOptions window_options(const plan::Leg& leg);

}  // namespace bight::study
