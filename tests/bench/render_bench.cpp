// Time of a frame at 100 000 and a million triangles, standing and while a person drags, at 1280 x
// 800; of picking; and of the whole command `bight picture` with a mesh of 100 000 triangles and
// with none. Run with LIBGL_ALWAYS_SOFTWARE=1 for the figures of a machine without a graphics card.
// `per_bare_frame` is the ratio to an OpenGL frame that only clears, resolves and waits, in the
// same run.

#include <benchmark/benchmark.h>
#include <epoxy/gl.h>

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <string>

#include "render/offscreen.h"
#include "render/renderer.h"
#include "scene/scene.h"

namespace {

using namespace bight;

constexpr scene::Viewport k_size{1280, 800};

/// A ring with ribs of about `triangles` triangles.
shape::Mesh ring(std::size_t triangles) {
  const auto around = static_cast<std::uint32_t>(std::sqrt(2.5 * static_cast<double>(triangles)));
  const auto across = static_cast<std::uint32_t>(triangles / 2 / around);
  shape::Mesh mesh;
  for (std::uint32_t i = 0; i < around; ++i) {
    for (std::uint32_t k = 0; k < across; ++k) {
      const double u = 6.283185307179586 * i / around;
      const double v = 6.283185307179586 * k / across;
      const double r = 100.0 + (30.0 + std::sin(40.0 * u)) * std::cos(v);
      mesh.vertices.emplace_back(r * std::cos(u), r * std::sin(u), 30.0 * std::sin(v));
      const auto at = [&](std::uint32_t a, std::uint32_t b) {
        return a % around * across + b % across;
      };
      mesh.triangles.push_back({at(i, k), at(i + 1, k), at(i + 1, k + 1)});
      mesh.triangles.push_back({at(i, k), at(i + 1, k + 1), at(i, k + 1)});
    }
  }
  return mesh;
}

scene::Scene ring_scene(std::size_t triangles) {
  scene::Scene scene;
  scene::Solid solid;
  solid.mesh = std::make_shared<const shape::Mesh>(ring(triangles));
  solid.mesh_box = shape::bounds(*solid.mesh);
  solid.id = scene.id_of({scene::ThingKind::part, "ring"});
  scene.solids.push_back(solid);
  scene.grid = scene::Grid{-30.0, {-200.0, -200.0}, {200.0, 200.0}};
  scene.bounds = drawn_box(scene);
  scene.focus = scene.bounds;
  return scene;
}

double milliseconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start)
      .count();
}

double bare_frame_ms(render::Renderer& renderer) {
  const scene::Scene empty;
  const auto start = std::chrono::steady_clock::now();
  constexpr int k_frames = 5;
  for (int i = 0; i < k_frames; ++i) {
    renderer.draw(empty, {}, k_size);
    glFinish();
  }
  return milliseconds_since(start) / k_frames;
}

void frame(benchmark::State& state) {
  std::string problem;
  const auto context = render::OffscreenContext::create(problem);
  if (!context) {
    state.SkipWithError(problem.c_str());
    return;
  }
  const bool moving = state.range(1) != 0;
  const scene::Scene scene = ring_scene(static_cast<std::size_t>(state.range(0)));
  scene::Camera camera = fitted({}, scene.focus, k_size);
  render::Renderer renderer;
  renderer.draw(scene, camera, k_size, {.moving = moving});
  glFinish();
  const double bare = bare_frame_ms(renderer);
  render::DrawFigures figures;
  const auto start = std::chrono::steady_clock::now();
  for (auto _ : state) {
    camera.azimuth_deg += 1.0;
    figures = renderer.draw(scene, camera, k_size, {.moving = moving});
    glFinish();
  }
  const double mean = milliseconds_since(start) / static_cast<double>(state.iterations());
  state.counters["triangles_drawn"] = static_cast<double>(figures.triangles);
  state.counters["per_bare_frame"] = mean / bare;
}
BENCHMARK(frame)
    ->ArgNames({"triangles", "moving"})
    ->ArgsProduct({{100'000, 1'000'000}, {0, 1}})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void pick(benchmark::State& state) {
  std::string problem;
  const auto context = render::OffscreenContext::create(problem);
  if (!context) {
    state.SkipWithError(problem.c_str());
    return;
  }
  const scene::Scene scene = ring_scene(static_cast<std::size_t>(state.range(0)));
  const scene::Camera camera = fitted({}, scene.focus, k_size);
  render::Renderer renderer;
  std::size_t hits = 0;
  for (auto _ : state) {
    hits += renderer.pick(scene, camera, k_size, {300.0, 400.0}) ? 1U : 0U;
  }
  state.counters["hits"] = static_cast<double>(hits) / static_cast<double>(state.iterations());
}
BENCHMARK(pick)->Arg(100'000)->Arg(1'000'000)->Unit(benchmark::kMillisecond)->UseRealTime();

/// The whole process, with a plan of one moving mesh; 0: a box.
void picture(benchmark::State& state) {
  const auto folder = std::filesystem::temp_directory_path();
  const auto mesh_file = folder / "bight_bench_ring.stl";
  const auto plan_file = folder / "bight_bench_ring.toml";
  const auto triangles = static_cast<std::size_t>(state.range(0));
  std::string part = "size = [100, 100, 60]\n";
  if (triangles > 0) {
    const shape::Mesh mesh = ring(triangles);
    std::string bytes(80, ' ');
    const auto put = [&bytes](auto value) {
      bytes.append(reinterpret_cast<const char*>(&value), sizeof(value));
    };
    put(static_cast<std::uint32_t>(mesh.triangles.size()));
    for (const auto& t : mesh.triangles) {
      for (int i = 0; i < 3; ++i) put(0.0F);
      for (const auto v : t) {
        for (int i = 0; i < 3; ++i) put(static_cast<float>(mesh.vertices[v][i]));
      }
      put(std::uint16_t{0});
    }
    std::ofstream(mesh_file, std::ios::binary) << bytes;
    part = "shape = \"mesh\"\nfile = \"bight_bench_ring.stl\"\n";
  }
  std::ofstream(plan_file) << "format = 1\nname = \"bench\"\n[[joint]]\nname = \"X\"\n"
                              "travel = [0, 100]\n[[body]]\nname = \"slide\"\njoint = \"X\"\n"
                              "[[part]]\nname = \"ring\"\nbody = \"slide\"\n"
                           << part << "at = [0, 0, 0]\n";
  const std::string command = std::string("\"") + BIGHT_PROGRAM + "\" picture " +
                              plan_file.string() + " -o " + (folder / "bight_bench.png").string();
  for (auto _ : state) {
    if (std::system(command.c_str()) != 0) state.SkipWithError("bight picture failed");
  }
}
BENCHMARK(picture)
    ->ArgName("triangles")
    ->Arg(0)
    ->Arg(100'000)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace

BENCHMARK_MAIN();
