// From a dragged hook or part to new verdicts: what one mouse move in the window costs, from the
// place of the pointer to the edited text, the plan and machine read from it, every rigid
// clearance, the lengths, and the planar lines over the whole travel.

#include <benchmark/benchmark.h>

#include <string>

#include "editor/editor.h"

namespace bight::editor {
namespace {

void drag_demo(benchmark::State& state, const std::string& option, const std::string& handle) {
  Editor editor({.background = false});
  if (!editor.open(std::string(BIGHT_SOURCE_DIR) + "/assets/demo/plan.toml").empty() ||
      !editor.choose_option(option).empty()) {
    state.SkipWithError("the plan cannot be opened");
    return;
  }
  Vec3 at(0.0);
  for (const Handle& h : editor.handles()) {
    if (h.id == handle) at = h.at;
  }
  if (!editor.begin_drag(handle).empty()) {
    state.SkipWithError("there is no such handle");
    return;
  }
  double step = 0.0;
  double live_ms = 0.0;
  for (auto _ : state) {
    step = step > 100.0 ? 1.0 : step + 1.0;
    editor.drag_to(at + Vec3(step, 0.0, 0.0), {}, {.step_mm = 1.0, .to_things = false});
    benchmark::DoNotOptimize(editor.live()->verdict);
    live_ms += 1e3 * editor.live()->seconds;
  }
  const LiveResult& live = *editor.live();
  state.counters["live_ms"] = live_ms / static_cast<double>(state.iterations());
  state.counters["pairs_computed"] = static_cast<double>(live.pairs_computed);
  state.counters["pairs_shown"] = static_cast<double>(live.clearance.size());
  state.counters["runs_computed"] = static_cast<double>(live.runs_computed);
  state.counters["line_poses"] = 0.0;
  for (const study::FreeRunFigures& run : live.free_runs) {
    state.counters["line_poses"] += static_cast<double>(run.shape_poses);
  }
}

BENCHMARK_CAPTURE(drag_demo, hose_hook, "", "support.hose hook")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(drag_demo, rafter_hook, "hung from the rafter", "support.rafter hook")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(drag_demo, part, "", "part.cabinet")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(drag_demo, moving_part, "", "part.dust shoe")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(drag_demo, bracket, "", "chain.X chain.moving_at")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

/// The same question asked of everything, with nothing known before.
void check_afresh(benchmark::State& state) {
  Editor editor({.background = false});
  if (!editor.open(std::string(BIGHT_SOURCE_DIR) + "/assets/demo/plan.toml").empty()) {
    state.SkipWithError("the plan cannot be opened");
    return;
  }
  for (auto _ : state) benchmark::DoNotOptimize(LiveCheck().check(*editor.model()));
}
BENCHMARK(check_afresh)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace bight::editor

BENCHMARK_MAIN();
