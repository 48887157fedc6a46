#include "scenes/bench_scenes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "shape/primitive.h"
#include "shape/weld.h"

namespace bight::scenes {

namespace {

using shape::Mesh;

constexpr double k_pi = std::numbers::pi;

/// Point of a generatrix: radius and height, mm.
using Outline = std::vector<Vec2>;

/// Points along the outline at even distances, about `count` of them; its corners stay.
Outline refined(const Outline& outline, std::size_t count) {
  double length = 0.0;
  for (std::size_t i = 1; i < outline.size(); ++i) {
    length += glm::distance(outline[i - 1], outline[i]);
  }
  Outline points{outline.front()};
  for (std::size_t i = 1; i < outline.size(); ++i) {
    const double share = glm::distance(outline[i - 1], outline[i]) / length;
    const auto steps = std::max(1L, std::lround(share * static_cast<double>(count)));
    for (long s = 1; s <= steps; ++s) {
      points.push_back(glm::mix(outline[i - 1], outline[i],
                                static_cast<double>(s) / static_cast<double>(steps)));
    }
  }
  return points;
}

/// Turned part about +Z from the outline (rising, radii > 0), closed by discs, of about `triangles`
/// triangles that are about as high as wide.
Mesh turned(const Outline& outline, std::size_t triangles) {
  double length = 0.0;
  double widest = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    widest = std::max(widest, outline[i].x);
    if (i > 0) length += glm::distance(outline[i - 1], outline[i]);
  }
  const double wanted = static_cast<double>(triangles) / 2.0;
  const double around_wanted = std::sqrt(wanted * 2.0 * k_pi * widest / length);
  const auto around = static_cast<std::uint32_t>(std::clamp(around_wanted, 8.0, 4096.0));
  const auto rows =
      static_cast<std::size_t>(std::max(2.0, wanted / static_cast<double>(around) - 1.0));
  const Outline points = refined(outline, rows);
  const auto rings = static_cast<std::uint32_t>(points.size());
  Mesh mesh;
  for (const Vec2& p : points) {
    for (std::uint32_t i = 0; i < around; ++i) {
      const double angle = 2.0 * k_pi * i / around;
      mesh.vertices.emplace_back(p.x * std::cos(angle), p.x * std::sin(angle), p.y);
    }
  }
  mesh.vertices.emplace_back(0.0, 0.0, points.front().y);
  mesh.vertices.emplace_back(0.0, 0.0, points.back().y);
  const std::uint32_t bottom = rings * around;
  for (std::uint32_t i = 0; i < around; ++i) {
    const std::uint32_t j = (i + 1) % around;
    for (std::uint32_t r = 0; r + 1 < rings; ++r) {
      const std::uint32_t low = r * around;
      const std::uint32_t high = low + around;
      mesh.triangles.push_back({low + i, low + j, high + j});
      mesh.triangles.push_back({low + i, high + j, high + i});
    }
    const std::uint32_t top = (rings - 1) * around;
    mesh.triangles.push_back({bottom, j, i});
    mesh.triangles.push_back({bottom + 1, top + i, top + j});
  }
  return mesh;
}

/// Box from its lowest corner, each face a grid, of about `triangles` triangles.
Mesh gridded(const Vec3& lower, const Vec3& size, std::size_t triangles) {
  const double area = 2.0 * (size.x * size.y + size.y * size.z + size.z * size.x);
  const double cell = std::sqrt(2.0 * area / static_cast<double>(triangles));
  Mesh mesh;
  for (int axis = 0; axis < 3; ++axis) {
    const int u = (axis + 1) % 3;
    const int v = (axis + 2) % 3;
    const auto nu = static_cast<std::uint32_t>(std::max(1L, std::lround(size[u] / cell)));
    const auto nv = static_cast<std::uint32_t>(std::max(1L, std::lround(size[v] / cell)));
    for (const bool upper : {false, true}) {
      const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
      for (std::uint32_t i = 0; i <= nu; ++i) {
        for (std::uint32_t j = 0; j <= nv; ++j) {
          Vec3 p = lower;
          p[axis] += upper ? size[axis] : 0.0;
          p[u] += i == nu ? size[u] : size[u] * i / nu;
          p[v] += j == nv ? size[v] : size[v] * j / nv;
          mesh.vertices.push_back(p);
        }
      }
      for (std::uint32_t i = 0; i < nu; ++i) {
        for (std::uint32_t j = 0; j < nv; ++j) {
          const std::uint32_t p = first + i * (nv + 1) + j;
          const std::uint32_t q = p + nv + 1;
          if (upper) {
            mesh.triangles.push_back({p, q, q + 1});
            mesh.triangles.push_back({p, q + 1, p + 1});
          } else {
            mesh.triangles.push_back({p, q + 1, q});
            mesh.triangles.push_back({p, p + 1, q + 1});
          }
        }
      }
    }
  }
  return shape::welded(mesh);
}

std::size_t share(std::size_t triangles, double part) {
  return static_cast<std::size_t>(static_cast<double>(triangles) * part);
}

/// Outline of a spindle with tool, the tip at height 0.
Outline spindle_outline() {
  Outline outline{{3.0, 0.0}, {3.0, 35.0}, {9.0, 36.0}, {12.0, 42.0}, {12.0, 58.0}, {30.0, 66.0}};
  for (int fin = 0; fin < 8; ++fin) {
    const double z = 70.0 + 16.0 * fin;
    outline.insert(outline.end(), {{36.0, z}, {40.0, z + 1.0}, {40.0, z + 9.0}, {36.0, z + 10.0}});
  }
  outline.push_back({34.0, 204.0});
  return outline;
}

/// Head whose tool tip is at the origin.
Mesh make_head(std::size_t triangles) {
  Mesh head = turned(spindle_outline(), share(triangles, 0.6));
  head = shape::merged(std::move(head),
                       gridded(Vec3(-70, 20, 90), Vec3(140, 60, 110), share(triangles, 0.25)));
  return shape::merged(std::move(head),
                       gridded(Vec3(-45, 82, 60), Vec3(90, 45, 190), share(triangles, 0.15)));
}

/// Clamp on a bed at z = -40 whose top stands at `top`.
Mesh make_clamp(const Vec2& at, double top, std::size_t triangles) {
  const double height = top + 40.0;
  Mesh clamp = gridded(Vec3(-16, -40, 0), Vec3(32, 80, 0.7 * height), share(triangles, 0.5));
  const Mesh bolt = turned({{11.0, 0.0},
                            {11.0, 0.8 * height},
                            {7.0, 0.82 * height},
                            {7.0, 0.95 * height},
                            {4.0, height}},
                           share(triangles, 0.5));
  // Beside the block rather than through it, so that the clamp's surface does not cross itself.
  clamp = shape::merged(std::move(clamp), shape::translated(bolt, Vec3(30, 12, 0)));
  return shape::translated(std::move(clamp), Vec3(at.x, at.y, -40.0));
}

Mesh make_clamped_bed(std::size_t triangles, double odd_top) {
  const std::array<Vec2, 6> places{
      {{90, 140}, {610, 95}, {1130, 170}, {70, 660}, {575, 710}, {1105, 640}}};
  Mesh bed = gridded(Vec3(-100, -100, -60), Vec3(1400, 1000, 19.5), share(triangles, 0.28));
  for (std::size_t i = 0; i < places.size(); ++i) {
    const double top = i == 4 ? odd_top : 0.0;
    bed = shape::merged(std::move(bed), make_clamp(places[i], top, share(triangles, 0.12)));
  }
  return bed;
}

Mesh make_post(double height, std::size_t triangles) {
  return turned({{46.0, 0.0},
                 {46.0, 18.0},
                 {24.0, 24.0},
                 {22.0, 0.9 * height},
                 {30.0, 0.92 * height},
                 {30.0, height}},
                triangles);
}

/// Posts outside the four corners of the travel and a plate beside it, all leaning.
Mesh make_posts(std::size_t triangles) {
  struct Stand {
    Vec3 turn;
    Vec3 foot;
  };
  const std::array<Stand, 4> stands{{{{13, 17, 5}, {-101.1, -17.1, -168.3}},
                                     {{11, -19, 23}, {1338, 26, -173}},
                                     {{-17, 14, 41}, {-96, 855, -139}},
                                     {{-12, -21, 31}, {1364, 966, -184}}}};
  Mesh posts;
  for (const Stand& s : stands) {
    posts = shape::merged(std::move(posts), shape::placed(make_post(420, share(triangles, 0.17)),
                                                          shape::turn_matrix(s.turn), s.foot));
  }
  const Mesh plate = gridded(Vec3(0, 0, 0), Vec3(1100, 24, 260), share(triangles, 0.32));
  return shape::merged(std::move(posts), shape::placed(plate, shape::turn_matrix(Vec3(19, 4, 3)),
                                                       Vec3(60, 1042, -150)));
}

}  // namespace

BenchPair make_bench_pair(BenchScene scene, std::size_t triangles) {
  BenchPair pair;
  // Z is zero at the top: the tip is lowest at -120.
  pair.travel = {
      {Vec3(1, 0, 0), 0.0, 1200.0}, {Vec3(0, 1, 0), 0.0, 800.0}, {Vec3(0, 0, 1), -120.0, 0.0}};
  const Vec3 tip(0.0, 0.0, 123.0);  // 3 mm above z = 0 when it is down
  switch (scene) {
    case BenchScene::flat: {
      Mesh head = shape::translated(make_head(share(triangles, 0.5)), Vec3(0, 0, 12));
      head = shape::merged(std::move(head),
                           gridded(Vec3(-90, -70, 0), Vec3(180, 140, 10), share(triangles, 0.5)));
      pair.a = shape::translated(std::move(head), tip);
      pair.b = gridded(Vec3(-100, -100, -20), Vec3(1400, 1000, 20), triangles);
      break;
    }
    case BenchScene::clamps:
    case BenchScene::collide:
      pair.a = shape::translated(make_head(triangles), tip);
      pair.b = make_clamped_bed(triangles, scene == BenchScene::collide ? 11.0 : 0.0);
      break;
    case BenchScene::posts:
      pair.a = shape::placed(make_head(triangles), shape::turn_matrix(Vec3(3, -4, 29)), tip);
      pair.b = make_posts(triangles);
      break;
  }
  return pair;
}

std::string name_of(BenchScene scene) {
  switch (scene) {
    case BenchScene::flat:
      return "flat";
    case BenchScene::clamps:
      return "clamps";
    case BenchScene::posts:
      return "posts";
    default:
      return "collide";
  }
}

}  // namespace bight::scenes
