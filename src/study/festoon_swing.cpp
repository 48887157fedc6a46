#include "study/festoon_swing.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "study/festoon_loop.h"
#include "study/run_rod.h"

namespace bight::study {
namespace {

/// The loop that comes nearest, at rest.
struct Nearest {
  int loop = 0;
  LineApproach approach;
};
std::optional<Nearest> nearest_loop(const Context& context, const FreeRun& run,
                                    const free::FestoonProblem& row, const RunRod& line,
                                    const LoopApproach& at) {
  std::optional<Nearest> nearest;
  for (int i = 0; i < row.loops; ++i) {
    FreeRunRod rod(festoon_loop(run, row, i).anchors, line.rod, home_pose(context));
    RodShape shape = rod.solve_cold(at.pose);
    if (!shape.converged()) continue;
    const double distance = line_distance(at.target, at.pose, shape.points, row.loop_mm,
                                          line.article->outside_diameter);
    if (nearest && distance >= nearest->approach.distance_mm) continue;
    nearest = Nearest{i, {at.target, distance, at.pose, std::move(shape)}};
  }
  return nearest;
}

}  // namespace

SwingCheck check_festoon_swing(const Context& context, const FreeRun& run,
                               const free::FestoonProblem& row,
                               const std::vector<LoopApproach>& approaches) {
  SwingCheck worst;
  for (const RunRod& line : rods_of(context, run, row.loop_mm)) {
    for (const LoopApproach& at : approaches) {
      std::optional<Nearest> nearest = nearest_loop(context, run, row, line, at);
      if (!nearest) {
        worst.not_followed = true;
        continue;
      }
      const FreeRun loop = festoon_loop(run, row, nearest->loop);
      SwingCheck swing = check_swing(context, loop, line, {std::move(nearest->approach)});
      append(worst.findings, std::move(swing.findings));
      worst.not_followed = worst.not_followed || swing.not_followed;
      if (swing.amplitude_mm <= worst.amplitude_mm) continue;
      worst.amplitude_mm = swing.amplitude_mm;
      worst.period_s = swing.period_s;
      worst.pose = std::move(swing.pose);
    }
  }
  return worst;
}

}  // namespace bight::study
