#include "chain/chain_bodies.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>

#include "chain/rolling_chain.h"
#include "shape/mesh.h"

namespace bight::chain {
namespace {

using std::numbers::pi;
using test::k_lies;
using test::make_rig;
using test::Rig;

/// Solid angle of a closed mesh over 4 pi: 1 inside, 0 outside (van Oosterom and Strackee 1983).
double winding(const shape::Mesh& mesh, const Vec3& p) {
  double sum = 0.0;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertices[t[0]] - p;
    const Vec3 b = mesh.vertices[t[1]] - p;
    const Vec3 c = mesh.vertices[t[2]] - p;
    const double la = glm::length(a);
    const double lb = glm::length(b);
    const double lc = glm::length(c);
    sum += 2.0 *
           std::atan2(glm::dot(a, glm::cross(b, c)), la * lb * lc + glm::dot(a, b) * lc +
                                                         glm::dot(b, c) * la + glm::dot(c, a) * lb);
  }
  return sum / (4.0 * pi);
}

Vec3 moved_by(const ChainPiece& piece, const std::vector<double>& pose) {
  Vec3 t(0.0);
  for (std::size_t j = 0; j < pose.size(); ++j) t += pose[j] * piece.motion[j];
  return t;
}

/// The pieces that count at a pose, with their boxes, for many point queries.
class PiecesAtPose {
 public:
  PiecesAtPose(const ChainBodies& bodies, const std::vector<double>& pose) {
    const double q = pose[bodies.frame.joint];
    for (const ChainPiece& piece : bodies.pieces) {
      if (q < piece.interval[0] - 1e-9 || q > piece.interval[1] + 1e-9) continue;
      pieces_.push_back(&piece);
      moves_.push_back(moved_by(piece, pose));
      boxes_.push_back(grown(translated(shape::bounds(piece.mesh), moves_.back()), 1e-9));
    }
  }

  bool contain(const Vec3& p) const {
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
      if (!overlap(boxes_[i], Box{p, p})) continue;
      if (winding(pieces_[i]->mesh, p - moves_[i]) > 0.5) return true;
    }
    return false;
  }

  const std::vector<const ChainPiece*>& pieces() const { return pieces_; }
  const std::vector<Vec3>& moves() const { return moves_; }
  const std::vector<Box>& boxes() const { return boxes_; }

 private:
  std::vector<const ChainPiece*> pieces_;
  std::vector<Vec3> moves_;
  std::vector<Box> boxes_;
};

/// Outline of the links in loop coordinates: straight plates of height h between pins, round about
/// the pins (the outermost round ends lie in the brackets), drawn in by a hair so that points are
/// never on a surface.
std::vector<Vec2> outline(const std::vector<Vec2>& pins, double height) {
  const double half = 0.5 * height - 1e-6;
  std::vector<Vec2> points;
  for (std::size_t k = 0; k + 1 < pins.size(); ++k) {
    const Vec2 along = glm::normalize(pins[k + 1] - pins[k]);
    const Vec2 up(-along.y, along.x);
    for (int i = 0; i <= 4; ++i) {
      const double share = 1e-7 + (1.0 - 2e-7) * i / 4.0;
      const Vec2 middle = pins[k] + share * (pins[k + 1] - pins[k]);
      for (const double side : {-half, 0.0, half}) points.push_back(middle + side * up);
    }
    if (k == 0) continue;
    for (int i = 0; i < 16; ++i) {
      const double f = 2.0 * pi * i / 16;
      points.push_back(pins[k] + half * Vec2(std::cos(f), std::sin(f)));
    }
  }
  return points;
}

Vec3 in_plan(const ChainFrame& frame, const Vec3& origin, double x, double y, double z) {
  return origin + x * frame.along + y * frame.normal + z * frame.across;
}

/// Checks that the links lie in the pieces; `radius` is that of the pins' circle.
void expect_links_inside(const Rig& rig, const ChainBodies& bodies, double q) {
  const std::vector<double> pose{77.0, q};
  const ChainFrame& frame = bodies.frame;
  const PiecesAtPose pieces(bodies, pose);
  const Vec3 origin = rig.chain.fixed_at + 77.0 * rig.machine.bodies[1].motion[0];
  const double moving = frame.offset_mm + frame.rate * q;
  const std::vector<Vec2> pins =
      test::true_pins(moving, rig.chain.bend_radius, rig.chain.pitch, frame.size.links);
  ASSERT_NEAR(pins.back().x, moving, 1e-6);
  ASSERT_NEAR(pins.back().y, frame.height_mm, 1e-6);
  const double z = 0.5 * rig.chain.outer_width - 1e-6;
  std::size_t outside = 0;
  for (const Vec2& p : outline(pins, rig.chain.outer_height)) {
    // The first and last links' plates end at the pins in the brackets.
    for (const double side : {-z, z}) {
      if (!pieces.contain(in_plan(frame, origin, p.x, p.y, side))) ++outside;
    }
  }
  EXPECT_EQ(outside, 0U) << "at q = " << q;
}

TEST(ChainBodies, ContainTheLinksAtEveryPose) {
  for (const test::Lie& lie : k_lies) {
    SCOPED_TRACE(lie.name);
    const Rig rig = make_rig(lie);
    const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
    ASSERT_EQ(bodies.frame.status, ChainStatus::ok) << bodies.frame.problem;
    for (int k = 0; k <= 8; ++k) expect_links_inside(rig, bodies, -350.0 + 100.0 * k);
  }
}

TEST(ChainBodies, ContainTheLinksAtFinelySpacedPoses) {
  // Steps of an irrational fraction of the pitch meet the bend at every phase of the links.
  const Rig rig = make_rig(k_lies[0], -1.0);
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  for (double q = -350.0; q <= 450.0; q += std::sqrt(500.0)) expect_links_inside(rig, bodies, q);
}

TEST(ChainBodies, ContainTheLinksOfRandomChains) {
  std::mt19937 random(11);  // its sequence is fixed by the standard
  const auto pick = [&random](double low, double high) {
    return low + (high - low) * static_cast<double>(random()) / 4294967295.0;
  };
  for (int round = 0; round < 12; ++round) {
    SCOPED_TRACE(round);
    const test::Lie& lie = k_lies[random() % k_lies.size()];
    Rig rig = make_rig(lie, random() % 2 == 0 ? 1.0 : -1.0);
    rig.chain.pitch = pick(12, 40);
    rig.chain.bend_radius = pick(1.0, 5.0) * rig.chain.pitch;
    rig.chain.outer_height = pick(0.4, 1.4) * rig.chain.pitch;
    rig.chain.end_straight = pick(0, 60);
    rig.chain.moving_at =
        rig.chain.fixed_at + pick(-500, 500) * lie.along + 2 * rig.chain.bend_radius * lie.normal;
    const ChainBodies bodies = chain_bodies(rig.chain, rig.machine, {.over_reach_mm = pick(1, 12)});
    ASSERT_EQ(bodies.frame.status, ChainStatus::ok) << bodies.frame.problem;
    for (int k = 0; k < 4; ++k) expect_links_inside(rig, bodies, pick(-350, 450));
    expect_links_inside(rig, bodies, -350);
    expect_links_inside(rig, bodies, 450);
  }
}

TEST(ChainBodies, ContainTheLinksOfAPolygonTurn) {
  // Middles of the links on R: 12 joints at their limit of 15 deg, first joint at a whole pitch.
  const int joints = 12;
  const LinkPolygon polygon = link_polygon(20, joints);
  Rig rig = make_rig(k_lies[0]);
  rig.chain.bend_radius = polygon.middles_radius_mm;
  rig.chain.moving_at =
      rig.chain.fixed_at - 37.0 * k_lies[0].along + Vec3(0, 0, polygon.run_distance_mm);
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  ASSERT_EQ(bodies.frame.status, ChainStatus::ok) << bodies.frame.problem;
  const int links = bodies.frame.size.links;
  int poses = 0;
  for (int first = 1; first + joints < links; ++first) {
    std::vector<Vec2> pins{{0, 0}};
    double heading = 0.0;
    for (int k = 0; k < links; ++k) {
      if (k >= first && k < first + joints) heading += pi / joints;
      pins.push_back(pins.back() + 20.0 * Vec2(std::cos(heading), std::sin(heading)));
    }
    const double q = (pins.back().x - bodies.frame.offset_mm) / bodies.frame.rate;
    if (q < -350.0 || q > 450.0) continue;
    ++poses;
    const PiecesAtPose pieces(bodies, {0.0, q});
    std::size_t outside = 0;
    for (const Vec2& p : outline(pins, rig.chain.outer_height)) {
      if (!pieces.contain(in_plan(bodies.frame, rig.chain.fixed_at, p.x, p.y, 24.999))) ++outside;
    }
    EXPECT_EQ(outside, 0U) << "first joint " << first;
  }
  EXPECT_GE(poses, 15);
}

/// Distance from the pitch line of the ideal loop in its plane.
double distance_to_loop(const ChainFrame& frame, double moving, const Vec2& p) {
  const double radius = frame.loop.bend_radius_mm;
  const LoopPose pose = loop_at(frame.loop, frame.size.length_mm, moving);
  const double on_fixed = std::clamp(p.x, 0.0, pose.bend_mm);
  const double on_moving = std::clamp(p.x, moving, pose.bend_mm);
  double least =
      std::min(glm::length(p - Vec2(on_fixed, 0.0)), glm::length(p - Vec2(on_moving, 2 * radius)));
  const Vec2 from_centre = p - Vec2(pose.bend_mm, radius);
  if (from_centre.x >= 0.0) {
    least = std::min(least, std::abs(glm::length(from_centre) - radius));
  }
  return least;
}

TEST(ChainBodies, ReachBeyondTheChainOnlyByWhatTheySay) {
  const double over_reach = 5.0;
  for (const test::Lie& lie : k_lies) {
    SCOPED_TRACE(lie.name);
    const Rig rig = make_rig(lie);
    const ChainBodies bodies = chain_bodies(rig.chain, rig.machine, {.over_reach_mm = over_reach});
    EXPECT_LT(bodies.polygon_allowance_mm, 3.0);
    // Chord errors of the facets, as tolerated.
    const double allowed = over_reach + bodies.polygon_allowance_mm + 0.06;
    double worst = 0.0;
    for (int k = 0; k <= 40; ++k) {
      const std::vector<double> pose{0.0, -350.0 + 20.0 * k};
      const double moving = bodies.frame.offset_mm + bodies.frame.rate * pose[1];
      const PiecesAtPose pieces(bodies, pose);
      for (std::size_t i = 0; i < pieces.pieces().size(); ++i) {
        const shape::Mesh& mesh = pieces.pieces()[i]->mesh;
        for (const auto& t : mesh.triangles) {  // corners and middles of all facets
          const Vec3 a = mesh.vertices[t[0]];
          const Vec3 b = mesh.vertices[t[1]];
          const Vec3 c = mesh.vertices[t[2]];
          for (const Vec3& v : {a, 0.5 * (a + b), (a + b + c) / 3.0}) {
            const Vec3 off = v + pieces.moves()[i] - rig.chain.fixed_at;
            const Vec2 p(glm::dot(off, bodies.frame.along), glm::dot(off, bodies.frame.normal));
            worst = std::max(
                worst, distance_to_loop(bodies.frame, moving, p) - 0.5 * rig.chain.outer_height);
            EXPECT_LE(std::abs(glm::dot(off, bodies.frame.across)),
                      0.5 * rig.chain.outer_width + 1e-9);
          }
        }
      }
    }
    EXPECT_LE(worst, allowed);
    EXPECT_GT(worst, 0.1);  // the bound is not idle
  }
}

TEST(ChainBodies, AreClosedPointOutwardAndFew) {
  const Rig rig = make_rig(k_lies[4]);
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  std::map<std::string, int> count;
  for (const ChainPiece& piece : bodies.pieces) {
    ++count[piece.name];
    EXPECT_GT(shape::signed_volume(piece.mesh), 0.0);
    EXPECT_LT(piece.interval[0], piece.interval[1]);
    std::map<std::pair<std::uint32_t, std::uint32_t>, int> edges;
    for (const auto& t : piece.mesh.triangles) {
      for (int e = 0; e < 3; ++e) {
        ++edges[{t[static_cast<std::size_t>(e)], t[static_cast<std::size_t>((e + 1) % 3)]}];
      }
    }
    for (const auto& [edge, times] : edges) {
      EXPECT_EQ(times, 1);
      EXPECT_EQ(edges.count({edge.second, edge.first}), 1U);
    }
  }
  EXPECT_EQ(count.size(), 3U);
  EXPECT_EQ(count["Y chain bend"], 1);
  EXPECT_LE(bodies.pieces.size(), 40U);
}

TEST(ChainBodies, TheBendMovesByHalfTheJointAndFullyWithTheRest) {
  const Rig rig = make_rig(k_lies[1]);
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  const auto bend = std::find_if(bodies.pieces.begin(), bodies.pieces.end(),
                                 [](const ChainPiece& p) { return p.part == ChainPart::bend; });
  ASSERT_NE(bend, bodies.pieces.end());
  EXPECT_EQ(bend->motion[0], rig.machine.bodies[1].motion[0]);
  EXPECT_NEAR(glm::length(bend->motion[1] - 0.5 * k_lies[1].along), 0.0, 1e-15);
  EXPECT_NEAR(bend->interval[0], -350, 1e-9);
  EXPECT_NEAR(bend->interval[1], 450, 1e-9);
}

TEST(ChainBodies, TheIntervalsOfARunCoverTheTravelWithoutGap) {
  const Rig rig = make_rig(k_lies[0]);
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  for (const ChainPart part : {ChainPart::fixed_run, ChainPart::moving_run}) {
    std::vector<std::array<double, 2>> intervals;
    for (const ChainPiece& piece : bodies.pieces) {
      if (piece.part == part) intervals.push_back(piece.interval);
    }
    std::sort(intervals.begin(), intervals.end());
    double covered = -350.0;
    for (const auto& [low, high] : intervals) {
      EXPECT_LE(low, covered + 1e-9);
      covered = std::max(covered, high);
    }
    EXPECT_NEAR(covered, 450.0, 1e-9);
  }
}

TEST(ChainBodies, AChainThatCannotRollHasNone) {
  Rig rig = make_rig(k_lies[0]);
  rig.chain.moving_at.z += 30;
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  EXPECT_EQ(bodies.frame.status, ChainStatus::bracket_too_high);
  EXPECT_TRUE(bodies.pieces.empty());
}

TEST(ChainBodies, AHighLinkInATightBendFillsTheHollow) {
  Rig rig = make_rig(k_lies[0]);
  rig.chain.bend_radius = 16;
  rig.chain.pitch = 16;
  rig.chain.outer_height = 30;
  rig.chain.moving_at = rig.chain.fixed_at + Vec3(-37, 0, 32);
  const ChainBodies bodies = chain_bodies(rig.chain, rig.machine);
  ASSERT_EQ(bodies.frame.status, ChainStatus::ok) << bodies.frame.problem;
  for (double q : {-350.0, 3.0, 450.0}) expect_links_inside(rig, bodies, q);
}

}  // namespace
}  // namespace bight::chain
