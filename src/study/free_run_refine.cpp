#include "study/free_run_refine.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <tuple>
#include <utility>

#include "base/parallel.h"
#include "study/posed_shapes.h"

namespace bight::study {
namespace {

constexpr double k_finest_step_mm = 5.0;
/// Times the step: a line that moves farther has jumped, and no step is fine enough.
constexpr double k_jump = 8.0;
constexpr double k_jump_doubt = -1e-6;  ///< looked at after all others
constexpr double k_none = std::numeric_limits<double>::infinity();
/// A parabola is off two chords by this much of what it is off one.
constexpr double k_two_chords = 0.25;
constexpr double k_safety = 2.0;  ///< a margin is no parabola

/// Least margin between neighbouring values of each joint; infinite: no doubt.
using Doubts = std::vector<std::vector<double>>;

Doubts no_doubts(const PoseGrid& grid) {
  Doubts doubts;
  for (const auto& values : grid.values) doubts.emplace_back(values.size() - 1, k_none);
  return doubts;
}

/// Keeps the worse. `more` may be of fewer joints: those that shape the line.
void merge(const Doubts& more, Doubts& all) {
  for (std::size_t j = 0; j < all.size(); ++j) {
    for (std::size_t i = 0; i < more[j].size(); ++i) all[j][i] = std::min(all[j][i], more[j][i]);
  }
}

/// Four poses in a row along a joint, the outer ones where the grid has them.
struct Row {
  std::optional<std::size_t> before;
  std::size_t lower = 0;
  std::size_t upper = 0;
  std::optional<std::size_t> behind;
  double step = 0.0;        ///< in the middle
  double way_before = 0.0;  ///< the step before, over that in the middle
  double way_behind = 0.0;
};

/// Calls `look` with the joint, the interval and the row for each pair of neighbours.
template <class Look>
void for_each_row(const PoseGrid& grid, const Look& look) {
  std::size_t stride = 1;
  for (std::size_t j = 0; j < grid.values.size(); ++j) {
    const std::vector<double>& v = grid.values[j];
    for (std::size_t p = 0; p < grid.size() && v.size() > 1; ++p) {
      const std::size_t i = p / stride % v.size();
      if (i + 1 == v.size()) continue;
      const double middle = v[i + 1] - v[i];
      Row row{{}, p, p + stride, {}, std::abs(middle), 0.0, 0.0};
      if (i > 0) {
        row.before = p - stride;
        row.way_before = (v[i] - v[i - 1]) / middle;
      }
      if (i + 2 < v.size()) {
        row.behind = p + 2 * stride;
        row.way_behind = (v[i + 2] - v[i + 1]) / middle;
      }
      look(j, i, row);
    }
    stride *= v.size();
  }
}

/// By how much values in the middle between a and b, one step apart, are off the straight line
/// where they are a parabola that goes on to `c`, `way` steps beyond b: an eighth of the second
/// difference.
template <class Value>
Value bow(const Value& a, const Value& b, const Value& c, double way) {
  return 0.25 / (way * (1.0 + way)) * (c - b - way * (b - a));
}

/// `left`: the margin at each pose.
Doubts doubts_of(const PoseGrid& grid, const std::vector<double>& left,
                 const std::optional<Passing>& passing = {}) {
  Doubts doubts = no_doubts(grid);
  if (*std::min_element(left.begin(), left.end()) < 0.0) return doubts;  // known
  for_each_row(grid, [&](std::size_t j, std::size_t i, const Row& row) {
    const double a = left[row.lower];
    const double b = left[row.upper];
    if (!std::isfinite(a) || !std::isfinite(b)) return;
    double off = 0.0;
    if (row.before && std::isfinite(left[*row.before])) {
      off = k_safety * std::abs(bow(b, a, left[*row.before], row.way_before));
    }
    if (row.behind && std::isfinite(left[*row.behind])) {
      off = std::max(off, k_safety * std::abs(bow(a, b, left[*row.behind], row.way_behind)));
    }
    double least = std::min(a, b) - off;
    if (passing && row.step > passing->step_mm) {
      least = std::min(least, 0.5 * (a + b - passing->rate * row.step));
    }
    doubts[j][i] = std::min(doubts[j][i], least);
  });
  return doubts;
}

Doubts doubts_of(const FreeRunShapes& shapes, const ShapeMargin& margin) {
  std::vector<double> left;
  for (const RodShape& shape : shapes.shapes) {
    left.push_back(shape.converged() ? margin(shape) : k_none);
  }
  return doubts_of(shapes.grid, left);
}

/// Of the clearance to one target.
class ClearanceDoubts {
 public:
  ClearanceDoubts(const PosedShapes& posed, const LineTarget& target, double length_mm,
                  double diameter_mm)
      : posed_(posed),
        target_(target),
        box_(target),
        length_mm_(length_mm),
        diameter_mm_(diameter_mm) {
    for (std::size_t p = 0; p < posed.size(); ++p) {
      at_.push_back(shift_anywhere(target, posed.pose(p)));
      bounds_.push_back(posed.bound(box_.anywhere(posed.pose(p)), p));
    }
  }

  /// That it comes nearer than wanted; where it does so at some pose, that it touches.
  Doubts all(const PoseGrid& grid) const {
    const std::optional<Doubts> of_wanted = all(grid, target_.wanted_mm);
    if (of_wanted) return *of_wanted;
    return all(grid, 0.0).value_or(no_doubts(grid));
  }

 private:
  /// Nothing when it does so at a pose.
  std::optional<Doubts> all(const PoseGrid& grid, double limit_mm) const {
    Doubts doubts = no_doubts(grid);
    bool known = false;
    for_each_row(grid, [&](std::size_t j, std::size_t i, const Row& row) {
      if (known) return;
      const double left = between(j, row, limit_mm);
      if (left >= 0.0) return;
      known = distance(row.lower) <= limit_mm || distance(row.upper) <= limit_mm;
      doubts[j][i] = std::min(doubts[j][i], left);
    });
    if (known) return {};
    return doubts;
  }

  double distance(std::size_t p) const {
    return line_distance(target_, posed_.pose(p), posed_.points(p), length_mm_, diameter_mm_);
  }

  /// A pose of the row at which the target is there; nothing when it is at none.
  std::optional<std::vector<double>> pose_with_target(std::size_t joint, const Row& row) const {
    std::vector<double> pose = posed_.pose(row.lower);
    const double other = posed_.pose(row.upper)[joint];
    const std::array<double, 2>& range = target_.mover->range[joint];
    const double low = std::max(range[0], std::min(pose[joint], other));
    const double high = std::min(range[1], std::max(pose[joint], other));
    if (low > high) return {};
    pose[joint] = low;
    if (!shift_of(target_, pose)) return {};
    return pose;
  }

  /// Joints of the line as the target at `at` sees them.
  std::optional<std::vector<Vec3>> seen(std::optional<std::size_t> p, const Vec3& at) const {
    if (!p || !posed_.shape(*p).converged()) return {};
    std::vector<Vec3> points = posed_.points(*p);
    for (Vec3& x : points) x += at - at_[*p];
    return points;
  }

  /// Least distance less the limit that there may be.
  double between(std::size_t joint, const Row& row, double limit_mm) const {
    const double bound = std::min(bounds_[row.lower], bounds_[row.upper]);
    const double limit = limit_mm + 0.5 * diameter_mm_;
    if (!std::isfinite(bound)) return k_none;
    // The links of a raised chain go no farther than its moving end.
    const bool moves_links = target_.raised && target_.raised->joint() == joint;
    const double links = moves_links ? row.step : 0.0;
    const double farthest =
        posed_.motion(row.lower, row.upper) + glm::distance(at_[row.lower], at_[row.upper]) + links;
    // Nowhere is it farther than half its way from the nearer pose; the rest is for the bow.
    if (bound >= limit + farthest) return k_none;
    const auto pose = pose_with_target(joint, row);
    if (!pose) return k_none;
    if (farthest > k_jump * row.step) return k_jump_doubt;
    const Vec3 at = shift_anywhere(target_, *pose);
    const Box there = box_.anywhere(*pose);
    const auto a = seen(row.lower, at);
    const auto b = seen(row.upper, at);
    if (!a || !b) return k_none;
    const auto before = seen(row.before, at);
    const auto behind = seen(row.behind, at);
    std::vector<Vec3> middle = *a;
    std::optional<double> off;  // of the links that could get there
    Box last_way;
    double last_bows = 0.0;
    for (std::size_t k = 0; k < a->size(); ++k) {
      std::optional<Vec3> one;
      std::optional<Vec3> other;
      if (before) one = bow((*b)[k], (*a)[k], (*before)[k], row.way_before);
      if (behind) other = bow((*a)[k], (*b)[k], (*behind)[k], row.way_behind);
      if (!one) std::swap(one, other);
      const Vec3 by = one ? 0.5 * (*one + other.value_or(*one)) : Vec3(0.0);
      double unsure = 0.25 * glm::distance((*a)[k], (*b)[k]);  // no neighbours to tell
      if (one) unsure = other ? 0.5 * glm::length(*one - *other) : glm::length(by);
      middle[k] = 0.5 * ((*a)[k] + (*b)[k]) - by;
      const double bows = k_two_chords * glm::length(by) + unsure + 0.5 * links;
      Box way;
      way.extend((*a)[k]);
      way.extend(middle[k]);
      way.extend((*b)[k]);
      way = grown(way, bows);
      Box link = way;
      link.extend(last_way);
      if (k > 0 && box_distance(link, there) < limit) {
        off = std::max({off.value_or(0.0), bows, last_bows});
      }
      last_way = way;
      last_bows = bows;
    }
    if (!off) return k_none;
    const double within = limit_mm + *off;
    const auto swept = [&](const std::vector<Vec3>& from, const std::vector<Vec3>& to) {
      return swept_distance(target_, *pose, from, to, length_mm_, diameter_mm_, within);
    };
    return std::min(swept(*a, middle), swept(middle, *b)) - within;
  }

  const PosedShapes& posed_;
  const LineTarget& target_;
  TargetBox box_;
  std::vector<Vec3> at_;        ///< where the target is at each pose
  std::vector<double> bounds_;  ///< of its distance
  double length_mm_;
  double diameter_mm_;
};

/// Intervals whose step can be halved, the worst first: margin, joint, index.
using Worst = std::vector<std::tuple<double, std::size_t, std::size_t>>;
Worst worst_of(const PoseGrid& grid, const Doubts& doubts) {
  Worst worst;
  for (std::size_t j = 0; j < doubts.size(); ++j) {
    for (std::size_t i = 0; i < doubts[j].size(); ++i) {
      const double step = std::abs(grid.values[j][i + 1] - grid.values[j][i]);
      if (doubts[j][i] < 0.0 && step > k_finest_step_mm) worst.emplace_back(doubts[j][i], j, i);
    }
  }
  std::sort(worst.begin(), worst.end());
  return worst;
}

bool has_doubts(const Doubts& doubts) {
  return std::any_of(doubts.begin(), doubts.end(), [](const std::vector<double>& of_joint) {
    return std::any_of(of_joint.begin(), of_joint.end(), [](double d) { return d < 0.0; });
  });
}

/// The grid with these halved, as long as it has no more than `most` poses.
PoseGrid halved(const PoseGrid& grid, const Worst& worst, std::size_t most) {
  std::vector<std::vector<bool>> cut;
  std::vector<std::size_t> sizes;
  for (const auto& values : grid.values) {
    cut.emplace_back(values.size(), false);
    sizes.push_back(values.size());
  }
  for (const auto& [doubt, j, i] : worst) {
    ++sizes[j];
    std::size_t poses = 1;
    for (const std::size_t size : sizes) poses *= size;
    if (poses > most) {
      --sizes[j];
      break;
    }
    cut[j][i] = true;
  }
  PoseGrid finer;
  for (std::size_t j = 0; j < grid.values.size(); ++j) {
    std::vector<double> values;
    for (std::size_t i = 0; i < grid.values[j].size(); ++i) {
      values.push_back(grid.values[j][i]);
      if (cut[j][i]) values.push_back(0.5 * (grid.values[j][i] + grid.values[j][i + 1]));
    }
    finer.values.push_back(std::move(values));
  }
  finer.step_mm = largest_step(finer);
  return finer;
}

}  // namespace

CloserGrid closer_grid(const PoseGrid& grid, const std::vector<std::vector<double>>& margins,
                       std::size_t most, const std::optional<Passing>& passing) {
  Doubts doubts = no_doubts(grid);
  for (const std::vector<double>& left : margins) {
    merge(doubts_of(grid, left, passing), doubts);
  }
  return {halved(grid, worst_of(grid, doubts), most), !has_doubts(doubts)};
}

RefinedShapes refined_shapes(const Context& context, const FreeRun& run, const ShapesAt& shapes_at,
                             double diameter_mm, const std::vector<LineTarget>& targets,
                             const std::vector<ShapeMargin>& margins) {
  const std::size_t base = context.options.free_run_poses;
  PoseGrid grid = free_run_grid(context, run, approaching_joints(run, targets), base);
  std::optional<FreeRunShapes> known;
  for (;;) {
    FreeRunShapes shapes = shapes_at(grid, known ? &*known : nullptr);
    Doubts doubts = no_doubts(grid);
    for (const ShapeMargin& margin : margins) {
      merge(doubts_of(shapes, margin), doubts);
    }
    const PosedShapes posed(shapes, grid);
    std::vector<Doubts> of_targets(targets.size());
    parallel_for(targets.size(), context.options.threads, [&](std::size_t t) {
      if (is_cancelled(context.options.progress)) {
        of_targets[t] = no_doubts(grid);
      } else {
        of_targets[t] =
            ClearanceDoubts(posed, targets[t], shapes.solver.rod().length_mm, diameter_mm)
                .all(grid);
      }
    });
    for (const Doubts& d : of_targets) merge(d, doubts);
    const Worst worst = worst_of(grid, doubts);
    PoseGrid finer = halved(grid, worst, 2 * base);
    if (finer.size() == grid.size() || is_cancelled(context.options.progress)) {
      const bool settled = !has_doubts(doubts) && shapes.not_converged == 0;
      return {std::move(grid), std::move(shapes), settled};
    }
    grid = std::move(finer);
    known = std::move(shapes);
  }
}

RefinedShapes refined_shapes(const Context& context, const FreeRun& run, const FreeRunRod& line,
                             double diameter_mm, const std::vector<LineTarget>& targets,
                             const std::vector<ShapeMargin>& margins) {
  const auto shapes_at = [&](const PoseGrid& grid, const FreeRunShapes* known) {
    return free_run_shapes(context, line, shaping_grid(grid, run), known);
  };
  return refined_shapes(context, run, shapes_at, diameter_mm, targets, margins);
}

}  // namespace bight::study
