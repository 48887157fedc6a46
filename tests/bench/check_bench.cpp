// Full check of each demo plan in one process: reading, building the machine (meshes from the page
// cache), all checks of all options.

#include <benchmark/benchmark.h>

#include <cstdio>
#include <string>

#include "machine/machine.h"
#include "plan/read.h"
#include "study/study.h"

namespace bight {
namespace {

void check_demo(benchmark::State& state, const std::string& name) {
  const std::string path = std::string(BIGHT_SOURCE_DIR) + "/assets/demo/" + name;
  std::size_t pairs = 0;
  std::size_t findings = 0;
  for (auto _ : state) {
    Diagnostics diagnostics;
    const auto plans = plan::load_plan_and_options(path, diagnostics);
    if (!plans) {
      state.SkipWithError("the plan has errors");
      return;
    }
    machine::MeshCache cache;
    pairs = findings = 0;
    for (const plan::Plan& plan : *plans) {
      const machine::Machine machine = machine::build_machine(plan, cache, diagnostics);
      const study::StudyResult result = study::run_study(plan, machine);
      pairs += result.clearance.size();
      findings += result.findings.size();
    }
    benchmark::DoNotOptimize(findings);
  }
  state.counters["pairs"] = static_cast<double>(pairs);
  state.counters["findings"] = static_cast<double>(findings);
}

BENCHMARK_CAPTURE(check_demo, plan, "plan.toml")->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(check_demo, moving_table, "moving-table.toml")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(check_demo, overhead, "overhead.toml")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(check_demo, inch, "inch.toml")->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(check_demo, meshes, "meshes.toml")->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace bight

BENCHMARK_MAIN();
