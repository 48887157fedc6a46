#include "study/free_run_rod.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/tolerance.h"
#include "rod/catenary.h"

namespace bight::study {
namespace {

constexpr double k_degrees = 180.0 / std::numbers::pi;
/// Of unit directions and of the travel: what is out of a plane by less lies in it.
constexpr double k_parallel = 1e-9;

Vec3 level(const Vec3& v) {
  return {v.x, v.y, 0.0};
}

bool upright(const std::optional<Vec3>& direction) {
  return !direction || glm::length(level(*direction)) <= k_parallel;
}

/// The angle that differs from `angle` by whole turns and is nearest to `to`.
double nearest_turn(double angle, double to, double turn) {
  return angle + turn * std::round((to - angle) / turn);
}

/// Horizontal direction of a vertical plane that holds the ends and clamps at every pose.
std::optional<Vec3> common_plane(const free::AnchorPair& anchors) {
  std::vector<Vec3> all{level(anchors.end - anchors.start)};
  for (const free::JointMotion& j : anchors.joints) {
    if (j.lower < j.upper)
      all.push_back(level(j.end - j.start));
    else
      all[0] += j.lower * level(j.end - j.start);
  }
  for (const auto& direction : {anchors.start_direction, anchors.end_direction}) {
    if (direction) all.push_back(level(*direction));
  }
  const Vec3 longest = *std::max_element(all.begin(), all.end(), [](const Vec3& a, const Vec3& b) {
    return glm::length(a) < glm::length(b);
  });
  if (!(glm::length(longest) > 0.0)) return {};
  const Vec3 along = glm::normalize(longest);
  for (const Vec3& v : all) {
    if (std::abs(along.x * v.y - along.y * v.x) > k_parallel * std::max(1.0, glm::length(v))) {
      return {};
    }
  }
  return along;
}

}  // namespace

double solved_stiffness_Nm2(const HangingRod& rod) {
  constexpr double k_least = 1e-9;
  const double length_m = rod.length_mm / 1000.0;
  const double least = k_least * rod.mass_kg_m * k_gravity * length_m * length_m * length_m;
  return std::max(rod.stiffness_Nm2, least);
}

FreeRunRod::FreeRunRod(free::AnchorPair anchors, const HangingRod& rod, const free::Pose& home,
                       int segments)
    : anchors_(std::move(anchors)), rod_(rod) {
  set_problem(home, segments);
}

FreeRunRod::FreeRunRod(free::AnchorPair anchors, RodHold hold, const HangingRod& rod,
                       const free::Pose& home, int segments)
    : anchors_(std::move(anchors)), hold_(std::move(hold)), rod_(rod) {
  set_problem(home, segments);
}

void FreeRunRod::set_problem(const free::Pose& home, int segments) {
  const HangingRod& rod = rod_;
  turns_freely_ = upright(anchors_.start_direction) && upright(anchors_.end_direction);
  // A support may go anywhere: no plane holds both ends at every pose.
  const std::optional<Vec3> plane = turns_freely_ ? along_
                                    : hold_       ? std::nullopt
                                                  : common_plane(anchors_);
  if (plane) {
    planar_.emplace(segments);
    along_ = *plane;
    planar_problem_.length_mm = rod.length_mm;
    planar_problem_.mass_kg_m = rod.mass_kg_m;
    planar_problem_.stiffness_Nm2 = solved_stiffness_Nm2(rod);
    set_plane(home);
  } else {
    spatial_.emplace(segments);
    spatial_problem_.length_mm = rod.length_mm;
    spatial_problem_.mass_kg_m = rod.mass_kg_m;
    spatial_problem_.stiffness_Nm2 = solved_stiffness_Nm2(rod);
    spatial_problem_.start_tangent = anchors_.start_direction;
    if (anchors_.end_direction) spatial_problem_.end_tangent = -*anchors_.end_direction;
  }
}

FreeRunRod FreeRunRod::changed(const HangingRod& rod, int segments) const {
  FreeRunRod other = *this;
  other.rod_ = rod;
  if (planar_) {
    other.planar_.emplace(segments);
    other.planar_problem_.length_mm = rod.length_mm;
    other.planar_problem_.mass_kg_m = rod.mass_kg_m;
    other.planar_problem_.stiffness_Nm2 = solved_stiffness_Nm2(rod);
  } else {
    other.spatial_.emplace(segments);
    other.spatial_problem_.length_mm = rod.length_mm;
    other.spatial_problem_.mass_kg_m = rod.mass_kg_m;
    other.spatial_problem_.stiffness_Nm2 = solved_stiffness_Nm2(rod);
  }
  return other;
}

/// Clamp angles. How often the line turns between two clamps cannot change on its way in a plane:
/// it is what takes the least energy at the home pose.
void FreeRunRod::set_plane(const free::Pose& home) {
  constexpr double k_turn = 360.0;
  const auto angle = [&](const Vec3& tangent) {
    return std::atan2(tangent.z, glm::dot(tangent, along_)) * k_degrees;
  };
  if (anchors_.start_direction) {
    planar_problem_.at_start = {rod::EndKind::clamped, angle(*anchors_.start_direction)};
  }
  if (!anchors_.end_direction) return;
  planar_problem_.at_end = {rod::EndKind::clamped, angle(-*anchors_.end_direction)};
  if (!anchors_.start_direction) return;
  const double nearest =
      nearest_turn(planar_problem_.at_end.angle_deg, planar_problem_.at_start.angle_deg, k_turn);
  double best_angle = nearest;
  double best = std::numeric_limits<double>::infinity();
  set_pose(home);
  for (const double turns : {0.0, 1.0, -1.0}) {
    planar_problem_.at_end.angle_deg = nearest + turns * k_turn;
    if (!planar_->solve_cold(planar_problem_).converged()) continue;
    const double energy = planar_->figures().energy_Nmm;
    if (!(energy < best)) continue;
    best = energy;
    best_angle = planar_problem_.at_end.angle_deg;
  }
  planar_problem_.at_end.angle_deg = best_angle;
}

Vec3 FreeRunRod::start_at(const free::Pose& pose) const {
  Vec3 start = free::start_at(anchors_, pose);
  if (!hold_ || !hold_->at_start) return start;
  const auto held = hold_->at(pose);
  return held ? start + held->shift : start;
}

bool FreeRunRod::shaped_by(std::size_t joint) const {
  if (hold_) return hold_->shaped_by[joint];
  return anchors_.joints[joint].start != anchors_.joints[joint].end;
}

void FreeRunRod::set_length(double length_mm) {
  if (planar_) planar_problem_.length_mm = length_mm;
  if (spatial_) spatial_problem_.length_mm = length_mm;
}

void FreeRunRod::set_pose(const free::Pose& pose) {
  start_ = free::start_at(anchors_, pose);
  end_ = free::end_at(anchors_, pose);
  if (hold_) {
    const auto held = hold_->at(pose);
    reaches_ = held.has_value();
    if (held) {
      (hold_->at_start ? start_ : end_) += held->shift;
      set_length(held->length_mm > 0.0 ? held->length_mm : rod_.length_mm);
    }
  }
  const Vec3 d = end_ - start_;
  if (planar_) {
    const double run = glm::length(level(d));
    if (turns_freely_) along_ = run > 0.0 ? level(d) / run : Vec3(1.0, 0.0, 0.0);
    planar_problem_.end = {glm::dot(d, along_), d.z};
  } else {
    spatial_problem_.start = start_;
    spatial_problem_.end = end_;
  }
}

RodShape FreeRunRod::shape(rod::RodStatus status) const {
  RodShape shape;
  shape.status = status;
  if (!shape.converged()) return shape;
  const auto in_space = [&](const Vec2& p) { return p.x * along_ + Vec3(0.0, 0.0, p.y); };
  if (planar_) {
    const rod::PlanarRodFigures f = planar_->figures();
    const std::vector<Vec2> points = planar_->points();
    shape.points.reserve(points.size());
    for (const Vec2& p : points) shape.points.push_back(start_ + in_space(p));
    shape.along = along_;
    shape.radius_mm = f.smallest_radius_mm;
    shape.radius_at_mm = f.smallest_radius_at_mm;
    shape.lowest = start_ + in_space(f.lowest);
    shape.start_force_N = -in_space({f.horizontal_force_N, f.vertical_start_N});
    shape.end_force_N = in_space({f.horizontal_force_N, f.vertical_end_N});
    shape.greatest_pull_N = f.greatest_tension_N;
    shape.start_moment_Nmm = std::abs(f.moment_start_Nmm);
    shape.end_moment_Nmm = std::abs(f.moment_end_Nmm);
    shape.energy_Nmm = f.energy_Nmm;
    if (planar_problem_.stiffness_Nm2 > rod_.stiffness_Nm2) bend_as_limp(shape);
  } else {
    const rod::SpatialRodFigures f = spatial_->figures();
    shape.points = spatial_->points();
    shape.radius_mm = f.smallest_radius_mm;
    shape.radius_at_mm = f.smallest_radius_at_mm;
    shape.lowest = f.lowest;
    shape.start_force_N = f.start_force_N;
    shape.end_force_N = f.end_force_N;
    shape.greatest_pull_N = f.greatest_tension_N;
    shape.start_moment_Nmm = f.start_moment_Nmm;
    shape.end_moment_Nmm = f.end_moment_Nmm;
    shape.energy_Nmm = f.energy_Nmm;
  }
  return shape;
}

/// Links are too long for the tight bottom of a limp loop: its radius is the catenary's. At a clamp
/// the links tell it, if not how tight the kink there is.
void FreeRunRod::bend_as_limp(RodShape& shape) const {
  const Vec3 chord = end_ - start_;
  const rod::Catenary limp = rod::solve_catenary(
      {glm::length(level(chord)), chord.z, planar_problem_.length_mm, planar_problem_.mass_kg_m});
  const bool pinned = planar_problem_.at_start.kind == rod::EndKind::pinned &&
                      planar_problem_.at_end.kind == rod::EndKind::pinned;
  if (!limp.has_shape() || (!pinned && limp.smallest_radius_mm > shape.radius_mm)) return;
  shape.radius_mm = limp.smallest_radius_mm;
  shape.radius_at_mm = limp.lowest_at_mm;
}

RodShape FreeRunRod::solve(const free::Pose& pose) {
  set_pose(pose);
  if (!reaches_) return shape(rod::RodStatus::too_short);
  return shape(planar_ ? planar_->solve(planar_problem_).status
                       : spatial_->solve(spatial_problem_).status);
}

RodEnds FreeRunRod::solve_ends(const free::Pose& pose) {
  RodEnds ends;
  if (!planar_) {
    const RodShape whole = solve(pose);
    ends.status = whole.status;
    if (!whole.converged()) return ends;
    const std::vector<Vec3>& p = whole.points;
    ends.start_force_N = whole.start_force_N;
    ends.end_force_N = whole.end_force_N;
    ends.start_tangent = glm::normalize(p[1] - p[0]);
    ends.end_tangent = glm::normalize(p[p.size() - 2] - p.back());
    return ends;
  }
  set_pose(pose);
  ends.status = reaches_ ? planar_->solve(planar_problem_).status : rod::RodStatus::too_short;
  if (!ends.converged()) return ends;
  const auto in_space = [&](const Vec2& p) { return p.x * along_ + Vec3(0.0, 0.0, p.y); };
  const auto tangent = [&](double angle) { return in_space({std::cos(angle), std::sin(angle)}); };
  const double weight = planar_problem_.mass_kg_m * planar_problem_.length_mm * k_gravity / 1000.0;
  const Vec2 force = planar_->end_force_N();
  ends.start_force_N = in_space({-force.x, weight - force.y});
  ends.end_force_N = in_space(force);
  ends.start_tangent = tangent(planar_->angles_rad().front());
  ends.end_tangent = -tangent(planar_->angles_rad().back());
  return ends;
}

RodShape FreeRunRod::solve_cold(const free::Pose& pose) {
  set_pose(pose);
  if (!reaches_) return shape(rod::RodStatus::too_short);
  return shape(planar_ ? planar_->solve_cold(planar_problem_).status
                       : spatial_->solve_cold(spatial_problem_).status);
}

/// Angles of the links in the line's plane, continuous, on the branch of the clamps.
std::vector<double> FreeRunRod::angles_of(const std::vector<Vec3>& points) const {
  constexpr double k_turn = 2.0 * std::numbers::pi;
  const auto links = static_cast<std::size_t>(planar_->segments());
  const std::size_t given = points.size() - 1;
  std::vector<double> angles(links);
  // The plane of the points may be another one than that of the pose: their own is used.
  const Vec3 chord = level(points.back() - points.front());
  const double run = glm::length(chord);
  const Vec3 along = turns_freely_ && run > 0.0 ? chord / run : along_;
  for (std::size_t j = 0; j < links; ++j) {
    const std::size_t i = (2 * j + 1) * given / (2 * links);
    const Vec3 d = points[i + 1] - points[i];
    const double angle = std::atan2(d.z, glm::dot(d, along));
    angles[j] = j == 0 ? angle : nearest_turn(angle, angles[j - 1], k_turn);
  }
  double shift = 0.0;
  if (planar_problem_.at_start.kind == rod::EndKind::clamped) {
    const double clamp = planar_problem_.at_start.angle_deg / k_degrees;
    shift = nearest_turn(angles.front(), clamp, k_turn) - angles.front();
  } else if (planar_problem_.at_end.kind == rod::EndKind::clamped) {
    const double clamp = planar_problem_.at_end.angle_deg / k_degrees;
    shift = nearest_turn(angles.back(), clamp, k_turn) - angles.back();
  }
  for (double& a : angles) a += shift;
  return angles;
}

RodShape FreeRunRod::solve_from(const std::vector<Vec3>& points, const free::Pose& pose) {
  set_pose(pose);
  if (!reaches_) return shape(rod::RodStatus::too_short);
  if (planar_) return shape(planar_->solve_from(angles_of(points), planar_problem_).status);
  const auto links = static_cast<std::size_t>(spatial_->segments());
  const std::size_t given = points.size() - 1;
  std::vector<Vec3> start(links + 1);
  for (std::size_t i = 0; i <= links; ++i) {
    const std::size_t k = std::min(i * given / links, given - 1);
    const double t =
        static_cast<double>(i * given) / static_cast<double>(links) - static_cast<double>(k);
    start[i] = points[k] + t * (points[k + 1] - points[k]) + (start_ - points.front());
  }
  return shape(spatial_->solve_from(start, spatial_problem_).status);
}

RodShape FreeRunRod::solve_near(const RodShape& near, const free::Pose& pose) {
  if (near.converged()) {
    RodShape found = solve_from(near.points, pose);
    if (found.converged()) return found;
  }
  return solve_cold(pose);
}

RodShape FreeRunRod::on_lower_side(RodShape shape, const free::Pose& pose) {
  constexpr double k_narrow = 0.3;  // of the length; a wider chord has no second side to bow to
  const bool two_clamps = anchors_.start_direction && anchors_.end_direction;
  if (!shape.converged() || !turns_freely_ || two_clamps) return shape;
  const Vec3 chord = shape.points.back() - shape.points.front();
  if (glm::length(level(chord)) > k_narrow * rod_.length_mm) return shape;
  std::vector<Vec3> mirrored = shape.points;
  const double last = static_cast<double>(mirrored.size() - 1);
  for (std::size_t i = 0; i < mirrored.size(); ++i) {
    const Vec3 middle = shape.points.front() + static_cast<double>(i) / last * level(chord);
    mirrored[i] += 2.0 * level(middle - mirrored[i]);
  }
  RodShape other = solve_from(mirrored, pose);
  constexpr double k_lower = 1e-6;  // of the energy: what is equal stays as it came
  if (other.converged() &&
      other.energy_Nmm < shape.energy_Nmm - k_lower * std::abs(shape.energy_Nmm)) {
    return other;
  }
  // Solved again rather than put back: a predictor that went on from the poses before would follow
  // the line to its other side and miss that it snaps there.
  solve_from(shape.points, pose);
  return shape;
}

double shape_change(const RodShape& a, const RodShape& b) {
  double most = 0.0;
  for (std::size_t i = 0; i < a.points.size(); ++i) {
    const Vec3 p = a.points[i] - a.points.front();
    const Vec3 q = b.points[i] - b.points.front();
    const double change = a.along && b.along
                              ? std::hypot(glm::dot(p, *a.along) - glm::dot(q, *b.along), p.z - q.z)
                              : glm::length(p - q);
    most = std::max(most, change);
  }
  return most;
}

}  // namespace bight::study
