// The meshes of the demo plans, as the script makes them: sound, in place and the same every time.

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>

#include "shape/health.h"
#include "shape/import.h"
#include "shape/model_counts.h"

namespace bight::shape {
namespace {

namespace fs = std::filesystem;

class DemoMesh : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "bight-demo-XXXXXX").string();
    folder_ = ::mkdtemp(name.data());
    ASSERT_TRUE(make(folder_ / "meshes"));
  }
  void TearDown() override { fs::remove_all(folder_); }

  static bool make(const fs::path& out) {
    const fs::path script = fs::path(BIGHT_SOURCE_DIR) / "assets/make_meshes.py";
    return std::system(("python3 '" + script.string() + "' '" + out.string() + "'").c_str()) == 0;
  }

  Mesh load(const std::string& name) const {
    Diagnostics diagnostics;
    ImportResult result = import_mesh(folder_ / "meshes" / name, {}, diagnostics);
    EXPECT_TRUE(diagnostics.items().empty()) << to_text(diagnostics.items().front());
    return result.mesh.value_or(Mesh{});
  }

  fs::path folder_;
};

void expect_box(const Mesh& mesh, const Vec3& lower, const Vec3& upper) {
  EXPECT_LT(glm::length(bounds(mesh).lower - lower), 0.2);
  EXPECT_LT(glm::length(bounds(mesh).upper - upper), 0.2);
}

TEST_F(DemoMesh, RouterStandsOnItsColletNut) {
  const Mesh router = load("router_body.stl");

  EXPECT_TRUE(check_health(router).sound());
  EXPECT_EQ(check_health(router).degenerate_triangles, 0U);
  expect_box(router, {-36, -36, 0}, {36, 36, 251.7});
}

TEST_F(DemoMesh, ClampStandsOnTheMiddleOfItsFoot) {
  const Mesh clamp = load("toggle_clamp.obj");

  EXPECT_TRUE(check_health(clamp).sound());
  EXPECT_EQ(check_health(clamp).degenerate_triangles, 0U);
  expect_box(clamp, {-20, -81.9, 0}, {20, 74, 104.8});
}

TEST_F(DemoMesh, PlateHasRealHoles) {
  const Mesh plate = load("gantry_plate.stl");
  const Health health = check_health(plate);

  EXPECT_TRUE(health.sound());
  EXPECT_EQ(health.shells, 1U);
  EXPECT_EQ(bounds(plate).lower, Vec3(0, 0, 0));
  EXPECT_EQ(bounds(plate).upper, Vec3(12, 220, 320));
  // Euler and Poincare: V - E + F = 2 - 2 g; every through hole is a handle. 40 holes save weight,
  // 2 x 5 are counterbored, 2 x 7 tapped and 4 stand at the corners.
  const auto vertices = static_cast<long>(plate.vertices.size());
  const auto faces = static_cast<long>(plate.triangles.size());
  const long edges = faces * 3 / 2;
  EXPECT_EQ((2 - (vertices - edges + faces)) / 2, 40 + 10 + 14 + 4);
}

TEST_F(DemoMesh, TogetherAreAtLeastAHundredThousandTrianglesAndNeverChange) {
  ASSERT_TRUE(make(folder_ / "again"));
  std::size_t triangles = 0;
  std::size_t files = 0;
  for (const auto& entry : fs::directory_iterator(folder_ / "meshes")) {
    triangles += count_triangles(entry.path()).value_or(0);
    EXPECT_EQ(bytes_of(entry.path()), bytes_of(folder_ / "again" / entry.path().filename()));
    ++files;
  }
  EXPECT_EQ(files, 3U);
  EXPECT_GE(triangles, 100'000U);
}

}  // namespace
}  // namespace bight::shape
