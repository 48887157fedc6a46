// Binary STL to a welded mesh and on to a solid, beside Assimp joining vertices (as it comes, and
// with the facet normals dropped first, without which it joins nothing), beside a plain read() of
// the file. All contenders run in turn within one iteration; the ratios are of the fastest times.
// Peak memory is that of a process of its own, over what it held at its start.

#include <assimp/postprocess.h>
#include <assimp/scene.h>
#include <benchmark/benchmark.h>
#include <fcntl.h>
#include <malloc.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <assimp/Importer.hpp>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "shape/import.h"
#include "shape/solid.h"

namespace {

using namespace bight;

/// A closed ring of about `triangles` triangles as a binary STL with facet normals, like an export.
std::filesystem::path write_ring(std::size_t triangles) {
  const auto around = static_cast<std::size_t>(std::sqrt(static_cast<double>(triangles) * 2.5));
  const std::size_t across = triangles / 2 / around;
  const auto point = [&](std::size_t i, std::size_t k) {
    const double u =
        6.283185307179586 * static_cast<double>(i % around) / static_cast<double>(around);
    const double v =
        6.283185307179586 * static_cast<double>(k % across) / static_cast<double>(across);
    const double r = 100.0 + 30.0 * std::cos(v);
    return Vec3(r * std::cos(u), r * std::sin(u), 30.0 * std::sin(v));
  };
  std::string bytes(80, ' ');
  const auto put = [&bytes](auto value) {
    bytes.append(reinterpret_cast<const char*>(&value), sizeof(value));
  };
  const auto put_facet = [&](const Vec3& a, const Vec3& b, const Vec3& c) {
    for (const Vec3& p : {glm::normalize(glm::cross(b - a, c - a)), a, b, c}) {
      for (int i = 0; i < 3; ++i) put(static_cast<float>(p[i]));
    }
    put(std::uint16_t{0});
  };
  put(static_cast<std::uint32_t>(2 * around * across));
  for (std::size_t i = 0; i < around; ++i) {
    for (std::size_t k = 0; k < across; ++k) {
      put_facet(point(i, k), point(i + 1, k), point(i + 1, k + 1));
      put_facet(point(i, k), point(i + 1, k + 1), point(i, k + 1));
    }
  }
  std::string name = (std::filesystem::temp_directory_path() / "bight-bench-XXXXXX.stl").string();
  const int fd = ::mkstemps(name.data(), 4);
  if (fd >= 0) ::close(fd);
  std::ofstream(name, std::ios::binary) << bytes;
  return name;
}

shape::Mesh import(const std::filesystem::path& path) {
  Diagnostics diagnostics;
  return shape::import_mesh(path, {}, diagnostics).mesh.value_or(shape::Mesh{});
}

std::size_t assimp_vertices(const std::filesystem::path& path, bool drop_normals) {
  Assimp::Importer importer;
  importer.SetPropertyInteger(AI_CONFIG_PP_RVC_FLAGS, aiComponent_NORMALS);
  const unsigned flags = aiProcess_JoinIdenticalVertices |
                         (drop_normals ? static_cast<unsigned>(aiProcess_RemoveComponent) : 0U);
  const aiScene* scene = importer.ReadFile(path.string(), flags);
  return scene == nullptr ? 0 : scene->mMeshes[0]->mNumVertices;
}

std::size_t raw_read(const std::filesystem::path& path) {
  const int fd = ::open(path.c_str(), O_RDONLY);
  std::vector<char> block(std::size_t{1} << 20U);
  std::size_t total = 0;
  for (ssize_t got = 1; got > 0;) {
    got = ::read(fd, block.data(), block.size());
    if (got > 0) total += static_cast<std::size_t>(got);
  }
  ::close(fd);
  return total;
}

/// Fastest time of one contender over the iterations, seconds.
struct Fastest {
  double seconds = std::numeric_limits<double>::infinity();

  template <typename Work>
  double time(const Work& work) {
    const auto start = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(work());
    const double took =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    seconds = std::min(seconds, took);
    return took;
  }
};

double status_kb(const std::string& key) {
  std::ifstream file("/proc/self/status");
  for (std::string word; file >> word;) {
    double value = 0.0;
    if (word == key + ":" && file >> value) return value;
  }
  return 0.0;
}

/// Peak memory of `work` in MB, in a process of its own.
double peak_mb(const std::function<void()>& work) {
  int channel[2];
  if (::pipe(channel) != 0) return -1.0;
  const pid_t child = ::fork();
  if (child == 0) {
    ::malloc_trim(0);  // memory freed earlier would be used again uncounted
    std::ofstream("/proc/self/clear_refs") << '5';  // the peak starts anew
    const double before = status_kb("VmRSS");
    work();
    const double used = (status_kb("VmHWM") - before) * 1024e-6;
    const bool sent = ::write(channel[1], &used, sizeof(used)) == sizeof(used);
    ::_exit(sent ? 0 : 1);
  }
  double used = -1.0;
  ::close(channel[1]);
  if (child < 0 || ::read(channel[0], &used, sizeof(used)) != sizeof(used)) used = -1.0;
  ::close(channel[0]);
  if (child > 0) ::waitpid(child, nullptr, 0);
  return used;
}

void stl_to_mesh(benchmark::State& state) {
  const std::filesystem::path path = write_ring(static_cast<std::size_t>(state.range(0)));
  const double file_mb = static_cast<double>(std::filesystem::file_size(path)) * 1e-6;
  Fastest ours;
  Fastest with_solid;
  Fastest join;
  Fastest drop_normals;
  Fastest read;
  std::size_t vertices_join = 0;
  std::size_t vertices_drop = 0;
  for (auto _ : state) {
    read.time([&] { return raw_read(path); });
    state.SetIterationTime(ours.time([&] { return import(path).vertices.size(); }));
    with_solid.time([&] { return shape::make_solid(import(path)).bvh.nodes.size(); });
    join.time([&] { return vertices_join = assimp_vertices(path, false); });
    drop_normals.time([&] { return vertices_drop = assimp_vertices(path, true); });
  }
  state.counters["x_assimp_join"] = join.seconds / ours.seconds;
  state.counters["x_assimp_drop_normals"] = drop_normals.seconds / ours.seconds;
  state.counters["x_of_raw_read"] = ours.seconds / read.seconds;
  state.counters["mesh_ms"] = ours.seconds * 1e3;
  state.counters["mesh_and_solid_ms"] = with_solid.seconds * 1e3;
  state.counters["vertices"] = static_cast<double>(import(path).vertices.size());
  state.counters["vertices_join"] = static_cast<double>(vertices_join);
  state.counters["vertices_drop_normals"] = static_cast<double>(vertices_drop);
  state.counters["peak_x_file"] = peak_mb([&] { import(path); }) / file_mb;
  state.counters["peak_join_x_file"] = peak_mb([&] { assimp_vertices(path, false); }) / file_mb;
  state.counters["two_solids_peak_mb"] = peak_mb([&] {
    const shape::Solid a = shape::make_solid(import(path));
    const shape::Solid b = shape::make_solid(import(path));
    benchmark::DoNotOptimize(a.bvh.nodes.data());
    benchmark::DoNotOptimize(b.bvh.nodes.data());
  });
  std::filesystem::remove(path);
}

BENCHMARK(stl_to_mesh)
    ->Arg(100'000)
    ->Iterations(10)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK(stl_to_mesh)
    ->Arg(1'000'000)
    ->Iterations(3)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
