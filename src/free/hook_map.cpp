#include "free/hook_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <utility>

#include "base/parallel.h"

namespace bight::free {
namespace {

using Node = std::pair<std::int64_t, std::int64_t>;  // (t, s) on the finest grid

constexpr double k_most_cells = 1e6;  // of the finest grid a side: beyond any ceiling

/// Number of coarse cells along the sides, and halvings down to the fine ones.
struct Grid {
  std::int64_t across = 1;
  std::int64_t up = 1;
  int levels = 0;

  std::int64_t side() const { return std::int64_t{1} << levels; }
};

struct Square {
  std::int64_t s = 0;
  std::int64_t t = 0;
  int level = 0;
};

bool is_valid_map(const HookArea& a, const HookMapOptions& o) {
  const bool finite = is_finite(a.corner) && is_finite(a.across) && is_finite(a.up);
  const bool sizes = o.coarse_mm > 0.0 && std::isfinite(o.coarse_mm) && o.fine_mm > 0.0 &&
                     o.wanted_margin_mm >= 0.0 && o.enough_margin_mm >= 0.0;
  const double longest = std::max(glm::length(a.across), glm::length(a.up));
  return finite && sizes && longest / std::min(o.fine_mm, o.coarse_mm) < k_most_cells;
}

Grid grid_of(const HookArea& a, const HookMapOptions& o) {
  const double across = glm::length(a.across);
  const double up = glm::length(a.up);
  Grid g;
  g.across = std::max<std::int64_t>(1, std::llround(std::ceil(across / o.coarse_mm)));
  g.up = std::max<std::int64_t>(1, std::llround(std::ceil(up / o.coarse_mm)));
  double cell = std::max(across / static_cast<double>(g.across), up / static_cast<double>(g.up));
  while (cell > o.fine_mm) {
    cell *= 0.5;
    ++g.levels;
  }
  return g;
}

/// Margin first, up to what is enough; then the shorter line.
bool is_better(const HookPlaceWindow& a, const HookPlaceWindow& b, double enough) {
  const double margin_a = std::min(a.margin_mm, enough);
  const double margin_b = std::min(b.margin_mm, enough);
  if (margin_a != margin_b) return margin_a > margin_b;
  return a.recommended_mm < b.recommended_mm;
}

class Mapping {
 public:
  Mapping(const HookArea& area, const WindowAt& window_at, const HookMapOptions& options)
      : area_(area), window_at_(window_at), options_(options), grid_(grid_of(area, options)) {}

  HookMap map(Progress* progress) {
    std::vector<Square> squares;
    for (std::int64_t t = 0; t < grid_.up; ++t) {
      for (std::int64_t s = 0; s < grid_.across; ++s) {
        squares.push_back({s * grid_.side(), t * grid_.side(), 0});
      }
    }
    map_.valid = true;
    while (evaluate(squares, progress)) {
      squares_ = squares;
      squares.clear();
      bool split = false;
      for (const Square& square : squares_) {
        if (!wants_refinement(square)) {
          squares.push_back(square);
          continue;
        }
        split = true;
        const std::int64_t half = side_of(square) / 2;
        for (const Node& n : {Node{0, 0}, Node{0, half}, Node{half, 0}, Node{half, half}}) {
          squares.push_back({square.s + n.second, square.t + n.first, square.level + 1});
        }
      }
      if (!split) break;
    }
    finish();
    return std::move(map_);
  }

 private:
  std::int64_t side_of(const Square& square) const { return grid_.side() >> square.level; }

  std::array<Node, 4> corners(const Square& q) const {
    const std::int64_t d = side_of(q);
    return {Node{q.t, q.s}, Node{q.t, q.s + d}, Node{q.t + d, q.s}, Node{q.t + d, q.s + d}};
  }

  /// Windows at all corners that have none yet; false when cancelled, and then nothing is kept.
  bool evaluate(const std::vector<Square>& squares, Progress* progress) {
    std::vector<Node> wanted;
    for (const Square& square : squares) {
      for (const Node& node : corners(square)) {
        if (!index_.contains(node)) wanted.push_back(node);
      }
    }
    std::sort(wanted.begin(), wanted.end());
    wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());
    if (progress != nullptr) progress->add_total(wanted.size());
    std::vector<HookPlaceWindow> found(wanted.size());
    parallel_for(wanted.size(), options_.threads, [&](std::size_t i) {
      if (is_cancelled(progress)) return;
      found[i] = place_window(wanted[i]);
      if (progress != nullptr) progress->step();
    });
    if (is_cancelled(progress)) {
      map_.cancelled = true;
      return false;
    }
    for (std::size_t i = 0; i < wanted.size(); ++i) {
      const std::size_t at = map_.places.size();
      index_.emplace(wanted[i], at);
      map_.places.push_back(found[i]);
      if (!found[i].works) continue;
      if (!map_.best || is_better(found[i], map_.places[*map_.best], options_.enough_margin_mm)) {
        map_.best = at;
        best_node_ = wanted[i];
      }
    }
    return true;
  }

  HookPlaceWindow place_window(const Node& node) const {
    HookPlaceWindow p;
    p.at = {static_cast<double>(node.second) / static_cast<double>(grid_.across * grid_.side()),
            static_cast<double>(node.first) / static_cast<double>(grid_.up * grid_.side())};
    p.place = area_.corner + p.at.x * area_.across + p.at.y * area_.up;
    const Window w = window_at_(p.place);
    p.status = w.status;
    p.min_mm = w.min_mm;
    p.max_mm = w.max_mm;
    p.recommended_mm = w.recommended_mm;
    p.margin_mm = w.max_mm - w.min_mm;
    p.relative = p.margin_mm / w.min_mm;
    p.works = w.status == WindowStatus::open && p.margin_mm >= options_.wanted_margin_mm;
    return p;
  }

  HookCellKind kind_of(const Square& square) const {
    int works = 0;
    for (const Node& node : corners(square)) works += map_.places[index_.at(node)].works ? 1 : 0;
    if (works == 0) return HookCellKind::fails;
    return works == 4 ? HookCellKind::works : HookCellKind::border;
  }

  bool wants_refinement(const Square& square) const {
    if (square.level >= grid_.levels) return false;
    if (kind_of(square) == HookCellKind::border) return true;
    const std::int64_t d = side_of(square);
    return map_.best && best_node_.first >= square.t && best_node_.first <= square.t + d &&
           best_node_.second >= square.s && best_node_.second <= square.s + d;
  }

  void finish() {
    const double cells = static_cast<double>(grid_.across * grid_.up);
    for (const Square& square : squares_) {
      HookCell cell;
      const std::array<Node, 4> nodes = corners(square);
      for (std::size_t i = 0; i < nodes.size(); ++i) cell.corner[i] = index_.at(nodes[i]);
      cell.level = square.level;
      cell.kind = kind_of(square);
      const double share = std::ldexp(1.0 / cells, -2 * square.level);
      if (cell.kind == HookCellKind::works) map_.works_share += share;
      if (cell.kind == HookCellKind::border) map_.border_share += share;
      map_.cells.push_back(cell);
    }
    const double coarse = std::max(glm::length(area_.across) / static_cast<double>(grid_.across),
                                   glm::length(area_.up) / static_cast<double>(grid_.up));
    map_.step_mm = std::ldexp(coarse, -grid_.levels);
  }

  const HookArea& area_;
  const WindowAt& window_at_;
  const HookMapOptions& options_;
  Grid grid_;
  HookMap map_;
  std::map<Node, std::size_t> index_;
  std::vector<Square> squares_;  // of the last finished pass
  Node best_node_;
};

}  // namespace

HookMap map_hooks(const HookArea& area, const WindowAt& window_at, const HookMapOptions& options,
                  Progress* progress) {
  if (!is_valid_map(area, options)) return {};
  return Mapping(area, window_at, options).map(progress);
}

}  // namespace bight::free
