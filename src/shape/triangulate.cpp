#include "shape/triangulate.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "base/tolerance.h"

namespace bight::shape {
namespace {

double cross(const Vec2& a, const Vec2& b) {
  return a.x * b.y - a.y * b.x;
}

/// Twice the area of a, b, c: positive when c lies left of a -> b.
double turn(const Vec2& a, const Vec2& b, const Vec2& c) {
  return cross(b - a, c - a);
}

double distance_to_segment(const Vec2& p, const Vec2& a, const Vec2& b) {
  const Vec2 ab = b - a;
  const double t = std::clamp(glm::dot(p - a, ab) / glm::dot(ab, ab), 0.0, 1.0);
  return glm::length(p - (a + t * ab));
}

bool cross_or_near(const Vec2& a, const Vec2& b, const Vec2& c, const Vec2& d, double gap) {
  if (std::min(a.x, b.x) - gap > std::max(c.x, d.x) ||
      std::min(c.x, d.x) - gap > std::max(a.x, b.x) ||
      std::min(a.y, b.y) - gap > std::max(c.y, d.y) ||
      std::min(c.y, d.y) - gap > std::max(a.y, b.y)) {
    return false;
  }
  const bool crossing = (turn(a, b, c) > 0.0) != (turn(a, b, d) > 0.0) &&
                        (turn(c, d, a) > 0.0) != (turn(c, d, b) > 0.0);
  return crossing || distance_to_segment(a, c, d) <= gap || distance_to_segment(b, c, d) <= gap ||
         distance_to_segment(c, a, b) <= gap || distance_to_segment(d, a, b) <= gap;
}

double largest_coordinate(const std::vector<Vec2>& outline) {
  double largest = 0.0;
  for (const Vec2& p : outline) largest = std::max({largest, std::abs(p.x), std::abs(p.y)});
  return largest;
}

/// The polygon that is left while ears are cut off, as a ring of indices.
class EarRing {
 public:
  explicit EarRing(const std::vector<Vec2>& outline) : points_(outline), nodes_(outline.size()) {
    const std::size_t n = outline.size();
    for (std::size_t i = 0; i < n; ++i) nodes_[i] = {(i + n - 1) % n, (i + 1) % n};
    left_ = n;
    rate_all();
  }

  std::size_t left() const { return left_; }
  std::size_t previous(std::size_t i) const { return nodes_[i].previous; }
  std::size_t next(std::size_t i) const { return nodes_[i].next; }

  /// The ear with the shortest diagonal, or the number of points when there is none.
  std::size_t best_ear() {
    std::size_t best = shortest();
    if (best == points_.size()) {
      rate_all();
      best = shortest();
    }
    return best;
  }

  void cut(std::size_t i) {
    const auto [p, n] = neighbours(i);
    nodes_[p].next = n;
    nodes_[n].previous = p;
    nodes_[i].present = false;
    --left_;
    rate(p);
    rate(n);
  }

 private:
  struct Node {
    std::size_t previous = 0;
    std::size_t next = 0;
    bool present = true;
    double diagonal = k_no_ear;  ///< squared length
  };
  static constexpr double k_no_ear = std::numeric_limits<double>::infinity();

  std::pair<std::size_t, std::size_t> neighbours(std::size_t i) const {
    return {nodes_[i].previous, nodes_[i].next};
  }

  std::size_t shortest() const {
    std::size_t best = points_.size();
    double diagonal = k_no_ear;
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
      if (nodes_[i].present && nodes_[i].diagonal < diagonal) {
        best = i;
        diagonal = nodes_[i].diagonal;
      }
    }
    return best;
  }

  void rate_all() {
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
      if (nodes_[i].present) rate(i);
    }
  }

  void rate(std::size_t i) {
    const auto [p, n] = neighbours(i);
    const Vec2 d = points_[n] - points_[p];
    nodes_[i].diagonal = is_ear(i) ? glm::dot(d, d) : k_no_ear;
  }

  /// A corner that turns left and whose closed triangle holds no other point of the ring.
  bool is_ear(std::size_t i) const {
    const auto [p, n] = neighbours(i);
    const Vec2& a = points_[p];
    const Vec2& b = points_[i];
    const Vec2& c = points_[n];
    if (!(turn(a, b, c) > 0.0)) return false;
    for (std::size_t k = nodes_[n].next; k != p; k = nodes_[k].next) {
      const Vec2& q = points_[k];
      if (turn(a, b, q) >= 0.0 && turn(b, c, q) >= 0.0 && turn(c, a, q) >= 0.0) return false;
    }
    return true;
  }

  const std::vector<Vec2>& points_;
  std::vector<Node> nodes_;
  std::size_t left_ = 0;
};

}  // namespace

double twice_area(const std::vector<Vec2>& outline) {
  double sum = 0.0;
  for (std::size_t i = 2; i < outline.size(); ++i) {
    sum += turn(outline[0], outline[i - 1], outline[i]);
  }
  return sum;
}

std::vector<Vec2> without_repeats(const std::vector<Vec2>& outline) {
  std::vector<Vec2> kept;
  for (const Vec2& p : outline) {
    if (kept.empty() || !(glm::length(p - kept.back()) <= k_length_equal_mm)) kept.push_back(p);
  }
  while (kept.size() > 1 && glm::length(kept.back() - kept.front()) <= k_length_equal_mm) {
    kept.pop_back();
  }
  return kept;
}

std::string outline_problem(const std::vector<Vec2>& outline) {
  const std::size_t n = outline.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (!std::isfinite(outline[i].x) || !std::isfinite(outline[i].y)) {
      return "point " + std::to_string(i + 1) + " is not a number";
    }
  }
  if (n < 3) return "it has fewer than three different points";
  const double gap = std::max(k_length_equal_mm, 1e-12 * largest_coordinate(outline));
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2& a = outline[i];
    const Vec2& b = outline[(i + 1) % n];
    const Vec2& c = outline[(i + 2) % n];
    if (!(distance_to_segment(c, a, b) > gap && distance_to_segment(a, b, c) > gap)) {
      return "it folds back on itself at point " + std::to_string((i + 1) % n + 1);
    }
    // Edges that share a point were looked at above, so the last partner of the first edge is the
    // one before its predecessor.
    for (std::size_t k = i + 2; k < n - (i == 0 ? 1 : 0); ++k) {
      if (cross_or_near(a, b, outline[k], outline[(k + 1) % n], gap)) {
        return "its edge from point " + std::to_string(i + 1) + " meets the one from point " +
               std::to_string(k + 1);
      }
    }
  }
  return {};
}

std::optional<std::vector<std::array<std::uint32_t, 3>>> triangulated(
    const std::vector<Vec2>& outline) {
  std::vector<std::array<std::uint32_t, 3>> triangles;
  if (outline.size() < 3) return triangles;
  const auto index = [](std::size_t i) { return static_cast<std::uint32_t>(i); };
  EarRing ring(outline);
  while (ring.left() >= 3) {
    const std::size_t ear = ring.best_ear();
    if (ear == outline.size()) return std::nullopt;
    triangles.push_back({index(ring.previous(ear)), index(ear), index(ring.next(ear))});
    if (ring.left() == 3) break;
    ring.cut(ear);
  }
  return triangles;
}

}  // namespace bight::shape
