#include "chain/reach_bodies.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "base/check.h"
#include "chain/reach_region.h"
#include "shape/primitive.h"

namespace bight::chain {
namespace {

/// A convex outline as a prism of the chain's width, in loop coordinates.
shape::Mesh prism(const std::vector<Vec2>& outline, double width) {
  shape::Mesh mesh;
  const auto corners = static_cast<std::uint32_t>(outline.size());
  for (const double z : {-0.5 * width, 0.5 * width}) {
    for (const Vec2& p : outline) mesh.vertices.emplace_back(p.x, p.y, z);
  }
  for (std::uint32_t i = 2; i < corners; ++i) {
    mesh.triangles.push_back({0, i, i - 1});
    mesh.triangles.push_back({corners, corners + i - 1, corners + i});
  }
  for (std::uint32_t i = 0; i < corners; ++i) {
    const std::uint32_t next = (i + 1) % corners;
    mesh.triangles.push_back({i, next, corners + next});
    mesh.triangles.push_back({i, corners + next, corners + i});
  }
  return mesh;
}

shape::Mesh in_plan(shape::Mesh mesh, const plan::Chain& chain, const ChainFrame& frame) {
  return shape::placed(std::move(mesh), Mat3(frame.along, frame.normal, frame.across),
                       chain.fixed_at);
}

/// The tray is under the lower run, at its bracket's height, where the runs lie one above the
/// other (as solve_chain_shape takes it).
void add_tray(const plan::Chain& chain, const ChainFrame& frame, ReachProblem& problem) {
  if (!chain.tray || !(std::abs(frame.normal.z) >= std::abs(frame.along.z)) ||
      !(std::abs(frame.normal.z) > 1e-6)) {
    return;
  }
  if (frame.normal.z > 0.0) {
    problem.least_y_mm = 0.0;
  } else {
    problem.greatest_y_mm = frame.height_mm;
  }
}

}  // namespace

std::vector<ChainPiece> reach_bodies(const plan::Chain& chain, const machine::Machine& machine,
                                     const ChainFrame& frame) {
  if (frame.status != ChainStatus::ok && frame.status != ChainStatus::bracket_too_high) return {};
  ReachProblem problem{.links = frame.size.links,
                       .pitch_mm = chain.pitch,
                       .bend_radius_mm = chain.bend_radius,
                       .back_radius_mm = chain.back_bend_radius,
                       .height_mm = frame.height_mm,
                       .moving_mm = frame.loop.moving_mm,
                       .half_thickness_mm = 0.5 * chain.outer_height};
  add_tray(chain, frame, problem);
  const auto& fixed = machine.bodies[machine.body_index(chain.fixed_body)].motion;
  const auto& moving = machine.bodies[machine.body_index(chain.moving_body)].motion;
  std::vector<ChainPiece> pieces;
  for (const ReachPiece& piece : reach_pieces(problem)) {
    std::vector<Vec2> outline = piece.outline;
    for (Vec2& p : outline) p.x += piece.rate * frame.offset_mm;
    ChainPiece body{chain.name,
                    piece.rate == 0.0   ? ChainPart::fixed_run
                    : piece.rate == 1.0 ? ChainPart::moving_run
                                        : ChainPart::bend,
                    in_plan(prism(outline, chain.outer_width), chain, frame),
                    {},
                    {}};
    for (std::size_t j = 0; j < fixed.size(); ++j) {
      body.motion.push_back((1.0 - piece.rate) * fixed[j] + piece.rate * moving[j]);
    }
    body.interval = joint_interval(frame, piece.moving_mm[0], piece.moving_mm[1]);
    pieces.push_back(std::move(body));
  }
  return pieces;
}

shape::Mesh links_along(const plan::Chain& chain, const ChainFrame& frame,
                        const std::vector<Vec2>& pitch_line) {
  shape::Mesh mesh;
  std::vector<Vec2> points;
  for (const Vec2& p : pitch_line) {
    if (points.empty() || glm::distance(points.back(), p) > 0.0) points.push_back(p);
  }
  const double half = 0.5 * chain.outer_height;
  // Two plates that turn by an angle a against each other meet outside at half tan(a / 2) beyond
  // the pin.
  const auto beyond = [&](std::size_t i) {
    if (i == 0 || i + 1 == points.size()) return 0.0;
    const Vec2 a = points[i] - points[i - 1];
    const Vec2 b = points[i + 1] - points[i];
    const double turn = std::atan2(std::abs(a.x * b.y - a.y * b.x), glm::dot(a, b));
    return half * std::tan(0.5 * std::min(turn, 2.0));
  };
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const Vec2 along = glm::normalize(points[i + 1] - points[i]);
    const Vec2 up(-along.y, along.x);
    const Vec2 from = points[i] - beyond(i) * along;
    const Vec2 to = points[i + 1] + beyond(i + 1) * along;
    mesh = shape::merged(std::move(mesh),
                         prism({from - half * up, to - half * up, to + half * up, from + half * up},
                               chain.outer_width));
  }
  return in_plan(std::move(mesh), chain, frame);
}

}  // namespace bight::chain
