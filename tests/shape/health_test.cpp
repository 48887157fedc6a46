#include "shape/health.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <map>
#include <random>

#include "shape/primitive.h"
#include "shape/solid.h"

namespace bight::shape {
namespace {

/// Each edge run as often one way as the other, counted by brute force over places.
bool balanced(const Mesh& mesh) {
  std::map<std::pair<std::uint32_t, std::uint32_t>, int> balance;
  const auto first_at = [&](std::uint32_t v) {
    const auto at = std::find(mesh.vertices.begin(), mesh.vertices.end(), mesh.vertices[v]);
    return static_cast<std::uint32_t>(at - mesh.vertices.begin());
  };
  for (const auto& triangle : mesh.triangles) {
    const std::array t = {first_at(triangle[0]), first_at(triangle[1]), first_at(triangle[2])};
    if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) continue;
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint32_t from = t[k];
      const std::uint32_t to = t[(k + 1) % 3];
      balance[std::minmax(from, to)] += from < to ? 1 : -1;
    }
  }
  return !balance.empty() && std::all_of(balance.begin(), balance.end(),
                                         [](const auto& edge) { return edge.second == 0; });
}

Mesh turned_over(Mesh mesh) {
  for (auto& t : mesh.triangles) std::swap(t[1], t[2]);
  return mesh;
}

TEST(Health, ASoundBoxHasNothingToReport) {
  const Mesh box = make_box({0, 0, 0}, {2, 3, 4});

  const Health health = check_health(box);

  EXPECT_TRUE(health.sound());
  EXPECT_EQ(health.triangles, 12U);
  EXPECT_EQ(health.shells, 1U);
  EXPECT_DOUBLE_EQ(health.volume_mm3, 24.0);
}

TEST(Health, ABoxWithoutItsLidHasFourOpenEdges) {
  Mesh box = make_box({0, 0, 0}, {1, 1, 1});
  box.triangles.erase(box.triangles.begin() + 2, box.triangles.begin() + 4);

  EXPECT_EQ(check_health(box).open_edges, 4U);
  EXPECT_FALSE(check_health(box).closed());
}

TEST(Health, OneTriangleTurnedOverDisagreesWithItsThreeNeighbours) {
  Mesh box = make_box({0, 0, 0}, {1, 1, 1});
  std::swap(box.triangles[5][0], box.triangles[5][1]);

  const Health health = check_health(box);

  EXPECT_EQ(health.misoriented_edges, 3U);
  EXPECT_EQ(health.open_edges, 0U);
  EXPECT_FALSE(health.closed());
}

TEST(Health, TwoBoxesThatShareAnEdgeAreStillSolid) {
  const Mesh boxes = merged(make_box({0, 0, 0}, {1, 1, 1}), make_box({1, 1, 0}, {1, 1, 1}));

  const Health health = check_health(boxes);

  EXPECT_EQ(health.shared_edges, 1U);
  EXPECT_EQ(health.shells, 1U);
  EXPECT_TRUE(health.sound());
}

TEST(Health, AFinOnABoxBranches) {
  Mesh box = make_box({0, 0, 0}, {1, 1, 1});
  box.vertices.emplace_back(0, 0, 2);
  box.triangles.push_back({4, 5, 8});  // stands on an edge of the lid

  const Health health = check_health(box);

  EXPECT_EQ(health.branched_edges, 1U);
  EXPECT_EQ(health.open_edges, 2U);
}

TEST(Health, ATriangleThatIsThereTwiceIsADuplicateInWhateverOrder) {
  Mesh box = make_box({0, 0, 0}, {1, 1, 1});
  const auto t = box.triangles[3];
  box.triangles.push_back({t[1], t[2], t[0]});
  box.triangles.push_back({t[2], t[1], t[0]});

  const Health health = check_health(box);

  EXPECT_EQ(health.duplicate_triangles, 2U);
  EXPECT_EQ(health.shared_edges, 3U);  // once more each way
}

TEST(Health, TrianglesWithoutAreaAreCountedAndDoNoHarm) {
  Mesh box = make_box({0, 0, 0}, {1, 1, 1});
  box.triangles.push_back({0, 0, 1});  // two corners at one place
  const Mesh needle{{{0, 0, 0}, {1, 0, 0}, {0.5, 1e-7, 0}}, {{0, 1, 2}}};
  const Mesh thin{{{0, 0, 0}, {1, 0, 0}, {0.5, 1e-5, 0}}, {{0, 1, 2}}};

  EXPECT_EQ(check_health(box).degenerate_triangles, 1U);
  EXPECT_TRUE(check_health(box).closed());
  EXPECT_EQ(check_health(needle).degenerate_triangles, 1U);
  EXPECT_EQ(check_health(thin).degenerate_triangles, 0U);
}

TEST(Health, AnInsideOutBoxIsToldFromACavity) {
  const Mesh outer = make_box({0, 0, 0}, {10, 10, 10});
  const Mesh cavity = turned_over(make_box({2, 2, 2}, {3, 3, 3}));
  const Mesh beside = turned_over(make_box({20, 0, 0}, {3, 3, 3}));

  EXPECT_EQ(check_health(turned_over(outer)).inside_out_shells, 1U);
  EXPECT_EQ(check_health(merged(outer, cavity)).inside_out_shells, 0U);
  EXPECT_TRUE(check_health(merged(outer, cavity)).sound());
  EXPECT_EQ(check_health(merged(outer, beside)).inside_out_shells, 1U);
  EXPECT_EQ(check_health(merged(outer, beside)).shells, 2U);
}

TEST(Health, CornersAtOnePlaceCountAsOneWhateverTheirIndex) {
  const Mesh box = make_box({0, 0, 0}, {1, 1, 1});
  Mesh soup;
  for (const auto& t : box.triangles) {
    const auto first = static_cast<std::uint32_t>(soup.vertices.size());
    for (const std::uint32_t v : t) soup.vertices.push_back(box.vertices[v]);
    soup.triangles.push_back({first, first + 1, first + 2});
  }

  EXPECT_TRUE(check_health(soup).sound());
}

// Health and solid must say the same of any mesh, and both what a count of every edge says.
TEST(Health, ClosedMeansWhatItMeansForASolid) {
  std::mt19937 random(5);
  const Mesh pair = merged(make_box({0, 0, 0}, {1, 1, 1}), make_box({1, 1, 0}, {1, 1, 1}));
  const Mesh apart = merged(make_box({0, 0, 0}, {1, 1, 1}), make_box({3, 0, 0}, {1, 1, 1}));
  int closed = 0;
  for (int trial = 0; trial < 600; ++trial) {
    Mesh mesh = trial % 3 == 0 ? pair : apart;
    const auto pick = [&] {
      return mesh.triangles.begin() + static_cast<std::ptrdiff_t>(random() % mesh.triangles.size());
    };
    switch (random() % 5) {
      case 0:
        mesh.triangles.erase(pick());
        break;
      case 1:
        std::swap((*pick())[0], (*pick())[1]);
        break;
      case 2:
        mesh.triangles.push_back(*pick());
        break;
      case 3:
        mesh.triangles.push_back({0, 0, 5});
        break;
      default:
        break;
    }
    const bool expected = balanced(mesh);
    EXPECT_EQ(check_health(mesh).closed(), expected) << trial;
    EXPECT_EQ(make_solid(mesh).closed, expected) << trial;
    closed += expected ? 1 : 0;
  }
  EXPECT_GT(closed, 100);
  EXPECT_LT(closed, 500);
  EXPECT_FALSE(check_health(Mesh{{{0, 0, 0}, {1, 0, 0}}, {{0, 1, 0}}}).closed());
}

TEST(Health, NoTrianglesAreEmptyAndNotClosed) {
  EXPECT_TRUE(check_health(Mesh{}).empty());
  EXPECT_FALSE(check_health(Mesh{}).closed());
}

TEST(Health, PrimitivesAreSoundFarFromTheOriginToo) {
  for (const double far_away : {0.0, 1e4, 1e6}) {
    EXPECT_TRUE(check_health(make_capsule(Vec3(far_away), Axis::x, 30, 8)).sound());
    EXPECT_TRUE(check_health(make_cylinder(Vec3(-far_away), Axis::y, 30, 8)).sound());
  }
}

}  // namespace
}  // namespace bight::shape
