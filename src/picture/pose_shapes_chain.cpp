// Chains of a pose: pitch line, links, and the lines inside.

#include <algorithm>
#include <cmath>

#include "chain/chain_shape_travel.h"
#include "chain/fill.h"
#include "picture/pose_shapes_detail.h"
#include "study/lookup.h"

namespace bight::picture::pose_detail {
namespace {

/// Points of the loop's plane: x along, y from the fixed run to the moving one.
std::vector<Vec2> ideal_loop(const chain::ChainFrame& frame, double moving_mm) {
  constexpr int k_points = 160;
  std::vector<Vec2> points;
  for (int i = 0; i <= k_points; ++i) {
    points.push_back(chain::point_on_loop(frame.loop, frame.size.length_mm, moving_mm,
                                          frame.size.length_mm * i / k_points));
  }
  return points;
}

/// The point of a polyline at a share of its length.
class AlongPolyline {
 public:
  explicit AlongPolyline(const std::vector<Vec2>& points) : points_(points) {
    at_.push_back(0.0);
    for (std::size_t i = 1; i < points.size(); ++i) {
      at_.push_back(at_.back() + glm::length(points[i] - points[i - 1]));
    }
  }
  Vec2 at(double share) const {
    const double s = share * at_.back();
    const auto it = std::upper_bound(at_.begin() + 1, at_.end() - 1, s);
    const auto i = static_cast<std::size_t>(it - at_.begin());
    const double length = at_[i] - at_[i - 1];
    const double t = length > 0.0 ? std::clamp((s - at_[i - 1]) / length, 0.0, 1.0) : 0.0;
    return points_[i - 1] + t * (points_[i] - points_[i - 1]);
  }

 private:
  const std::vector<Vec2>& points_;
  std::vector<double> at_;
};

}  // namespace

PreparedChain prepare_chain(const study::Context& context, const plan::Chain& chain) {
  PreparedChain prepared{&chain, chain::chain_frame(chain, context.machine), 0.0, {}, {}};
  prepared.lines = study::lines_of_chain(context.plan, chain.name);
  const chain::FillResult fill = chain::fill_section(
      chain::fill_problem(chain, context.plan.rules, prepared.lines, context.plan.articles));
  prepared.fill_kg_per_m = fill.mass_kg_per_m;
  const Vec2 middle(0.5 * chain.inner_width, 0.5 * chain.inner_height);
  for (const chain::PlacedLine& line : fill.lines) {
    prepared.places.push_back(line.centre_mm ? std::optional(*line.centre_mm - middle)
                                             : std::nullopt);
  }
  prepared.places.resize(prepared.lines.size());
  return prepared;
}

ChainPoseShape chain_at(const study::Context& context, const PreparedChain& prepared,
                        const std::vector<double>& pose) {
  ChainPoseShape result;
  result.chain = prepared.chain->name;
  const chain::ChainFrame& frame = prepared.frame;
  result.across = frame.across;
  const bool ideal = frame.status == chain::ChainStatus::ok;
  if (!ideal && frame.status != chain::ChainStatus::bracket_too_high) {
    result.remark = frame.problem;
    return result;
  }
  chain::ChainShapeProblem problem =
      chain::chain_shape_problem(*prepared.chain, frame, prepared.fill_kg_per_m);
  problem.moving.x = frame.offset_mm + frame.rate * pose[frame.joint];
  std::vector<Vec2> line;
  if (problem.mass_kg_per_m > 0.0) {
    chain::ChainShape shape = chain::solve_chain_shape(problem);
    result.remark = shape.problem;
    if (shape.has_shape()) {
      line = std::move(shape.points);
      result.simulated = shape.converged();
    }
  }
  if (line.size() < 2 && ideal) line = ideal_loop(frame, problem.moving.x);
  if (line.size() < 2) return result;

  const machine::Body& body =
      context.machine.bodies[context.machine.body_index(prepared.chain->fixed_body)];
  const Vec3 fixed = prepared.chain->fixed_at + machine::translation(body, pose);
  const auto in_space = [&](const Vec2& p) {
    return fixed + p.x * frame.along + p.y * frame.normal;
  };
  for (const Vec2& p : line) result.pitch_line.push_back(in_space(p));
  const AlongPolyline along(line);
  const int links = frame.size.links;
  for (int i = 0; i < links; ++i) {
    const Vec2 from = along.at(static_cast<double>(i) / links);
    const Vec2 to = along.at(static_cast<double>(i + 1) / links);
    const Vec2 d = to - from;
    if (!(glm::length(d) > 0.0)) continue;
    const Vec2 inside = glm::normalize(Vec2(-d.y, d.x));
    result.links.push_back(
        {in_space(from), in_space(to), inside.x * frame.along + inside.y * frame.normal});
  }
  return result;
}

std::vector<Vec3> line_in_chain(const PreparedChain& prepared, const ChainPoseShape& shape,
                                std::size_t line) {
  std::vector<Vec3> points;
  if (shape.pitch_line.size() < 2 || !prepared.places[line]) return points;
  const Vec2 place = *prepared.places[line];
  const auto& pitch = shape.pitch_line;
  // The section is seen along the fixed run towards the bend, with the inside of the bend on top.
  const Vec3 right = glm::cross(prepared.frame.along, prepared.frame.normal);
  for (std::size_t i = 0; i < pitch.size(); ++i) {
    const Vec3 before = pitch[i > 0 ? i - 1 : 0];
    const Vec3 after = pitch[std::min(i + 1, pitch.size() - 1)];
    const Vec3 tangent = after - before;
    if (!(glm::length(tangent) > 0.0)) continue;
    const Vec3 inside = glm::normalize(glm::cross(right, tangent));
    points.push_back(pitch[i] + place.x * right + place.y * inside);
  }
  return points;
}

std::vector<double> bend_use(const std::vector<Vec3>& points, double limit_mm) {
  std::vector<double> use(points.size(), 0.0);
  if (points.size() < 3 || !(limit_mm > 0.0)) return use;
  // Bent exactly to the limit is allowed: chords and rounding must not tip it over.
  constexpr double k_just_allowed = 1.005;
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const Vec3 a = points[i] - points[i - 1];
    const Vec3 b = points[i + 1] - points[i];
    const double turn = std::atan2(glm::length(glm::cross(a, b)), glm::dot(a, b));
    // Straight pieces may be long beside the chords of an arc: the shorter one tells its length.
    const double length = std::min(glm::length(a), glm::length(b));
    if (length > 0.0) use[i] = limit_mm * 2.0 * std::sin(0.5 * turn) / length;
    if (use[i] > 1.0 && use[i] <= k_just_allowed) use[i] = 1.0;
  }
  use.front() = use[1];
  use.back() = use[use.size() - 2];
  return use;
}

}  // namespace bight::picture::pose_detail
