#include "clearance/contact_column.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "shape/inside.h"

namespace bight::clearance {

namespace {

// Normals leaning less than this towards the column are left out: dividing by their z would blow up
// rounding. The bounds stay true; lateral accuracy lost is this times the height of a triangle.
constexpr double k_least_lean = 1e-4;

// Rounding of a support value is a few units in the last place of the largest coordinate; dividing
// by a z of k_least_lean raises it ten thousand times.
constexpr double k_relative_rounding = 1e-11;

// More touching triangles than this and a proof by a point is not tried: the box is too large.
constexpr std::size_t k_most_touching = 200;

struct Extent {
  double lower;
  double upper;
};

Extent along(const std::array<Vec3, 3>& t, const Vec3& n) {
  const double d0 = glm::dot(t[0], n);
  const double d1 = glm::dot(t[1], n);
  const double d2 = glm::dot(t[2], n);
  return {std::min(d0, std::min(d1, d2)), std::max(d0, std::max(d1, d2))};
}

// A direction of `candidates` well off the plane or line spanned so far, or a unit vector that is.
Vec3 independent(std::span<const Vec3> candidates, const Vec3& u, const Vec3& v) {
  const auto off = [&](const Vec3& d) {  // sine of the angle to span(u, v), both unit or zero
    const double length = glm::length(d);
    if (!(length > 0.0)) return 0.0;
    Vec3 rest = d / length;
    rest -= glm::dot(rest, u) * u;
    const Vec3 w = v - glm::dot(v, u) * u;
    const double ww = glm::dot(w, w);
    if (ww > 0.0) rest -= (glm::dot(rest, w) / ww) * w;
    return glm::length(rest);
  };
  constexpr double k_well_off = 0.1;  // keeps the map's condition number small
  for (const Vec3& d : candidates)
    if (off(d) > k_well_off) return glm::normalize(d);
  Vec3 best(1.0, 0.0, 0.0);
  for (const Vec3& e : {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)})
    if (off(e) > off(best) + 1e-9) best = e;
  return best;
}

}  // namespace

ContactColumn::ContactColumn(const MovingPair& pair, std::span<const JointRange> joints,
                             std::size_t column_joint)
    : column_(column_joint), directions_(pair.directions) {
  BIGHT_CHECK(pair.a != nullptr && pair.b != nullptr);
  BIGHT_CHECK(directions_.size() == joints.size());
  const Vec3 along_column = column_ < joints.size() ? directions_[column_] : Vec3(0.0);
  unit_ = glm::length(along_column);

  std::vector<Vec3> others;
  for (std::size_t i = 0; i < directions_.size(); ++i)
    if (i != column_) others.push_back(directions_[i]);
  const Vec3 zero(0.0);
  const Vec3 w = unit_ > 0.0 ? along_column / unit_ : independent({}, zero, zero);
  Vec3 u = independent(others, w, zero);
  Vec3 v = independent(others, w, u);
  from_column_ = Mat3(u, v, w);
  to_column_ = glm::inverse(from_column_);
  // Axis-parallel machines stay exact: the map is then a permutation with signs.
  for (int c = 0; c < 3; ++c)
    for (int r = 0; r < 3; ++r)
      if (std::abs(to_column_[c][r]) < 1e-15) to_column_[c][r] = 0.0;
  for (const Vec3& d : directions_) column_directions_.push_back(to_column_ * d);

  a_ = make_side(*pair.a);
  b_ = make_side(*pair.b);
  offset_ = to_column_ * (pair.a->bvh.origin - pair.b->bvh.origin);

  double scale = glm::length(offset_);
  for (const Side* side : {&a_, &b_})
    if (!side->nodes.empty())
      scale += std::max(glm::length(side->nodes[0].lower), glm::length(side->nodes[0].upper));
  for (std::size_t i = 0; i < joints.size(); ++i)
    scale += std::max(std::abs(joints[i].lower), std::abs(joints[i].upper)) *
             glm::length(column_directions_[i]);
  rounding_ = k_relative_rounding * scale;
}

ContactColumn::Side ContactColumn::make_side(const shape::Solid& solid) const {
  Side side;
  side.solid = &solid;
  const shape::Mesh& mesh = solid.mesh;
  const Vec3 origin = solid.bvh.origin;
  std::vector<Vec3> vertices;
  vertices.reserve(mesh.vertices.size());
  for (const Vec3& p : mesh.vertices) vertices.push_back(to_column_ * (p - origin));
  side.triangles.reserve(mesh.triangles.size());
  for (const auto& t : mesh.triangles)
    side.triangles.push_back({vertices[t[0]], vertices[t[1]], vertices[t[2]]});
  for (const std::uint32_t i : solid.piece_vertices) side.pieces.push_back(vertices[i]);

  // The hierarchy's structure with boxes of its own around the mapped triangles, children first.
  side.nodes.resize(solid.bvh.nodes.size());
  for (std::size_t i = side.nodes.size(); i-- > 0;) {
    const shape::BvhNode& from = solid.bvh.nodes[i];
    Node& node = side.nodes[i];
    node.leaf = from.leaf();
    if (node.leaf) {
      node.link = from.triangle();
      const Triangle& t = side.triangles[node.link];
      node.lower = glm::min(t[0], glm::min(t[1], t[2]));
      node.upper = glm::max(t[0], glm::max(t[1], t[2]));
    } else {
      node.link = from.child();
      BIGHT_CHECK(node.link > i);
      const Node& first = side.nodes[node.link];
      const Node& second = side.nodes[node.link + 1];
      node.lower = glm::min(first.lower, second.lower);
      node.upper = glm::max(first.upper, second.upper);
    }
  }
  return side;
}

Vec3 ContactColumn::to_world(const Vec3& column, const shape::Solid& solid) const {
  return from_column_ * column + solid.bvh.origin;
}

ContactColumn::Footprint ContactColumn::footprint(std::span<const JointRange> box) const {
  Footprint at;
  at.center = offset_;
  for (std::size_t i = 0; i < box.size(); ++i) {
    if (i == column_) continue;
    const double middle = 0.5 * (box[i].lower + box[i].upper);
    at.center += middle * column_directions_[i];
    at.center_world += middle * directions_[i];
    const double half = std::max(box[i].upper - middle, middle - box[i].lower);
    const Vec3 generator = half * column_directions_[i];
    if (generator == Vec3(0.0)) continue;
    at.half.push_back(generator);
    at.half_box += glm::abs(generator);
  }
  return at;
}

// Contact interval of two triangles along the column in mm, clipped by the window.
std::optional<ContactColumn::Interval> ContactColumn::contact(const Triangle& a, const Triangle& b,
                                                              const Footprint& at,
                                                              Interval window) const {
  Interval s = window;
  const auto reach = [&](const Vec3& n) {
    double sum = 0.0;
    for (const Vec3& h : at.half) sum += std::abs(glm::dot(n, h));
    return sum;
  };
  // Extent of K along n, times the length of n.
  const auto extent = [&](const Vec3& n) {
    const Extent ea = along(a, n);
    const Extent eb = along(b, n);
    const double c = glm::dot(n, at.center);
    const double r = reach(n);
    return Extent{eb.lower - ea.upper - c - r, eb.upper - ea.lower - c + r};
  };
  const auto beside = [&](const Vec3& edge) {  // separated across the column
    const Vec3 n(edge.y, -edge.x, 0.0);
    const double slack = rounding_ * (std::abs(n.x) + std::abs(n.y));
    const Extent e = extent(n);
    return e.lower > slack || e.upper < -slack;
  };
  const auto clipped_away = [&](const Vec3& n) {
    const double z = std::abs(n.z);
    if (!(z * z > k_least_lean * k_least_lean * glm::dot(n, n))) return false;
    const Extent e = extent(n.z > 0.0 ? n : -n);
    s.lower = std::max(s.lower, e.lower / z - rounding_);
    s.upper = std::min(s.upper, e.upper / z + rounding_);
    return s.lower > s.upper;
  };

  if (clipped_away(Vec3(0.0, 0.0, 1.0))) return std::nullopt;
  const Triangle edges_a = {a[1] - a[0], a[2] - a[1], a[0] - a[2]};
  const Triangle edges_b = {b[1] - b[0], b[2] - b[1], b[0] - b[2]};
  for (const Vec3& h : at.half)
    if (beside(h)) return std::nullopt;
  for (const Vec3& e : edges_a)
    if (beside(e)) return std::nullopt;
  for (const Vec3& e : edges_b)
    if (beside(e)) return std::nullopt;
  if (clipped_away(glm::cross(edges_a[0], edges_a[1]))) return std::nullopt;
  if (clipped_away(glm::cross(edges_b[0], edges_b[1]))) return std::nullopt;
  for (const Vec3& e : edges_a)
    for (const Vec3& f : edges_b)
      if (clipped_away(glm::cross(e, f))) return std::nullopt;
  for (std::size_t i = 0; i < at.half.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      if (clipped_away(glm::cross(edges_a[k], at.half[i]))) return std::nullopt;
      if (clipped_away(glm::cross(edges_b[k], at.half[i]))) return std::nullopt;
    }
    for (std::size_t k = i + 1; k < at.half.size(); ++k)
      if (clipped_away(glm::cross(at.half[i], at.half[k]))) return std::nullopt;
  }
  return s;
}

template <bool Up>
std::optional<ColumnEnd> ContactColumn::search(const Footprint& at, JointRange window,
                                               double slack_mm, TrianglePair start,
                                               std::uint64_t& leaf_pairs) const {
  if (a_.nodes.empty() || b_.nodes.empty()) return std::nullopt;
  const double unit = constant_along_column() ? 1.0 : unit_;
  const Interval whole{window.lower * unit, window.upper * unit};
  // Going up, look for the largest upper end; going down, for the largest of minus the lower end.
  const double goal = Up ? whole.upper : -whole.lower;
  double best = -std::numeric_limits<double>::infinity();
  TrianglePair best_pair;

  const auto solve = [&](std::uint32_t ta, std::uint32_t tb) {
    Interval wanted = whole;  // only what improves on the best matters
    if (best > -std::numeric_limits<double>::infinity()) {
      if (Up)
        wanted.lower = std::max(wanted.lower, best);
      else
        wanted.upper = std::min(wanted.upper, -best);
    }
    ++leaf_pairs;
    const auto s = contact(a_.triangles[ta], b_.triangles[tb], at, wanted);
    if (!s) return;
    const double end = Up ? s->upper : -s->lower;
    if (end > best) {
      best = end;
      best_pair = {ta, tb};
    }
  };
  // Upper bound of the end over a pair of nodes; -infinity when they cannot touch in the window.
  const auto bound = [&](const Node& a, const Node& b) {
    const Vec3 lower = b.lower - a.upper - at.center - at.half_box - Vec3(rounding_);
    const Vec3 upper = b.upper - a.lower - at.center + at.half_box + Vec3(rounding_);
    if (lower.x > 0.0 || upper.x < 0.0 || lower.y > 0.0 || upper.y < 0.0 || lower.z > whole.upper ||
        upper.z < whole.lower)
      return -std::numeric_limits<double>::infinity();
    return Up ? std::min(upper.z, whole.upper) : -std::max(lower.z, whole.lower);
  };

  if (start.known()) solve(start.a, start.b);
  struct Entry {
    double bound;
    std::uint32_t a;
    std::uint32_t b;
  };
  std::array<Entry, 2 * shape::Bvh::k_max_depth + 2> stack;
  std::size_t size = 0;
  stack[size++] = {bound(a_.nodes[0], b_.nodes[0]), 0, 0};
  while (size > 0 && best < goal) {
    const Entry e = stack[--size];
    if (!(e.bound > best + slack_mm) && best > -std::numeric_limits<double>::infinity()) continue;
    if (e.bound == -std::numeric_limits<double>::infinity()) continue;
    const Node& a = a_.nodes[e.a];
    const Node& b = b_.nodes[e.b];
    if (a.leaf && b.leaf) {
      solve(a.link, b.link);
      continue;
    }
    const Vec3 size_a = a.upper - a.lower;
    const Vec3 size_b = b.upper - b.lower;
    const bool split_a =
        !a.leaf && (b.leaf || size_a.x + size_a.y + size_a.z > size_b.x + size_b.y + size_b.z);
    Entry first = split_a ? Entry{0.0, a.link, e.b} : Entry{0.0, e.a, b.link};
    Entry second = split_a ? Entry{0.0, a.link + 1, e.b} : Entry{0.0, e.a, b.link + 1};
    first.bound = bound(a_.nodes[first.a], b_.nodes[first.b]);
    second.bound = bound(a_.nodes[second.a], b_.nodes[second.b]);
    if (first.bound > second.bound) std::swap(first, second);
    if (first.bound > -std::numeric_limits<double>::infinity()) stack[size++] = first;
    if (second.bound > -std::numeric_limits<double>::infinity()) stack[size++] = second;
  }
  if (!best_pair.known()) return std::nullopt;
  const double end = std::min(best + slack_mm, goal);
  const double value = (Up ? end : -end) / unit;
  return ColumnEnd{std::clamp(value, window.lower, window.upper), best_pair};
}

std::optional<ColumnEnd> ContactColumn::highest(const Footprint& at, JointRange window,
                                                double slack_mm, TrianglePair start,
                                                std::uint64_t& leaf_pairs) const {
  return search<true>(at, window, slack_mm, start, leaf_pairs);
}

std::optional<ColumnEnd> ContactColumn::lowest(const Footprint& at, JointRange window,
                                               double slack_mm, TrianglePair start,
                                               std::uint64_t& leaf_pairs) const {
  return search<false>(at, window, slack_mm, start, leaf_pairs);
}

bool ContactColumn::contained(const Footprint& at, double value) const {
  const Vec3 t = at.center + Vec3(0.0, 0.0, value * unit_);
  const Vec3 t_world =
      at.center_world + (column_ < directions_.size() ? value * directions_[column_] : Vec3(0.0));
  const auto holds = [&](const Side& outer, const Side& inner, double sign) {
    if (!outer.solid->closed || outer.nodes.empty()) return false;
    for (std::size_t i = 0; i < inner.pieces.size(); ++i) {
      const Vec3 p = inner.pieces[i] + sign * t;
      const Node& root = outer.nodes[0];
      if (glm::any(glm::lessThan(p, root.lower)) || glm::any(glm::greaterThan(p, root.upper)))
        continue;
      const Vec3 p_world = inner.solid->mesh.vertices[inner.solid->piece_vertices[i]];
      if (shape::is_inside(*outer.solid, p_world + sign * t_world)) return true;
    }
    return false;
  };
  return holds(b_, a_, 1.0) || holds(a_, b_, -1.0);
}

// A point of each triangle where they meet, with the other joints at the middle of their box: the
// middle of the overlap seen along the column. Triangles that do not overlap there, or stand along
// the column, give the corner that goes deepest.
std::array<Vec3, 2> ContactColumn::meeting_points(const Footprint& at, TrianglePair pair,
                                                  bool from_above) const {
  Triangle a = a_.triangles[pair.a];
  const Triangle& b = b_.triangles[pair.b];
  const auto by_z = [](const Vec3& p, const Vec3& q) { return p.z < q.z; };
  std::array<Vec3, 2> points = {from_above ? *std::min_element(a.begin(), a.end(), by_z)
                                           : *std::max_element(a.begin(), a.end(), by_z),
                                from_above ? *std::max_element(b.begin(), b.end(), by_z)
                                           : *std::min_element(b.begin(), b.end(), by_z)};
  for (Vec3& p : a) p += at.center;
  const auto turn = [](const Vec3& p, const Vec3& q, const Vec3& r) {
    return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
  };
  const double area_a = turn(a[0], a[1], a[2]);
  const double area_b = turn(b[0], b[1], b[2]);
  // Clip a by the three edges of b (Sutherland and Hodgman 1974).
  std::array<Vec3, 8> polygon{a[0], a[1], a[2]};
  std::size_t count = 3;
  for (std::size_t k = 0; k < 3 && count > 0; ++k) {
    const Vec3& p = b[k];
    const Vec3& q = b[(k + 1) % 3];
    std::array<Vec3, 8> kept;
    std::size_t n = 0;
    for (std::size_t i = 0; i < count; ++i) {
      const Vec3& from = polygon[i];
      const Vec3& to = polygon[(i + 1) % count];
      const double d0 = turn(p, q, from) * area_b;
      const double d1 = turn(p, q, to) * area_b;
      if (d0 >= 0.0) kept[n++] = from;
      if ((d0 > 0.0 && d1 < 0.0) || (d0 < 0.0 && d1 > 0.0))
        kept[n++] = from + (d0 / (d0 - d1)) * (to - from);
    }
    polygon = kept;
    count = n;
  }
  if (count == 0 || area_a == 0.0 || area_b == 0.0) return points;
  Vec3 middle(0.0);
  for (std::size_t i = 0; i < count; ++i) middle += polygon[i] / static_cast<double>(count);
  const auto on = [&](const Triangle& t, double area) {
    const double w1 = turn(t[0], middle, t[2]) / area;
    const double w2 = turn(t[0], t[1], middle) / area;
    return t[0] + w1 * (t[1] - t[0]) + w2 * (t[2] - t[0]);
  };
  const Vec3 on_a = on(a, area_a) - at.center;
  const Vec3 on_b = on(b, area_b);
  if (is_finite(on_a)) points[0] = on_a;
  if (is_finite(on_b)) points[1] = on_b;
  return points;
}

// Where the point, moved by all poses of the footprint, meets no triangle of the other part but
// lies inside it. The window is in mm.
template <bool PointOfA>
void ContactColumn::add_proof(const Footprint& at, Interval window, const Vec3& point,
                              std::vector<JointRange>& proved) const {
  const Side& outer = PointOfA ? b_ : a_;
  if (!outer.solid->closed || outer.nodes.empty()) return;
  const Triangle dot = {point, point, point};
  std::vector<Interval> touching;
  std::array<std::uint32_t, shape::Bvh::k_max_depth + 2> stack;
  std::size_t size = 0;
  stack[size++] = 0;
  while (size > 0) {
    const Node& node = outer.nodes[stack[--size]];
    const Vec3 lower = (PointOfA ? node.lower - point : point - node.upper) - at.center -
                       at.half_box - Vec3(rounding_);
    const Vec3 upper = (PointOfA ? node.upper - point : point - node.lower) - at.center +
                       at.half_box + Vec3(rounding_);
    if (lower.x > 0.0 || upper.x < 0.0 || lower.y > 0.0 || upper.y < 0.0 ||
        lower.z > window.upper || upper.z < window.lower)
      continue;
    if (!node.leaf) {
      stack[size++] = node.link + 1;
      stack[size++] = node.link;
      continue;
    }
    const Triangle& t = outer.triangles[node.link];
    const auto s = PointOfA ? contact(dot, t, at, window) : contact(t, dot, at, window);
    if (s) touching.push_back(*s);
    if (touching.size() > k_most_touching) return;
  }
  std::sort(touching.begin(), touching.end(),
            [](const Interval& p, const Interval& q) { return p.lower < q.lower; });
  touching.push_back({window.upper, window.upper});
  const double unit = constant_along_column() ? 1.0 : unit_;
  double from = window.lower;
  for (const Interval& s : touching) {
    const bool gap =
        s.lower > from + 4.0 * rounding_ || (touching.size() == 1 && window.lower == window.upper);
    if (gap) {
      const double middle = 0.5 * (from + s.lower) / unit;
      const Vec3 t =
          at.center_world + (constant_along_column() ? Vec3(0.0) : middle * directions_[column_]);
      const Vec3 p = to_world(point, PointOfA ? *a_.solid : *b_.solid) + (PointOfA ? t : -t);
      if (shape::is_inside(*outer.solid, p)) proved.push_back({from / unit, s.lower / unit});
    }
    from = std::max(from, s.upper);
  }
}

std::vector<JointRange> ContactColumn::proved_contact(const Footprint& at, JointRange window,
                                                      TrianglePair pair, bool from_above) const {
  std::vector<JointRange> proved;
  if (!pair.known()) return proved;
  const double unit = constant_along_column() ? 1.0 : unit_;
  const Interval mm{window.lower * unit, window.upper * unit};
  const auto points = meeting_points(at, pair, from_above);
  add_proof<true>(at, mm, points[0], proved);
  add_proof<false>(at, mm, points[1], proved);
  std::sort(proved.begin(), proved.end(),
            [](const JointRange& p, const JointRange& q) { return p.lower < q.lower; });
  std::vector<JointRange> joined;
  for (const JointRange& p : proved) {
    if (!joined.empty() && p.lower <= joined.back().upper)
      joined.back().upper = std::max(joined.back().upper, p.upper);
    else
      joined.push_back(p);
  }
  return joined;
}

}  // namespace bight::clearance
