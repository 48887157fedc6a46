#include "scenes/random_scene.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

namespace bight::scenes {

namespace {

using Triangle = std::array<std::uint32_t, 3>;

shape::Mesh soup(Random& r, double size, int triangles) {
  shape::Mesh m;
  for (int i = 0; i < triangles; ++i) {
    const Vec3 c = size * r.uniform(0.0, 0.7) * r.direction();
    for (int k = 0; k < 3; ++k)
      m.vertices.push_back(c + size * r.uniform(0.05, 0.6) * r.direction());
    const auto n = static_cast<std::uint32_t>(3 * i);
    m.triangles.push_back({n, n + 1, n + 2});
  }
  return m;
}

// Segments, points and slivers written as triangles, beside a proper one.
shape::Mesh degenerate(Random& r, double size) {
  shape::Mesh m = soup(r, size, 3);
  const auto at = [&](const Vec3& p) {
    m.vertices.push_back(p);
    return static_cast<std::uint32_t>(m.vertices.size() - 1);
  };
  const Vec3 p = size * r.direction();
  const Vec3 q = size * r.direction();
  const auto ip = at(p);
  const auto iq = at(q);
  const auto mid = at(0.5 * (p + q));
  const auto near = at(0.25 * p + 0.75 * q + 1e-9 * size * r.direction());
  const auto point = at(size * r.uniform(0.0, 1.0) * r.direction());
  m.triangles.push_back({ip, iq, mid});
  m.triangles.push_back({ip, ip, iq});
  m.triangles.push_back({ip, near, iq});
  m.triangles.push_back({point, point, point});
  return m;
}

shape::Mesh bracket(Random& r, double size) {  // two boxes that share a face region: an L
  const double t = size * r.uniform(0.1, 0.5);
  return shape::merged(box_mesh({Vec3(-size, -t, -t), Vec3(size, t, t)}),
                       box_mesh({Vec3(-size, -t, t), Vec3(-size + 2 * t, t, size)}));
}

shape::Mesh random_mesh(Random& r, double size, bool& open, std::string& kind) {
  switch (r.integer(0, 9)) {
    case 0:
    case 1: {
      kind += "box ";
      const Vec3 h(r.uniform(0.2, 1.0), r.uniform(0.2, 1.0), r.uniform(0.2, 1.0));
      return box_mesh({-size * h, size * h});
    }
    case 2:
      kind += "bar ";
      return box_mesh({size * Vec3(-1.2, -0.04, -0.05), size * Vec3(1.2, 0.04, 0.05)});
    case 3: {
      kind += "sheet ";  // thin but closed
      const double thin = r.chance(0.5) ? 1e-3 : 1e-6;
      return box_mesh({size * Vec3(-1.0, -0.7, -thin), size * Vec3(1.0, 0.7, thin)});
    }
    case 4:
    case 5:
      kind += "blob ";
      return blob_mesh(r, size, r.uniform(0.0, 0.4), r.integer(3, 7), r.integer(2, 4));
    case 6:
      kind += "ring ";
      return ring_mesh(size, size * r.uniform(0.1, 0.4), r.integer(4, 8), r.integer(3, 4));
    case 7: {
      kind += "hollow ";
      const double inner = r.uniform(0.3, 0.9);
      return shape::merged(box_mesh({Vec3(-size), Vec3(size)}),
                           reversed(box_mesh({Vec3(-size * inner), Vec3(size * inner)})));
    }
    case 8:
      kind += "bracket ";
      return bracket(r, size);
    default:
      open = true;
      if (r.chance(0.5)) {
        kind += "soup ";
        return soup(r, size, r.integer(1, 6));
      }
      kind += "degenerate ";
      return degenerate(r, size);
  }
}

Vec3 snapped_axis(Random& r) {
  Vec3 d(0.0);
  d[r.integer(0, 2)] = r.chance(0.5) ? 1.0 : -1.0;
  return d;
}

clearance::Travel random_travel(Random& r, double size, std::string& kind) {
  clearance::Travel travel;
  const int style = r.integer(0, 9);
  const auto range = [&](const Vec3& d) {
    const double lower = size * r.uniform(-1.5, 0.5);
    const double length = r.chance(0.06) ? 0.0 : size * r.uniform(0.02, 2.0);
    travel.push_back({d, lower, lower + length});
  };
  if (style < 5) {  // a machine: axes of the frame, 1 to 3 joints
    kind += "axes";
    const int n = r.integer(1, 3);
    for (int i = 0; i < n; ++i) {
      Vec3 d(0.0);
      d[i] = r.chance(0.3) ? -1.0 : 1.0;
      range(d);
    }
  } else if (style < 7) {  // leaning joints of any length
    kind += "leaning";
    const int n = r.integer(1, 3);
    for (int i = 0; i < n; ++i) range(r.uniform(0.3, 2.0) * r.direction());
  } else if (style == 7) {  // parallel and fractional joints, as with a half-speed body
    kind += "parallel";
    const Vec3 d = r.chance(0.5) ? snapped_axis(r) : r.direction();
    range(d);
    range(r.chance(0.5) ? 0.5 * d : -1.0 * d);
    if (r.chance(0.5)) range(snapped_axis(r));
  } else if (style == 8) {  // more joints than dimensions, one without effect
    kind += "many";
    const int n = r.integer(4, 5);
    for (int i = 0; i < n; ++i) range(i == 2 ? Vec3(0.0) : 0.6 * r.direction());
  } else {
    kind += "coplanar";  // three joints in one plane, or none at all
    if (r.chance(0.3)) return travel;
    const Vec3 u = r.direction();
    const Vec3 v = r.direction();
    range(u);
    range(v);
    range(0.5 * u - 0.7 * v);
  }
  return travel;
}

Vec3 support(const shape::Mesh& m, const Vec3& d) {
  Vec3 best = m.vertices.front();
  for (const Vec3& v : m.vertices)
    if (glm::dot(v, d) > glm::dot(best, d)) best = v;
  return best;
}

}  // namespace

std::uint64_t Random::bits() {
  std::uint64_t z = (state_ += 0x9E3779B97F4A7C15U);
  z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
  z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
  return z ^ (z >> 31U);
}

double Random::uniform(double lower, double upper) {
  return lower + (upper - lower) * static_cast<double>(bits() >> 11U) * 0x1.0p-53;
}

int Random::integer(int lower, int upper) {
  return lower + static_cast<int>(bits() % static_cast<std::uint64_t>(upper - lower + 1));
}

Vec3 Random::point(const Box& box) {
  const double x = uniform(box.lower.x, box.upper.x);
  const double y = uniform(box.lower.y, box.upper.y);
  return {x, y, uniform(box.lower.z, box.upper.z)};
}

Vec3 Random::direction() {
  const double z = uniform(-1.0, 1.0);
  const double angle = uniform(0.0, 2.0 * std::numbers::pi);
  const double r = std::sqrt(std::max(0.0, 1.0 - z * z));
  return {r * std::cos(angle), r * std::sin(angle), z};
}

Mat3 Random::turn() {
  const Vec3 x = direction();
  Vec3 y = direction();
  y = glm::normalize(y - glm::dot(x, y) * x);
  return {x, y, glm::cross(x, y)};
}

shape::Mesh box_mesh(const Box& box) {
  shape::Mesh m;
  for (int i = 0; i < 8; ++i)
    m.vertices.emplace_back((i & 1) != 0 ? box.upper.x : box.lower.x,
                            (i & 2) != 0 ? box.upper.y : box.lower.y,
                            (i & 4) != 0 ? box.upper.z : box.lower.z);
  m.triangles = {Triangle{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                 {2, 6, 3},         {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return m;
}

shape::Mesh blob_mesh(Random& random, double radius, double rough, int around, int rings) {
  shape::Mesh m;
  const auto radius_here = [&] { return radius * random.uniform(1.0 - rough, 1.0 + rough); };
  m.vertices.emplace_back(0.0, 0.0, radius_here());
  for (int j = 1; j <= rings; ++j) {
    const double polar = std::numbers::pi * j / (rings + 1);
    for (int i = 0; i < around; ++i) {
      const double angle = 2.0 * std::numbers::pi * i / around;
      m.vertices.push_back(radius_here() * Vec3(std::sin(polar) * std::cos(angle),
                                                std::sin(polar) * std::sin(angle),
                                                std::cos(polar)));
    }
  }
  m.vertices.emplace_back(0.0, 0.0, -radius_here());
  const auto last = static_cast<std::uint32_t>(m.vertices.size() - 1);
  const auto at = [&](int j, int i) {
    return static_cast<std::uint32_t>(1 + j * around + i % around);
  };
  for (int i = 0; i < around; ++i) {
    m.triangles.push_back({0, at(0, i), at(0, i + 1)});
    for (int j = 0; j + 1 < rings; ++j) {
      m.triangles.push_back({at(j, i), at(j + 1, i), at(j + 1, i + 1)});
      m.triangles.push_back({at(j, i), at(j + 1, i + 1), at(j, i + 1)});
    }
    m.triangles.push_back({at(rings - 1, i), last, at(rings - 1, i + 1)});
  }
  return m;
}

shape::Mesh ring_mesh(double radius, double thickness, int around, int section) {
  shape::Mesh m;
  for (int i = 0; i < around; ++i) {
    const double u = 2.0 * std::numbers::pi * i / around;
    for (int j = 0; j < section; ++j) {
      const double v = 2.0 * std::numbers::pi * j / section;
      const double r = radius + thickness * std::cos(v);
      m.vertices.emplace_back(r * std::cos(u), r * std::sin(u), thickness * std::sin(v));
    }
  }
  const auto at = [&](int i, int j) {
    return static_cast<std::uint32_t>((i % around) * section + j % section);
  };
  for (int i = 0; i < around; ++i)
    for (int j = 0; j < section; ++j) {
      m.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
      m.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
    }
  return m;
}

shape::Mesh reversed(shape::Mesh mesh) {
  for (Triangle& t : mesh.triangles) std::swap(t[1], t[2]);
  return mesh;
}

shape::Mesh shuffled(Random& random, const shape::Mesh& mesh) {
  const auto order = [&](std::size_t n) {
    std::vector<std::uint32_t> o(n);
    std::iota(o.begin(), o.end(), 0U);
    for (std::size_t i = n; i > 1; --i) std::swap(o[i - 1], o[random.bits() % i]);
    return o;
  };
  const auto vertex_to_new = order(mesh.vertices.size());
  shape::Mesh m;
  m.vertices.resize(mesh.vertices.size());
  for (std::size_t i = 0; i < mesh.vertices.size(); ++i)
    m.vertices[vertex_to_new[i]] = mesh.vertices[i];
  for (const std::uint32_t i : order(mesh.triangles.size())) {
    Triangle t = mesh.triangles[i];
    std::rotate(t.begin(), t.begin() + random.integer(0, 2), t.end());
    m.triangles.push_back({vertex_to_new[t[0]], vertex_to_new[t[1]], vertex_to_new[t[2]]});
  }
  return m;
}

shape::Mesh mirrored(const shape::Mesh& mesh) {
  shape::Mesh m = reversed(mesh);
  for (Vec3& v : m.vertices) v.x = -v.x;
  return m;
}

shape::Mesh scaled(shape::Mesh mesh, double factor) {
  for (Vec3& v : mesh.vertices) v *= factor;
  return mesh;
}

Scene random_scene(std::uint64_t seed) {
  Random r(seed);
  Scene s;
  s.kind = "seed " + std::to_string(seed) + ": ";
  const double size = 20.0;
  s.size_mm = size;
  s.a = random_mesh(r, size * r.uniform(0.2, 1.0), s.open_or_cracked, s.kind);
  s.b = random_mesh(r, size * r.uniform(0.5, 1.0), s.open_or_cracked, s.kind);
  if (r.chance(0.6)) s.a = shape::placed(s.a, r.turn(), Vec3(0.0));
  if (r.chance(0.6)) s.b = shape::placed(s.b, r.turn(), Vec3(0.0));
  s.travel = random_travel(r, size, s.kind);

  const int placement = r.integer(0, 9);
  if (placement < 5) {  // anywhere near
    s.a = shape::translated(s.a, size * r.uniform(0.3, 3.0) * r.direction());
  } else if (placement < 8) {  // grazing: the extremes of both lie in one plane, moved by a gap
    s.kind += ", grazing";
    const Vec3 d = r.chance(0.5) ? snapped_axis(r) : r.direction();
    double reach = 0.0;  // how far the travel brings A along d
    for (const clearance::Axis& axis : s.travel) {
      const double along = glm::dot(axis.direction, d);
      reach += std::max(along * axis.lower, along * axis.upper);
    }
    constexpr double gaps[] = {0.0, 0.0, 1e-9,  1e-4,  0.005, 0.01,
                               0.3, 5.0, -1e-9, -1e-4, -0.01, -1.0};
    const double gap = gaps[r.integer(0, 11)];
    const Vec3 front = support(s.a, d);
    const Vec3 back = support(s.b, -d);
    s.a = shape::translated(s.a, back - front - (reach + gap) * d);
  } else {  // contained, if they fit: A shrunk to a small body somewhere in B
    s.kind += ", inside";
    s.a = scaled(s.a, r.uniform(0.05, 0.3));
    for (clearance::Axis& axis : s.travel) {
      axis.lower *= 0.1;
      axis.upper *= 0.1;
    }
    s.a = shape::translated(s.a, r.uniform(0.0, 0.6) * size * r.direction());
  }

  if (r.chance(0.4)) {  // the same relative motion, seen from the other body
    std::swap(s.a, s.b);
    for (clearance::Axis& axis : s.travel) axis.direction = -axis.direction;
  }

  double factor = 1.0;
  if (r.chance(0.15)) factor = r.chance(0.5) ? 0.01 : 100.0;
  if (factor != 1.0) {
    s.kind += factor < 1.0 ? ", x0.01" : ", x100";
    s.a = scaled(s.a, factor);
    s.b = scaled(s.b, factor);
    for (clearance::Axis& axis : s.travel) axis.direction *= factor;
    s.size_mm *= factor;
  }
  if (r.chance(0.15)) {
    s.kind += ", far away";
    const Vec3 t = r.uniform(1e3, 1e4) * r.direction();
    s.a = shape::translated(s.a, t);
    s.b = shape::translated(s.b, t);
  }
  return s;
}

std::vector<clearance::Pose> random_poses(Random& random, const clearance::Travel& travel,
                                          int count) {
  std::vector<clearance::Pose> poses(static_cast<std::size_t>(count));
  for (clearance::Pose& pose : poses)
    for (const clearance::Axis& axis : travel)
      pose.push_back(random.uniform(axis.lower, axis.upper));
  return poses;
}

}  // namespace bight::scenes
