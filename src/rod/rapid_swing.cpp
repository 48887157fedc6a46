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
                       const RapidMove& move, const EndRates& rates, SpatialRodSolver& solver) {
  RodReport report = solver.solve_from(rest, problem);
  constexpr int k_ways = 8;
  SpatialRodProblem back = problem;
  for (int i = 1; i <= k_ways && report.converged(); ++i) {
    const double by = move.distance_mm * i / k_ways;
    back.start = problem.start - by * rates.start;
    back.end = problem.end - by * rates.end;
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

/// As before the move.
Carrier carrier_before(const SwingCarrier& c, double distance_mm) {
  Carrier carrier = c.carrier;
  carrier.at = c.before;
  if (auto* arm = std::get_if<Arm>(&carrier.way)) arm->post -= distance_mm * c.rate;
  if (auto* cord = std::get_if<Cord>(&carrier.way)) cord->from -= distance_mm * c.rate;
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

/// How far the first carrier is from its rest with `left` of the move to go.
double way_of(const SwingCarrier& c, const CarrierMotion& motion, double left) {
  if (std::holds_alternative<Sheave>(c.carrier.way)) return motion.slid_mm();
  return way_between(c.carrier, c.carrier.at, motion.place() + left * c.rate);
}

/// Drives everything along the move.
class Driver {
 public:
  Driver(const SwingStart& start, const RapidMove& move, RodMotion& motion)
      : start_(start), profile_(move), distance_mm_(move.distance_mm), motion_(motion) {}

  double whole_s() const { return profile_.whole_s(); }
  double left_at(double time) const { return distance_mm_ - profile_.at(time); }

  /// One step, halved where it does not settle.
  bool step(double from, double to, int halvings = 6) {
    const double left = left_at(to);
    ends_.clear();
    for (const SwingLine& l : start_.lines) {
      const SpatialRodProblem& p = l.line.problem;
      ends_.push_back({p.start - left * l.rates.start, p.end - left * l.rates.end});
    }
    held_.clear();
    for (const SwingCarrier& c : start_.carriers) held_.push_back((distance_mm_ - left) * c.rate);
    if (motion_.step(to - from, ends_, held_)) return true;
    const double middle = 0.5 * (from + to);
    return halvings > 0 && step(from, middle, halvings - 1) && step(middle, to, halvings - 1);
  }

 private:
  const SwingStart& start_;
  Profile profile_;
  double distance_mm_;
  RodMotion& motion_;
  std::vector<LineEnds> ends_;
  std::vector<Vec3> held_;
};

RodMotion motion_of(const SwingStart& start, const RapidMove& move) {
  constexpr double k_tolerance = 1e-7;  // of the weight, in a swing of seconds
  std::vector<MovingLine> lines;
  for (const SwingLine& l : start.lines) lines.push_back(l.line);
  std::vector<Carrier> carriers;
  for (const SwingCarrier& c : start.carriers) {
    carriers.push_back(carrier_before(c, move.distance_mm));
  }
  return RodMotion(lines, carriers, k_tolerance);
}

}  // namespace

SwingResult swing_after_move(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                             const RapidMove& move, const EndRates& rates,
                             const SwingOptions& options) {
  BIGHT_CHECK(rest.size() >= 5 && move.distance_mm > 0.0);
  SwingResult result;
  SpatialRodSolver solver(static_cast<int>(rest.size()) - 1);
  result.report = solver.solve_from(rest, problem);
  if (!result.report.converged()) return result;
  const std::vector<Vec3> after = solver.points();
  result.report = shape_before(problem, after, move, rates, solver);
  if (!result.report.converged()) return result;
  const MovingLine line{problem, solver.points(), {}, {}, {}};
  return swing_from({{{line, after, rates, true}}, {}}, move, options);
}

SwingResult swing_from(const SwingStart& start, const RapidMove& move,
                       const SwingOptions& options) {
  const bool usable = move.distance_mm > 0.0 && move.speed_mm_s > 0.0 &&
                      move.acceleration_mm_s2 > 0.0 && options.step_s > 0.0 &&
                      options.watched_s > 0.0;
  BIGHT_CHECK(usable);
  SwingResult result;
  std::vector<std::size_t> watched;
  std::vector<Vec3> across;
  for (std::size_t i = 0; i < start.lines.size(); ++i) {
    const SwingLine& l = start.lines[i];
    BIGHT_CHECK(l.rest.size() == l.line.joints.size());
    if (!l.watched) continue;
    watched.push_back(i);
    SpatialRodProblem at_rest = l.line.problem;
    at_rest.start = l.rest.front();
    at_rest.end = l.rest.back();
    across.push_back(across_of(at_rest));
    result.lines.push_back({l.rest, {}});
  }
  RodMotion motion = motion_of(start, move);
  Driver driver(start, move, motion);
  const auto over = static_cast<int>(std::ceil(driver.whole_s() / options.step_s));
  const auto after = static_cast<int>(std::ceil(options.watched_s / options.step_s));
  const double step = driver.whole_s() / over;  // so that a step ends with the move
  for (int i = 0; i < over + after; ++i) {
    const bool cancelled = options.is_cancelled && options.is_cancelled();
    if (cancelled || !driver.step(step * i, step * (i + 1))) {
      result.report.status = RodStatus::not_converged;
      return result;
    }
    if (!start.carriers.empty()) {
      const double left = driver.left_at(step * (i + 1));
      const double way = way_of(start.carriers.front(), motion.carrier(), left);
      result.carrier_low = std::min(result.carrier_low, way);
      result.carrier_high = std::max(result.carrier_high, way);
    }
    if (i + 1 < over) continue;
    for (std::size_t w = 0; w < watched.size(); ++w) {
      SwungLine& swung = result.lines[w];
      swung.frames.push_back(motion.line(watched[w]).points());
      const std::vector<Vec3>& now = swung.frames.back();
      for (std::size_t k = 0; k < now.size(); ++k) {
        const Vec3 off = now[k] - swung.rest[k];
        const double sideways = glm::dot(off, across[w]);
        result.across_mm = std::max(result.across_mm, std::abs(sideways));
        result.in_plane_mm = std::max(result.in_plane_mm, glm::length(off - sideways * across[w]));
      }
    }
  }
  result.report.status = RodStatus::converged;
  return result;
}

}  // namespace bight::rod
