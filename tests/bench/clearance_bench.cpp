// The clearance query beside FCL 0.7 in one run, one thread: hierarchy, whole travel, "more than
// d?", single poses, slanting moves, memory. A table of ratios and targets follows the benchmarks.
//
// Everything about FCL that would take hours is extrapolated from random samples, as the table
// says. Peer times are thread CPU time, so that neighbours on the machine weigh on both alike.

#include <benchmark/benchmark.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "clearance/query.h"
#include "oracle/fcl_bench.h"
#include "scenes/bench_scenes.h"
#include "scenes/random_scene.h"
#include "shape/bvh.h"

namespace {

using namespace bight;
using clearance::Axis;
using clearance::ClearanceQuery;
using clearance::Travel;
using scenes::BenchScene;

double cpu_seconds() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

double seconds_of(const std::function<void()>& work) {
  const double start = cpu_seconds();
  work();
  return cpu_seconds() - start;
}

// One line of the closing table.
struct Row {
  std::string what;
  double ours_s = 0.0;
  std::string peer;
  double peer_s = 0.0;
  std::optional<double> target_ratio;
  std::optional<double> target_s;

  double ratio() const { return peer_s / ours_s; }
  bool met() const {
    return (!target_ratio || ratio() >= *target_ratio) && (!target_s || ours_s <= *target_s);
  }
};

using Rows = std::vector<Row>;

struct Prepared {
  scenes::BenchPair meshes;
  shape::Solid a;
  shape::Solid b;
  std::vector<Vec3> poses;                   // random
  std::vector<std::pair<Vec3, Vec3>> moves;  // random slanting moves of 20 mm
  std::unique_ptr<oracle::FclPair> fcl;      // built when first asked for
  std::optional<double> fcl_pose_s;
  oracle::Exceeds exceeds;  // FCL's answer to "more than 2 mm?"

  const oracle::FclPair& peer() {
    if (!fcl) fcl = std::make_unique<oracle::FclPair>(meshes.a, meshes.b);
    return *fcl;
  }

  // Mean over as many of the random poses as fit into about two seconds, at least 5.
  double peer_pose_seconds() {
    if (!fcl_pose_s) {
      const oracle::FclPair& pair = peer();
      double total = 0.0;
      int count = 0;
      for (const Vec3& t : poses) {
        if (count >= 5 && total > 2.0) break;
        total += seconds_of([&] {
          benchmark::DoNotOptimize(
              pair.capped_distance(t, std::numeric_limits<double>::infinity()));
        });
        ++count;
      }
      fcl_pose_s = total / count;
    }
    return *fcl_pose_s;
  }
};

// The scenes in use; one size at a time, since a million triangles in FCL are gigabytes.
class Stage {
 public:
  Prepared& get(BenchScene scene, std::size_t triangles) {
    if (triangles != triangles_) prepared_.clear();
    triangles_ = triangles;
    const auto [it, is_new] = prepared_.try_emplace(scene);
    Prepared& p = it->second;
    if (!is_new) return p;
    p.meshes = scenes::make_bench_pair(scene, triangles);
    p.a = shape::make_solid(p.meshes.a);
    p.b = shape::make_solid(p.meshes.b);
    scenes::Random random(20);
    for (int i = 0; i < 200; ++i) {
      Vec3 t(0.0);
      for (const Axis& axis : p.meshes.travel) {
        t += random.uniform(axis.lower, axis.upper) * axis.direction;
      }
      p.poses.push_back(t);
      const Vec3 half = 10.0 * random.direction();
      p.moves.emplace_back(t - half, t + half);
    }
    return p;
  }

  // A peer's seconds, measured the first time that they are asked for: the library calls each
  // benchmark several times with more and more iterations.
  double once(const std::string& what, const std::function<double()>& measure) {
    const auto [it, is_new] = seconds_.try_emplace(what, 0.0);
    if (is_new) it->second = measure();
    return it->second;
  }

 private:
  std::map<std::string, double> seconds_;
  std::size_t triangles_ = 0;
  std::map<BenchScene, Prepared> prepared_;
};

Travel single_pose(const Vec3& t) {
  return {{t, 1.0, 1.0}};
}

Travel straight_move(const std::pair<Vec3, Vec3>& m) {
  return {{m.first, 1.0, 1.0}, {m.second - m.first, 0.0, 1.0}};
}

// Runs `work` for the benchmark's iterations and returns the CPU seconds of one.
double run(benchmark::State& state, const std::function<void()>& work) {
  double seconds = 0.0;
  for (auto _ : state) seconds += seconds_of(work);
  return seconds / static_cast<double>(state.iterations());
}

void count(benchmark::State& state, const clearance::QueryCounters& sum, double queries) {
  state.counters["node_pairs"] = static_cast<double>(sum.node_pairs) / queries;
  state.counters["leaf_pairs"] = static_cast<double>(sum.leaf_pairs) / queries;
  state.counters["gjk_iterations"] = static_cast<double>(sum.gjk_iterations) / queries;
}

void add(clearance::QueryCounters& sum, const clearance::QueryCounters& c) {
  sum.node_pairs += c.node_pairs;
  sum.leaf_pairs += c.leaf_pairs;
  sum.gjk_iterations += c.gjk_iterations;
}

// Replaces the row of an earlier, shorter run of the same benchmark.
void record(benchmark::State& state, Rows& rows, const Row& row) {
  state.counters["ratio"] = row.ratio();
  state.counters["peer_us"] = 1e6 * row.peer_s;
  for (Row& r : rows) {
    if (r.what == row.what && r.peer == row.peer) {
      r = row;
      return;
    }
  }
  rows.push_back(row);
}

std::string label(const std::string& what, BenchScene scene, std::size_t triangles) {
  const std::string size = triangles >= 1'000'000 ? std::to_string(triangles / 1'000'000) + "M"
                                                  : std::to_string(triangles / 1000) + "k";
  return what + "/" + scenes::name_of(scene) + "/" + size;
}

void bench_build(benchmark::State& state, Stage& stage, Rows& rows, BenchScene scene,
                 std::size_t triangles) {
  Prepared& p = stage.get(scene, triangles);
  const double ours =
      run(state, [&] { benchmark::DoNotOptimize(shape::build_bvh(p.meshes.a).nodes.data()); });
  const double peer = stage.once(label("build", scene, triangles), [&] {
    oracle::FclModel model(p.meshes.a);
    return seconds_of([&] { model.build(); });
  });
  state.counters["ms_per_100k"] =
      1e3 * ours * 1e5 / static_cast<double>(p.meshes.a.triangles.size());
  Row row{label("build", scene, triangles), ours, "FCL OBBRSS build", peer, 10.0, {}};
  if (triangles == 100'000) row.target_s = 0.025;
  record(state, rows, row);
}

void bench_travel(benchmark::State& state, Stage& stage, Rows& rows, BenchScene scene,
                  std::size_t triangles) {
  Prepared& p = stage.get(scene, triangles);
  ClearanceQuery query(p.a, p.b);
  const double ours = run(state, [&] {
    query.forget();
    benchmark::DoNotOptimize(query.clearance(p.meshes.travel).upper_mm);
  });
  const clearance::QueryResult& r = query.last();
  count(state, r.counters, 1.0);
  state.counters["lower_mm"] = r.lower_mm;
  state.counters["upper_mm"] = r.upper_mm;
  const double pose = p.peer_pose_seconds();
  double grid = 1.0;
  for (const Axis& axis : p.meshes.travel) grid *= std::floor((axis.upper - axis.lower) / 5.0) + 1;
  Row row{label("travel", scene, triangles), ours, "one FCL distance", pose, 1.0, {}};
  if (scene == BenchScene::posts && triangles == 100'000) {
    row.target_ratio = 5.0;
    row.target_s = 200e-6;
  }
  record(state, rows, row);
  record(state, rows,
         {row.what,
          ours,
          "FCL distance on the 5 mm grid (extrapolated from random poses)",
          pose * grid,
          1e6,
          {}});
}

void bench_exceeds(benchmark::State& state, Stage& stage, Rows& rows, BenchScene scene,
                   std::size_t triangles, std::size_t peer_queries) {
  Prepared& p = stage.get(scene, triangles);
  ClearanceQuery query(p.a, p.b);
  bool exceeds = false;
  const double ours = run(state, [&] {
    query.forget();
    exceeds = query.exceeds(p.meshes.travel, 2.0);
    benchmark::DoNotOptimize(exceeds);
  });
  count(state, query.last().counters, 1.0);
  const std::string what = label("more than 2 mm?", scene, triangles);
  const double peer = stage.once(what, [&] {
    const oracle::FclPair& pair = p.peer();
    return seconds_of([&] {
      p.exceeds =
          oracle::exceeds_by_branch_and_bound(pair, p.meshes.travel, 2.0, 0.1, peer_queries);
    });
  });
  state.counters["peer_queries"] = static_cast<double>(p.exceeds.queries);
  const bool finished = p.exceeds.answer != oracle::Answer::not_finished;
  if (finished && (p.exceeds.answer == oracle::Answer::yes) != exceeds) {
    state.SkipWithError("FCL's branch and bound gives the other answer");
  }
  record(state, rows,
         {label("more than 2 mm?", scene, triangles),
          ours,
          std::string("FCL capped branch and bound") + (finished ? "" : " (cut off, unfinished)"),
          peer,
          1000.0,
          {}});
}

void bench_poses(benchmark::State& state, Stage& stage, Rows& rows, BenchScene scene,
                 std::size_t triangles) {
  Prepared& p = stage.get(scene, triangles);
  ClearanceQuery query(p.a, p.b);
  clearance::QueryCounters sum;
  double queries = 0.0;
  const double ours = run(state, [&] {
    const Vec3& t = p.poses[static_cast<std::size_t>(queries) % p.poses.size()];
    query.forget();
    add(sum, query.clearance(single_pose(t)).counters);
    queries += 1.0;
  });
  count(state, sum, queries);
  record(state, rows,
         {label("single pose", scene, triangles),
          ours,
          "FCL distance at a pose",
          p.peer_pose_seconds(),
          1.0,
          {}});
}

void bench_moves(benchmark::State& state, Stage& stage, Rows& rows, BenchScene scene,
                 std::size_t triangles, double target) {
  Prepared& p = stage.get(scene, triangles);
  ClearanceQuery query(p.a, p.b);
  clearance::QueryCounters sum;
  double queries = 0.0;
  const double ours = run(state, [&] {
    const auto& m = p.moves[static_cast<std::size_t>(queries) % p.moves.size()];
    query.forget();
    add(sum, query.clearance(straight_move(m)).counters);
    queries += 1.0;
  });
  count(state, sum, queries);
  const oracle::FclPair& pair = p.peer();
  double total = 0.0;
  int sampled = 0;
  for (const auto& m : p.moves) {
    if (sampled >= 3 && total > 2.0) break;
    double found = 0.0;
    total += seconds_of([&] { found = oracle::sampled_distance(pair, m.first, m.second, 1.0); });
    ++sampled;
    const double lower = query.clearance(straight_move(m)).lower_mm;
    if (!(lower <= found + 1e-6)) state.SkipWithError("FCL finds a smaller distance on the way");
  }
  state.counters["peer_moves"] = sampled;
  record(state, rows,
         {label("slanting 20 mm move", scene, triangles),
          ours,
          "FCL distance each 1 mm",
          total / sampled,
          target,
          {}});
}

// Resident memory of the process now and at its highest since the last reset, MiB.
double status_mib(const std::string& key) {
  std::ifstream file("/proc/self/status");
  std::string word;
  while (file >> word) {
    double kib = 0.0;
    if (word == key + ":" && file >> kib) return kib / 1024.0;
  }
  return std::numeric_limits<double>::quiet_NaN();
}

// Peak memory from two meshes in hand to the answer, in a process of its own.
double peak_mib(BenchScene scene, std::size_t triangles) {
  std::array<int, 2> pipe_ends{};
  if (pipe(pipe_ends.data()) != 0) return std::numeric_limits<double>::quiet_NaN();
  const pid_t child = fork();
  if (child == 0) {
    scenes::BenchPair pair = scenes::make_bench_pair(scene, triangles);
    std::ofstream("/proc/self/clear_refs") << "5";  // forget the peak of building the scene
    const shape::Solid a = shape::make_solid(std::move(pair.a));
    const shape::Solid b = shape::make_solid(std::move(pair.b));
    benchmark::DoNotOptimize(clearance::query_clearance(a, b, pair.travel).upper_mm);
    const double peak = status_mib("VmHWM");
    const bool sent = write(pipe_ends[1], &peak, sizeof peak) == sizeof peak;
    _exit(sent ? 0 : 1);
  }
  double peak = std::numeric_limits<double>::quiet_NaN();
  int status = 0;
  if (child > 0 && waitpid(child, &status, 0) == child && status == 0) {
    if (read(pipe_ends[0], &peak, sizeof peak) != sizeof peak) peak = -1.0;
  }
  close(pipe_ends[0]);
  close(pipe_ends[1]);
  return peak;
}

std::string time_text(double seconds) {
  std::array<char, 32> text{};
  if (seconds < 1e-3) {
    std::snprintf(text.data(), text.size(), "%.2f us", 1e6 * seconds);
  } else if (seconds < 1.0) {
    std::snprintf(text.data(), text.size(), "%.2f ms", 1e3 * seconds);
  } else {
    std::snprintf(text.data(), text.size(), "%.3g s", seconds);
  }
  return text.data();
}

void print_rows(const Rows& rows) {
  std::printf("\n%-32s %11s  %11s %9s %9s %11s  %s\n", "", "ours", "peer", "ratio", "target", "met",
              "peer is");
  for (const Row& r : rows) {
    std::string target = "-";
    if (r.target_ratio) {
      std::array<char, 32> text{};
      std::snprintf(text.data(), text.size(), ">=%.3g", *r.target_ratio);
      target = text.data();
    }
    std::string met = r.met() ? "yes" : "NO";
    if (r.target_s) met += " <=" + time_text(*r.target_s);
    std::printf("%-32s %11s  %11s %9.3g %9s %11s  %s\n", r.what.c_str(),
                time_text(r.ours_s).c_str(), time_text(r.peer_s).c_str(), r.ratio(), target.c_str(),
                met.c_str(), r.peer.c_str());
  }
}

}  // namespace

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 1;

  const double peak = peak_mib(BenchScene::posts, 1'000'000);
  Stage stage;
  Rows rows;
  const auto add_benchmark = [](const std::string& name, auto function) {
    benchmark::RegisterBenchmark(name.c_str(), function)->Unit(benchmark::kMicrosecond);
  };
  const std::array<BenchScene, 4> all{BenchScene::flat, BenchScene::clamps, BenchScene::posts,
                                      BenchScene::collide};
  for (const std::size_t n : {1'000UL, 10'000UL, 100'000UL, 1'000'000UL}) {
    for (const BenchScene s : all) {
      const bool large = n == 1'000'000;
      if (large && s != BenchScene::clamps && s != BenchScene::posts) continue;
      add_benchmark(label("build", s, n), [&stage, &rows, s, n](benchmark::State& state) {
        bench_build(state, stage, rows, s, n);
      });
      add_benchmark(label("travel", s, n), [&stage, &rows, s, n](benchmark::State& state) {
        bench_travel(state, stage, rows, s, n);
      });
      // Flat over flat keeps the peer busy for minutes, and contact is found at once by both.
      if (s == BenchScene::clamps || s == BenchScene::posts) {
        add_benchmark(label("more than 2 mm?", s, n),
                      [&stage, &rows, s, n](benchmark::State& state) {
                        bench_exceeds(state, stage, rows, s, n, 20'000'000 / n + 300);
                      });
        add_benchmark(label("single pose", s, n), [&stage, &rows, s, n](benchmark::State& state) {
          bench_poses(state, stage, rows, s, n);
        });
        const double target = large ? 1.0 : (s == BenchScene::clamps ? 100.0 : 30.0);
        add_benchmark(label("slanting 20 mm move", s, n),
                      [&stage, &rows, s, n, target](benchmark::State& state) {
                        bench_moves(state, stage, rows, s, n, target);
                      });
      }
    }
  }
  benchmark::RunSpecifiedBenchmarks();
  benchmark::Shutdown();
  print_rows(rows);
  std::printf("%-32s %7.0f MiB  target < 600 MiB: %s\n", "peak memory/posts/1M + 1M", peak,
              peak < 600.0 ? "yes" : "NO");
  return 0;
}
