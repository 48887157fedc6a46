#include "study/festoon_swing.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "study/run_rod.h"

namespace bight::study {
namespace {

/// Loop `index` from saddle to saddle as a run of its own.
FreeRun loop_of(const FreeRun& run, const free::FestoonProblem& row, int index) {
  FreeRun loop = run;
  loop.festoon = nullptr;
  const auto share = [&](int trolley) { return static_cast<double>(trolley) / row.loops; };
  const auto between = [](const Vec3& start, const Vec3& end, double t) {
    return start + t * (end - start);
  };
  const Vec3 saddle = 0.5 * row.saddle_mm * *run.festoon->track;
  const free::AnchorPair& whole = run.anchors;
  loop.anchors.start = between(whole.start, whole.end, share(index)) + saddle;
  loop.anchors.end = between(whole.start, whole.end, share(index + 1)) - saddle;
  loop.anchors.start_direction.reset();
  loop.anchors.end_direction.reset();
  for (free::JointMotion& j : loop.anchors.joints) {
    const free::JointMotion all = j;
    j.start = between(all.start, all.end, share(index));
    j.end = between(all.start, all.end, share(index + 1));
  }
  return loop;
}

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
    FreeRunRod rod(loop_of(run, row, i).anchors, line.rod, home_pose(context));
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
      const FreeRun loop = loop_of(run, row, nearest->loop);
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
