#include "rod/rapid_swing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "base/check.h"

namespace bight::rod {
namespace {

/// How far the move has come after `time`: a trapezoid or triangle of speed.
class Profile {
 public:
  explicit Profile(const RapidMove& move)
      : distance_(move.distance_mm),
        acceleration_(move.acceleration_mm_s2),
        speed_(std::min(move.speed_mm_s, std::sqrt(acceleration_ * distance_))),
        ramp_(speed_ / acceleration_),
        whole_(distance_ / speed_ + ramp_) {}

  double whole_s() const { return whole_; }
  double at(double time) const {
    if (time >= whole_) return distance_;
    if (time <= ramp_) return 0.5 * acceleration_ * time * time;
    const double left = whole_ - time;
    if (left <= ramp_) return distance_ - 0.5 * acceleration_ * left * left;
    return speed_ * (time - 0.5 * ramp_);
  }

 private:
  double distance_;
  double acceleration_;
  double speed_;
  double ramp_;
  double whole_;
};

/// The shape before the move, followed back from the one after it.
RodReport shape_before(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                       const RapidMove& move, SpatialRodSolver& solver) {
  RodReport report = solver.solve_from(rest, problem);
  constexpr int k_ways = 8;
  SpatialRodProblem back = problem;
  for (int i = 1; i <= k_ways && report.converged(); ++i) {
    const double by = move.distance_mm * i / k_ways;
    back.start = problem.start - by * move.start_rate;
    back.end = problem.end - by * move.end_rate;
    report = solver.solve(back);
  }
  return report;
}

Vec3 across_of(const SpatialRodProblem& p) {
  Vec3 along = p.end_is_free ? Vec3(0.0) : p.end - p.start;
  for (const auto& tangent : {p.start_tangent, p.end_tangent}) {
    if (std::hypot(along.x, along.y) > 1e-6 * p.length_mm) break;
    if (tangent) along = *tangent * p.length_mm;
  }
  const double size = std::hypot(along.x, along.y);
  return size > 0.0 ? Vec3(-along.y / size, along.x / size, 0.0) : Vec3(0.0, 1.0, 0.0);
}

/// What holds it displaced.
Carrier moved(Carrier carrier, const Vec3& by) {
  if (auto* arm = std::get_if<Arm>(&carrier.way)) arm->post += by;
  if (auto* cord = std::get_if<Cord>(&carrier.way)) cord->from += by;
  return carrier;
}

/// How far a carrier that moves has come from one place to another, as in SwingResult.
double way_between(const Carrier& carrier, const Vec3& from, const Vec3& to) {
  if (const auto* track = std::get_if<Track>(&carrier.way)) {
    return glm::dot(to - from, track->along);
  }
  if (const auto* cord = std::get_if<Cord>(&carrier.way)) {
    return glm::distance(to, cord->from) - glm::distance(from, cord->from);
  }
  const Vec3 a = from - std::get<Arm>(carrier.way).post;
  const Vec3 b = to - std::get<Arm>(carrier.way).post;
  return std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y) * 180.0 / std::numbers::pi;
}

/// One step, halved where it does not settle.
bool step_over(RodMotion& motion, const SpatialRodProblem& problem, const RapidMove& move,
               const Profile& profile, double from, double to, int halvings) {
  const double left = move.distance_mm - profile.at(to);
  if (motion.step(to - from, problem.start - left * move.start_rate,
                  problem.end - left * move.end_rate, profile.at(to) * move.carrier_rate)) {
    return true;
  }
  if (halvings == 0) return false;
  const double middle = 0.5 * (from + to);
  return step_over(motion, problem, move, profile, from, middle, halvings - 1) &&
         step_over(motion, problem, move, profile, middle, to, halvings - 1);
}

}  // namespace

SwingResult swing_after_move(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                             const RapidMove& move, const SwingOptions& options) {
  BIGHT_CHECK(rest.size() >= 5 && move.distance_mm > 0.0);
  SwingResult result;
  SpatialRodSolver solver(static_cast<int>(rest.size()) - 1);
  result.report = solver.solve_from(rest, problem);
  if (!result.report.converged()) return result;
  result.rest = solver.points();
  result.report = shape_before(problem, result.rest, move, solver);
  if (!result.report.converged()) return result;
  return swing_from({problem, solver.points(), result.rest, {}, 0, rest.size() - 1}, move, options);
}

SwingResult swing_from(const SwingStart& start, const RapidMove& move,
                       const SwingOptions& options) {
  const bool usable = move.distance_mm > 0.0 && move.speed_mm_s > 0.0 &&
                      move.acceleration_mm_s2 > 0.0 && options.step_s > 0.0 &&
                      options.watched_s > 0.0 && start.before.size() == start.rest.size() &&
                      start.first < start.last && start.last < start.rest.size();
  BIGHT_CHECK(usable);
  SwingResult result;
  result.report.status = RodStatus::converged;
  const auto watched_joints = [&](const std::vector<Vec3>& joints) {
    return std::vector<Vec3>(joints.begin() + static_cast<std::ptrdiff_t>(start.first),
                             joints.begin() + static_cast<std::ptrdiff_t>(start.last) + 1);
  };
  result.rest = watched_joints(start.rest);

  constexpr double k_tolerance = 1e-7;  // of the weight, in a swing of seconds
  std::optional<Carrier> carrier = start.carrier;
  if (carrier) carrier = moved(*carrier, -move.distance_mm * move.carrier_rate);
  RodMotion motion(start.problem, start.before, k_tolerance, carrier);
  const Profile profile(move);
  const auto over = static_cast<int>(std::ceil(profile.whole_s() / options.step_s));
  const auto watched = static_cast<int>(std::ceil(options.watched_s / options.step_s));
  const double step = profile.whole_s() / over;  // so that a step ends with the move
  SpatialRodProblem line = start.problem;
  if (start.carrier) {
    line.start = result.rest.front();
    line.end = result.rest.back();
  }
  const Vec3 across = across_of(line);
  constexpr int k_halvings = 6;
  for (int i = 0; i < over + watched; ++i) {
    if (!step_over(motion, start.problem, move, profile, step * i, step * (i + 1), k_halvings)) {
      result.report.status = RodStatus::not_converged;
      return result;
    }
    if (start.carrier) {
      const std::size_t k = start.carrier->joint;
      const double left = move.distance_mm - profile.at(step * (i + 1));
      const Vec3 now = motion.points()[k] + left * move.carrier_rate;
      const bool slides = std::holds_alternative<Sheave>(start.carrier->way);
      const double way =
          slides ? motion.slid_mm() : way_between(*start.carrier, start.rest[k], now);
      result.carrier_low = std::min(result.carrier_low, way);
      result.carrier_high = std::max(result.carrier_high, way);
    }
    if (i + 1 < over) continue;
    result.frames.push_back(watched_joints(motion.points()));
    const std::vector<Vec3>& now = result.frames.back();
    for (std::size_t k = 0; k < now.size(); ++k) {
      const Vec3 off = now[k] - result.rest[k];
      const double sideways = glm::dot(off, across);
      result.across_mm = std::max(result.across_mm, std::abs(sideways));
      result.in_plane_mm = std::max(result.in_plane_mm, glm::length(off - sideways * across));
    }
  }
  return result;
}

}  // namespace bight::rod
