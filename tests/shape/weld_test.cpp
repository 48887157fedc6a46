#include "shape/weld.h"

#include <gtest/gtest.h>

#include <map>
#include <random>
#include <tuple>

#include "shape/primitive.h"

namespace bight::shape {
namespace {

/// Every triangle with corners of its own, as an STL stores them.
Mesh soup_of(const Mesh& mesh) {
  Mesh soup;
  for (const auto& t : mesh.triangles) {
    const auto first = static_cast<std::uint32_t>(soup.vertices.size());
    for (const std::uint32_t v : t) soup.vertices.push_back(mesh.vertices[v]);
    soup.triangles.push_back({first, first + 1, first + 2});
  }
  return soup;
}

TEST(Weld, GivesATriangleSoupItsSharedVerticesBack) {
  const Mesh box = make_box({0, 0, 0}, {1, 2, 3});

  const Mesh back = welded(soup_of(box));

  EXPECT_EQ(back.vertices.size(), 8U);
  ASSERT_EQ(back.triangles.size(), box.triangles.size());
  for (std::size_t i = 0; i < box.triangles.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      EXPECT_EQ(back.vertices[back.triangles[i][k]], box.vertices[box.triangles[i][k]]);
    }
  }
}

TEST(Weld, MinusZeroIsZeroAndTheNextNumberIsAnother) {
  Welder welder;
  EXPECT_EQ(welder.index_of({0.0, 1.0, 2.0}), 0U);
  EXPECT_EQ(welder.index_of({-0.0, 1.0, 2.0}), 0U);
  EXPECT_EQ(welder.index_of({5e-324, 1.0, 2.0}), 1U);
  EXPECT_EQ(welder.index_of({0.0, std::nextafter(1.0, 2.0), 2.0}), 2U);
  EXPECT_EQ(welder.index_of({0.0, 2.0, 1.0}), 3U);
}

TEST(Weld, AgreesWithAnOrderedMapOnGridAndScatteredPoints) {
  std::mt19937 random(3);
  std::uniform_int_distribution<int> coarse(-20, 20);
  std::uniform_real_distribution<double> fine(-1e-3, 1e-3);
  for (const bool scattered : {false, true}) {
    Welder welder;
    std::map<std::tuple<double, double, double>, std::uint32_t> known;
    for (int i = 0; i < 50000; ++i) {
      const Vec3 p = scattered ? Vec3(fine(random), fine(random), fine(random))
                               : 0.1 * Vec3(coarse(random), coarse(random), coarse(random));
      const auto next = static_cast<std::uint32_t>(known.size());
      const auto expected = known.try_emplace({p.x, p.y, p.z}, next).first->second;
      ASSERT_EQ(welder.index_of(p), expected);
    }
    EXPECT_EQ(welder.size(), known.size());
  }
}

TEST(Weld, LeavesOutVerticesWithoutATriangle) {
  const Mesh loose{{{9, 9, 9}, {0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, {{1, 2, 3}}};

  const Mesh mesh = welded(loose);

  EXPECT_EQ(mesh.vertices.size(), 3U);
  EXPECT_EQ(bounds(mesh).upper, Vec3(1, 1, 0));
}

}  // namespace
}  // namespace bight::shape
