// The blocked region of the scenes to 1 mm beside capped branch and bound on FCL distances, in one
// run. `undecided_mm3` is what each leaves open: FCL has no proof of contact, so all that it does
// not prove free.

#include <benchmark/benchmark.h>

#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include "clearance/blocked_region.h"
#include "oracle/fcl_oracle.h"
#include "scenes/bench_scenes.h"

namespace {

using namespace bight;
using clearance::JointRange;

constexpr double k_resolution_mm = 1.0;

struct Prepared {
  scenes::BenchPair meshes;
  shape::Solid a;
  shape::Solid b;
  clearance::MovingPair pair;
  std::vector<JointRange> joints;
};

Prepared& prepared(scenes::BenchScene scene, std::size_t triangles) {
  static std::map<std::pair<scenes::BenchScene, std::size_t>, Prepared> all;
  const auto [it, is_new] = all.try_emplace({scene, triangles});
  Prepared& p = it->second;
  if (is_new) {
    p.meshes = scenes::make_bench_pair(scene, triangles);
    p.a = shape::make_solid(p.meshes.a);
    p.b = shape::make_solid(p.meshes.b);
    p.pair = {&p.a, &p.b, {}};
    for (const clearance::Axis& axis : p.meshes.travel) {
      p.pair.directions.push_back(axis.direction);
      p.joints.push_back({axis.lower, axis.upper});
    }
  }
  return p;
}

void blocked_region(benchmark::State& state, scenes::BenchScene scene) {
  Prepared& p = prepared(scene, static_cast<std::size_t>(state.range(0)));
  clearance::BlockedRegion region;
  for (auto _ : state)
    region = clearance::find_blocked_region({&p.pair, 1}, p.joints,
                                            {.resolution_mm = k_resolution_mm, .threads = 1});
  state.counters["columns"] = static_cast<double>(region.columns);
  state.counters["cells"] = static_cast<double>(region.cells.size());
  state.counters["leaf_pairs"] = static_cast<double>(region.leaf_pairs);
  state.counters["lower_mm3"] = region.lower_volume;
  state.counters["upper_mm3"] = region.upper_volume;
  state.counters["undecided_mm3"] = region.upper_volume - region.lower_volume;
}

// A cell is free when the distance at its centre is more than half its diagonal of motion; else it
// is halved along its longest side down to the resolution.
void fcl_branch_and_bound(benchmark::State& state, scenes::BenchScene scene) {
  Prepared& p = prepared(scene, static_cast<std::size_t>(state.range(0)));
  const oracle::FclPair fcl(p.meshes.a, p.meshes.b);
  std::size_t queries = 0;
  double open = 0.0;
  for (auto _ : state) {
    queries = 0;
    open = 0.0;
    std::vector<std::vector<JointRange>> stack = {p.joints};
    while (!stack.empty()) {
      std::vector<JointRange> cell = std::move(stack.back());
      stack.pop_back();
      Vec3 middle(0.0);
      double half = 0.0;
      double volume = 1.0;
      std::size_t longest = 0;
      for (std::size_t i = 0; i < cell.size(); ++i) {
        const double length = cell[i].upper - cell[i].lower;
        middle += 0.5 * (cell[i].lower + cell[i].upper) * p.pair.directions[i];
        half += 0.25 * length * length;  // orthogonal unit directions
        volume *= length;
        if (length > cell[longest].upper - cell[longest].lower) longest = i;
      }
      half = std::sqrt(half);
      ++queries;
      if (!(fcl.capped_distance(middle, half) < half)) continue;
      const double cut = 0.5 * (cell[longest].lower + cell[longest].upper);
      if (cell[longest].upper - cell[longest].lower <= k_resolution_mm) {
        open += volume;
        continue;
      }
      std::vector<JointRange> other = cell;
      cell[longest].upper = cut;
      other[longest].lower = cut;
      stack.push_back(std::move(cell));
      stack.push_back(std::move(other));
    }
  }
  state.counters["queries"] = static_cast<double>(queries);
  state.counters["undecided_mm3"] = open;
}

BENCHMARK_CAPTURE(blocked_region, collide, scenes::BenchScene::collide)
    ->Arg(1000)
    ->Arg(10000)
    ->Arg(100000)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(fcl_branch_and_bound, collide, scenes::BenchScene::collide)
    ->Arg(1000)
    ->Arg(10000)
    ->Arg(100000)
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
