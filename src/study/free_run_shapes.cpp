#include "study/free_run_shapes.h"

#include <cmath>

#include "base/parallel.h"

namespace bight::study {
namespace {

/// Of the length: a change of shape that is looked at twice, and one that counts as a jump.
constexpr double k_suspicious = 0.03;
constexpr double k_jump = 0.05;

std::vector<double> between(const std::vector<double>& a, const std::vector<double>& b, double t) {
  std::vector<double> pose(a.size());
  for (std::size_t j = 0; j < a.size(); ++j) pose[j] = a[j] + t * (b[j] - a[j]);
  return pose;
}

struct Followed {
  RodShape shape;
  std::optional<Snap> snap;
};

/// From one pose to another in small steps; the step across which the shape changes most is cut
/// again: a continuous change gets smaller, a jump stays.
Followed follow(FreeRunRod& rod, const RodShape& from, const std::vector<double>& start,
                const std::vector<double>& end) {
  constexpr int k_steps = 8;
  constexpr int k_rounds = 3;
  Followed result;
  RodShape at_lower = from;
  double lower = 0.0;
  double upper = 1.0;
  for (int round = 0; round < k_rounds; ++round) {
    RodShape before = at_lower;
    rod.solve_from(before.points, between(start, end, lower));
    double most = 0.0;
    double most_lower = lower;
    RodShape most_before = before;
    bool lost = false;
    for (int i = 1; i <= k_steps && !lost; ++i) {
      const double t = lower + (upper - lower) * i / k_steps;
      RodShape shape = rod.solve(between(start, end, t));
      if (!shape.converged()) shape = rod.solve_cold(between(start, end, t));
      lost = !shape.converged();
      const double change = lost ? rod.rod().length_mm : shape_change(before, shape);
      if (change > most) {
        most = change;
        most_lower = lower + (upper - lower) * (i - 1) / k_steps;
        most_before = before;
      }
      before = std::move(shape);
    }
    if (round == 0) result.shape = before;
    if (lost) return result;
    if (most < k_jump * rod.rod().length_mm) {
      result.snap.reset();
      return result;
    }
    const double width = (upper - lower) / k_steps;
    lower = most_lower;
    upper = most_lower + width;
    at_lower = most_before;
    result.snap = Snap{between(start, end, lower), between(start, end, upper), most};
  }
  return result;
}

bool suspicious(double length_mm, const RodShape& a, const RodShape& b) {
  const double moved =
      glm::length((b.points.back() - b.points.front()) - (a.points.back() - a.points.front()));
  return shape_change(a, b) > 2.0 * moved + k_suspicious * length_mm;
}

/// The shape that is known at each pose of a grid; null: none.
std::vector<const RodShape*> shapes_known(const FreeRunShapes& known, const PoseGrid& grid) {
  std::vector<const RodShape*> found(grid.size(), nullptr);
  for (std::size_t p = 0; p < found.size(); ++p) {
    std::size_t rest = p;
    std::size_t index = 0;
    std::size_t stride = 1;
    bool has = true;
    for (std::size_t j = 0; j < grid.values.size() && has; ++j) {
      const std::vector<double>& values = known.grid.values[j];
      const double value = grid.values[j][rest % grid.values[j].size()];
      rest /= grid.values[j].size();
      const auto at = std::find(values.begin(), values.end(), value);
      has = at != values.end();
      index += static_cast<std::size_t>(at - values.begin()) * stride;
      stride *= values.size();
    }
    if (has) found[p] = &known.shapes[index];
  }
  return found;
}

}  // namespace

std::vector<double> home_pose(const Context& context) {
  std::vector<double> pose;
  for (const plan::Joint& joint : context.machine.joints) {
    pose.push_back(joint.home == plan::End::low ? joint.travel[0] : joint.travel[1]);
  }
  return pose;
}

FreeRunShapes free_run_shapes(const Context& context, const FreeRunRod& line,
                              const PoseGrid& shaping, const FreeRunShapes* known) {
  FreeRunShapes result{line, shaping, {}, 0, {}, {}};
  const double length = line.rod().length_mm;
  const std::size_t count = shaping.size();
  result.shapes.resize(count);
  std::vector<std::vector<Snap>> snaps(count);
  const unsigned threads = context.options.threads;
  std::vector<const RodShape*> known_at(count, nullptr);
  if (known != nullptr) known_at = shapes_known(*known, shaping);
  if (known_at[0] != nullptr) {
    result.shapes[0] = *known_at[0];
  } else {
    FreeRunRod at_home = line;
    result.shapes[0] = at_home.on_lower_side(at_home.solve_cold(shaping.pose(0)), shaping.pose(0));
  }

  // The solver is at the shape before, unless that was known.
  const auto step = [&](FreeRunRod& solver, std::size_t before, std::size_t index) {
    const RodShape& last = result.shapes[before];
    RodShape& shape = result.shapes[index];
    const std::vector<double> pose = shaping.pose(index);
    if (known_at[index] != nullptr) {
      shape = *known_at[index];
      const bool follows = last.converged() && shape.converged();
      if (!last.converged() || (follows && !suspicious(length, last, shape))) return;
    } else if (known_at[before] != nullptr && last.converged()) {
      shape = solver.solve_from(last.points, pose);
    } else {
      shape = solver.solve(pose);
    }
    if (!last.converged() || (shape.converged() && !suspicious(length, last, shape))) {
      shape = solver.on_lower_side(std::move(shape), pose);
      return;
    }
    Followed followed = follow(solver, last, shaping.pose(before), pose);
    shape = std::move(followed.shape);
    if (followed.snap) snaps[index].push_back(*followed.snap);
    if (shape.converged()) solver.solve_from(shape.points, pose);
    shape = solver.on_lower_side(std::move(shape), pose);
  };
  // Rows along each joint in turn, from every pose that is done already.
  std::size_t done = 1;
  for (const auto& values : shaping.values) {
    const std::size_t stride = done;
    if (values.size() > 1) {
      parallel_for(stride, threads, [&](std::size_t row) {
        FreeRunRod solver = line;
        if (result.shapes[row].converged()) {
          solver.solve_from(result.shapes[row].points, shaping.pose(row));
        }
        for (std::size_t i = 1; i < values.size(); ++i) {
          if (is_cancelled(context.options.progress)) return;
          step(solver, row + (i - 1) * stride, row + i * stride);
        }
      });
    }
    done *= values.size();
  }
  // Neighbours that were reached on different ways must agree.
  parallel_for(count, threads, [&](std::size_t index) {
    std::size_t stride = 1;
    for (const auto& values : shaping.values) {
      const std::size_t here = index / stride % values.size();
      const bool on_the_way = index < stride * values.size();
      if (here > 0 && !on_the_way && !is_cancelled(context.options.progress)) {
        const RodShape& a = result.shapes[index - stride];
        const RodShape& b = result.shapes[index];
        if (a.converged() && b.converged()) {
          if (suspicious(length, a, b)) {
            FreeRunRod solver = line;
            const auto from = shaping.pose(index - stride);
            const auto to = shaping.pose(index);
            Followed followed = follow(solver, a, from, to);
            if (!followed.snap && followed.shape.converged() &&
                shape_change(followed.shape, b) > k_jump * length) {
              followed.snap = Snap{from, to, shape_change(followed.shape, b)};
            }
            if (followed.snap) snaps[index].push_back(*followed.snap);
          }
        }
      }
      stride *= values.size();
    }
  });
  for (std::size_t i = 0; i < count; ++i) {
    for (Snap& snap : snaps[i]) result.snaps.push_back(std::move(snap));
    if (result.shapes[i].converged()) continue;
    if (result.not_converged++ == 0) result.first_not_converged = shaping.pose(i);
  }
  return result;
}

}  // namespace bight::study
