#include "clearance/contact_column.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "clearance/meeting_points.h"
#include "shape/inside.h"

namespace bight::clearance {

namespace {

// More touching triangles than this and a proof by a point is not tried: the box is too large.
constexpr std::size_t k_most_touching = 200;

// Overlapping ranges made one, in order.
std::vector<JointRange> joined(std::vector<JointRange> ranges) {
  std::sort(ranges.begin(), ranges.end(),
            [](const JointRange& p, const JointRange& q) { return p.lower < q.lower; });
  std::vector<JointRange> result;
  for (const JointRange& r : ranges) {
    if (!result.empty() && r.lower <= result.back().upper)
      result.back().upper = std::max(result.back().upper, r.upper);
    else
      result.push_back(r);
  }
  return result;
}

// Length of the window that disjoint ranges cover.
double covered(const JointRange& window, const std::vector<JointRange>& ranges) {
  double sum = 0.0;
  for (const JointRange& r : ranges)
    sum += std::max(0.0, std::min(r.upper, window.upper) - std::max(r.lower, window.lower));
  return sum;
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
  flipped_ = glm::determinant(from_column_) < 0.0;
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
  rounding_ = k_column_rounding * scale;
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

Footprint ContactColumn::footprint(std::span<const JointRange> box) const {
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
    const auto s = contact_interval(a_.triangles[ta], b_.triangles[tb], at, wanted, rounding_);
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
  std::array<Entry, 2 * shape::Bvh::k_max_depth + 2> stack{};
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
  // An end within rounding of the window's end is the window's end: no sliver is left beyond it.
  const double window_end = Up ? window.upper : window.lower;
  const double end = best + slack_mm;
  const double value = end >= goal - rounding_ ? window_end : (Up ? end : -end) / unit;
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

// Where the point, moved by all poses of the footprint, meets no triangle of the other part but
// lies inside it.
template <bool PointOfA>
void ContactColumn::add_proof(const Footprint& at, JointRange range, const Vec3& point,
                              std::vector<JointRange>& proved) const {
  const double unit = constant_along_column() ? 1.0 : unit_;
  const Interval window{range.lower * unit, range.upper * unit};
  const Side& outer = PointOfA ? b_ : a_;
  if (!outer.solid->closed || outer.nodes.empty()) return;
  const Triangle dot = {point, point, point};
  std::vector<Interval> touching;
  std::array<std::uint32_t, shape::Bvh::k_max_depth + 2> stack{};
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
    const auto s = PointOfA ? contact_interval(dot, t, at, window, rounding_)
                            : contact_interval(t, dot, at, window, rounding_);
    if (s) touching.push_back(*s);
    if (touching.size() > k_most_touching) return;
  }
  std::sort(touching.begin(), touching.end(),
            [](const Interval& p, const Interval& q) { return p.lower < q.lower; });
  touching.push_back({window.upper, window.upper});
  double from = window.lower;
  for (const Interval& s : touching) {
    const bool gap =
        s.lower > from + 4.0 * rounding_ || (touching.size() == 1 && window.lower == window.upper);
    if (gap) {
      const double middle = 0.5 * (from + s.lower) / unit;
      const Vec3 t =
          at.center_world + (constant_along_column() ? Vec3(0.0) : middle * directions_[column_]);
      const Vec3 p = to_world(point, PointOfA ? *a_.solid : *b_.solid) + (PointOfA ? t : -t);
      if (shape::is_inside(*outer.solid, p)) {
        proved.push_back({std::clamp(from / unit, range.lower, range.upper),
                          std::clamp(s.lower / unit, range.lower, range.upper)});
      }
    }
    from = std::max(from, s.upper);
  }
}

// The translation at the middle of the footprint and `depth` mm short of the end of the triangles'
// contact there, or half way through it when that is shorter.
Vec3 ContactColumn::translation_inside(const Footprint& at, const Triangle& a, const Triangle& b,
                                       bool from_above, double depth) const {
  if (constant_along_column()) return at.center;
  Footprint middle;
  middle.center = at.center;
  constexpr double k_far = std::numeric_limits<double>::max();
  const auto s = contact_interval(a, b, middle, {-k_far, k_far}, rounding_);
  if (!s) return at.center;
  const double half = 0.5 * (s->lower + s->upper);
  const double height =
      from_above ? std::max(half, s->upper - depth) : std::min(half, s->lower + depth);
  return at.center + Vec3(0.0, 0.0, height);
}

std::vector<JointRange> ContactColumn::proved_contact(const Footprint& at, JointRange window,
                                                      TrianglePair pair, bool from_above,
                                                      double depth_mm) const {
  std::vector<JointRange> proved;
  if (!pair.known() || !(a_.solid->closed || b_.solid->closed)) return proved;
  const double unit = constant_along_column() ? 1.0 : unit_;
  const double enough = (window.upper - window.lower) - depth_mm / unit;
  const auto done = [&] {
    proved = joined(std::move(proved));
    return !proved.empty() && covered(window, proved) >= enough;
  };
  const auto try_points = [&](const std::optional<MeetingPoints>& points) {
    if (!points) return;
    add_proof<true>(at, window, points->of_a, proved);
    add_proof<false>(at, window, points->of_b, proved);
  };
  const Triangle& a = a_.triangles[pair.a];
  const Triangle& b = b_.triangles[pair.b];
  try_points(overlap_middle(a, b, at.center));
  if (done()) return proved;
  try_points(deepest_corners(a, b, from_above));
  if (done()) return proved;
  // The footprint must fit beside the walls that meet at the crossing, so it sets the depth; how
  // deep the parts are there is not known.
  const double width = std::hypot(at.half_box.x, at.half_box.y);
  double depth = std::max(depth_mm, 1.5 * width);
  for (int attempt = 0; attempt < 3; ++attempt, depth *= 4.0) {
    const auto deep =
        crossing_middle(a, b, translation_inside(at, a, b, from_above, depth), depth, flipped_);
    if (!deep) break;
    const bool in_a =
        a_.solid->closed && shape::is_inside(*a_.solid, to_world(deep->of_a, *a_.solid));
    const bool in_b =
        b_.solid->closed && shape::is_inside(*b_.solid, to_world(deep->of_b, *b_.solid));
    if (in_a) add_proof<true>(at, window, deep->of_a, proved);
    if (in_b) add_proof<false>(at, window, deep->of_b, proved);
    if (done() || !(in_a || in_b)) break;
  }
  return proved;
}

}  // namespace bight::clearance
