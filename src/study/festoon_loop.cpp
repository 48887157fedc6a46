#include "study/festoon_loop.h"

namespace bight::study {

FreeRun festoon_loop(const FreeRun& run, const free::FestoonProblem& row, int index) {
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

}  // namespace bight::study
