// libFuzzer target: any bytes as a mesh file, as a triangle mesh or as the outline of a profile
// (the first byte chooses). A file gives a finite mesh or an error; health and solid agree on what
// is closed; a profile that is accepted is sound.
//
//   cmake -S . -B build/fuzz -DCMAKE_CXX_COMPILER=clang++ -DBIGHT_FUZZ=ON \
//     -DBIGHT_SANITIZE=address,undefined
//   build/fuzz/tests/fuzz/shape_fuzz -max_len=4000 -timeout=30 NEW

#include <cmath>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <string>

#include "base/check.h"
#include "shape/health.h"
#include "shape/import.h"
#include "shape/primitive.h"
#include "shape/solid.h"

namespace {

using namespace bight;

void try_mesh(const shape::Mesh& mesh) {
  const shape::Health health = shape::check_health(mesh);
  BIGHT_CHECK(health.closed() == shape::make_solid(mesh).closed);
}

void try_file(const std::string& bytes, const char* extension) {
  static const std::filesystem::path folder = [] {
    std::string name = (std::filesystem::temp_directory_path() / "bight-fuzz-XXXXXX").string();
    return std::filesystem::path(::mkdtemp(name.data()));
  }();
  const std::filesystem::path path = folder / (std::string("mesh") + extension);
  std::ofstream(path, std::ios::binary) << bytes;
  Diagnostics diagnostics;
  const shape::ImportResult result =
      shape::import_mesh(path, {.triangles_limit = 100'000}, diagnostics);
  BIGHT_CHECK(result.mesh.has_value() != diagnostics.has_errors());
  if (!result.mesh) return;
  for (const Vec3& v : result.mesh->vertices) BIGHT_CHECK(is_finite(v));
  try_mesh(*result.mesh);
}

/// Few distinct corners, so that triangles meet.
shape::Mesh mesh_of(const std::string& bytes) {
  shape::Mesh mesh;
  for (int i = 0; i < 27; ++i) mesh.vertices.emplace_back(i % 3, i / 3 % 3, i / 9);
  for (std::size_t i = 0; i + 3 <= bytes.size(); i += 3) {
    const auto corner = [&](std::size_t k) {
      return static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[i + k]) % 27);
    };
    mesh.triangles.push_back({corner(0), corner(1), corner(2)});
  }
  return mesh;
}

template <typename Number>
void try_profile(const std::string& bytes) {
  std::vector<Vec2> outline;
  for (std::size_t i = 0; i + 2 * sizeof(Number) <= bytes.size(); i += 2 * sizeof(Number)) {
    Number xy[2];
    std::memcpy(xy, bytes.data() + i, sizeof(xy));
    outline.emplace_back(static_cast<double>(xy[0]), static_cast<double>(xy[1]));
  }
  Diagnostics diagnostics;
  const auto mesh = shape::make_profile(outline, Vec3(0.0), shape::Axis::y, 10.0, {}, diagnostics);
  BIGHT_CHECK(mesh.has_value() != diagnostics.has_errors());
  if (mesh) BIGHT_CHECK(shape::check_health(*mesh).closed());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  switch (data[0] % 8) {
    case 0:
      try_file(bytes, ".stl");
      break;
    case 1:
      try_file(bytes, ".obj");
      break;
    case 2:
      try_file(bytes, ".glb");
      break;
    case 3:
      try_profile<float>(bytes);
      break;
    case 4:
      try_profile<signed char>(bytes);
      break;
    default:
      try_mesh(mesh_of(bytes));
      break;
  }
  return 0;
}
