// Arcs and the forces in a chain of them.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "chain/chain_shape_detail.h"

namespace bight::chain::shape_detail {
namespace {

double cross(const Vec2& a, const Vec2& b) {
  return a.x * b.y - a.y * b.x;
}

Vec2 rotated(const Vec2& v, double angle) {
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  return {c * v.x - s * v.y, s * v.x + c * v.y};
}

/// (x - sin(x)) / x^2 and (1 - cos(x)) / x^2.
double sine_lack(double x) {
  return std::abs(x) < 1e-3 ? x / 6.0 * (1.0 - x * x / 20.0) : (x - std::sin(x)) / (x * x);
}
double versine(double x) {
  const double half = sinc(0.5 * x);
  return 0.5 * half * half;
}

/// What the part beyond a point does to the part before it.
struct Section {
  Vec2 force{0.0};
  double moment = 0.0;
};

/// From the section at arc length `to` of an arc to the one at `from` < `to`.
Section carried_back(const Arc& arc, double from, double to, const Section& beyond, double weight,
                     const Vec2& gravity) {
  const Arc part{arc.kind, arc.point(from), arc.angle + arc.curvature * from, arc.curvature,
                 to - from};
  Section s = beyond;
  s.moment += cross(part.end() - part.start, beyond.force);
  if (arc.kind == PieceKind::lying) {  // what it lies on carries the weight across it
    const Vec2 along(std::cos(part.angle), std::sin(part.angle));
    s.force += weight * part.length * glm::dot(gravity, along) * along;
    return s;
  }
  s.force += weight * part.length * gravity;
  s.moment += weight * cross(part.first_moment(part.length), gravity);
  return s;
}

/// Unknown forces: at the last bracket, its moment, and contact at the ends of arcs.
struct Unknowns {
  Vec2 force{0.0};
  double moment = 0.0;
  std::vector<double> reactions;
};

/// Sections at the start and the end (before any contact force there) of each arc.
struct Sections {
  std::vector<Section> start, end;
};

Sections sections_of(const ArcChain& chain, const Unknowns& u, double weight, const Vec2& gravity) {
  const std::size_t n = chain.arcs.size();
  Sections all{std::vector<Section>(n), std::vector<Section>(n)};
  Section at{u.force, u.moment};
  for (std::size_t k = n; k-- > 0;) {
    at.force.y += u.reactions[k];
    all.end[k] = at;
    at = carried_back(chain.arcs[k], 0.0, chain.arcs[k].length, at, weight, gravity);
    all.start[k] = at;
  }
  return all;
}

/// Where a contact force can be: at the ends of lying pieces, but not at a bracket.
std::vector<std::size_t> contact_places(const ArcChain& chain) {
  std::vector<std::size_t> places;
  for (std::size_t k = 0; k + 1 < chain.arcs.size(); ++k) {
    if ((chain.arcs[k].kind == PieceKind::lying) != (chain.arcs[k + 1].kind == PieceKind::lying)) {
      places.push_back(k);
    }
  }
  return places;
}

/// What has to be 0: M where arcs join, and the force across each lying piece.
std::vector<double> unbalanced(const ArcChain& chain, const Sections& s, double length) {
  std::vector<double> all;
  for (std::size_t k = 0; k < chain.arcs.size(); ++k) {
    if (chain.arcs[k].kind == PieceKind::lying) all.push_back(s.start[k].force.y * length);
    // M = 0 at both ends of a lying piece is one condition, not two: nothing acts across it.
    const bool next_lies = k + 1 < chain.arcs.size() && chain.arcs[k + 1].kind == PieceKind::lying;
    if (k + 1 < chain.arcs.size() && !next_lies) all.push_back(s.end[k].moment);
  }
  return all;
}

constexpr std::size_t k_most = 8;  // unknowns

/// Gaussian elimination with scaled partial pivoting; false when singular.
bool solve_dense(std::array<std::array<double, k_most + 1>, k_most>& m, std::size_t n) {
  for (std::size_t r = 0; r < n; ++r) {
    double largest = 0.0;
    for (std::size_t c = 0; c < n; ++c) largest = std::max(largest, std::abs(m[r][c]));
    if (!(largest > 0.0)) return false;
    for (std::size_t c = 0; c <= n; ++c) m[r][c] /= largest;
  }
  for (std::size_t c = 0; c < n; ++c) {
    std::size_t pivot = c;
    for (std::size_t r = c + 1; r < n; ++r) {
      if (std::abs(m[r][c]) > std::abs(m[pivot][c])) pivot = r;
    }
    if (!(std::abs(m[pivot][c]) > 1e-13)) return false;
    std::swap(m[pivot], m[c]);
    for (std::size_t r = 0; r < n; ++r) {
      if (r == c) continue;
      const double factor = m[r][c] / m[c][c];
      for (std::size_t k = c; k <= n; ++k) m[r][k] -= factor * m[c][k];
    }
  }
  for (std::size_t r = 0; r < n; ++r) m[r][n] /= m[r][r];
  return true;
}

}  // namespace

double sinc(double x) {
  return std::abs(x) < 1e-4 ? 1.0 - x * x / 6.0 : std::sin(x) / x;
}

double versinc(double x) {
  return std::sin(0.5 * x) * sinc(0.5 * x);
}

Vec2 Arc::point(double s) const {
  const double turn = curvature * s;
  return start + rotated(s * Vec2(sinc(turn), versinc(turn)), angle);
}

Vec2 Arc::first_moment(double s) const {
  const double turn = curvature * s;
  return rotated(s * s * Vec2(versine(turn), sine_lack(turn)), angle);
}

int drawing_steps(double length, double curvature, double pitch) {
  constexpr double k_most_turn = 5.0 * std::numbers::pi / 180.0;
  const double steps = std::max(length / pitch, std::abs(curvature) * length / k_most_turn);
  return std::max(1, static_cast<int>(std::ceil(steps)));
}

void ArcChain::add(PieceKind kind, double curvature, double length) {
  Arc arc{kind, {0.0, 0.0}, 0.0, curvature, length};
  if (!arcs.empty()) {
    arc.start = arcs.back().end();
    arc.angle = arcs.back().end_angle();
  }
  arcs.push_back(arc);
}

ArcForces arc_forces(const ArcChain& chain, double weight, const Vec2& gravity) {
  ArcForces result;
  const std::vector<std::size_t> places = contact_places(chain);
  double length = 0.0;
  for (const Arc& arc : chain.arcs) length += arc.length;
  const std::size_t n = 2 + (chain.bracket_at_stop ? 1U : 0U) + places.size();
  // Forces in units of the chain's weight, moments of weight x length.
  const double force = weight * length;
  Unknowns unknowns;
  unknowns.reactions.assign(chain.arcs.size(), 0.0);
  const auto unknown = [&](std::size_t i) -> double& {
    if (i < 2) return i == 0 ? unknowns.force.x : unknowns.force.y;
    if (chain.bracket_at_stop) return i == 2 ? unknowns.moment : unknowns.reactions[places[i - 3]];
    return unknowns.reactions[places[i - 2]];
  };
  const auto scale = [&](std::size_t i) {
    return chain.bracket_at_stop && i == 2 ? force * length : force;
  };
  const std::vector<double> at_zero =
      unbalanced(chain, sections_of(chain, unknowns, weight, gravity), length);
  if (at_zero.size() != n || n > k_most) return result;
  std::array<std::array<double, k_most + 1>, k_most> m{};
  for (std::size_t i = 0; i < n; ++i) {
    unknown(i) = scale(i);
    const std::vector<double> one =
        unbalanced(chain, sections_of(chain, unknowns, weight, gravity), length);
    unknown(i) = 0.0;
    for (std::size_t r = 0; r < n; ++r) m[r][i] = one[r] - at_zero[r];
  }
  for (std::size_t r = 0; r < n; ++r) m[r][n] = -at_zero[r];
  if (!solve_dense(m, n)) return result;
  for (std::size_t i = 0; i < n; ++i) unknown(i) = scale(i) * m[i][n];

  const Sections sections = sections_of(chain, unknowns, weight, gravity);
  result.found = true;
  result.end_force = unknowns.force;
  result.end_moment = unknowns.moment;
  result.start_force = -sections.start.front().force;
  result.start_moment = sections.start.front().moment;
  result.reactions = unknowns.reactions;
  for (const double reaction : unknowns.reactions) {
    result.wrong_sign = std::max(result.wrong_sign, -reaction / force);
  }
  for (std::size_t k = 0; k < chain.arcs.size(); ++k) {
    const Arc& arc = chain.arcs[k];
    if (arc.kind == PieceKind::lying) {
      result.lying_N += weight * arc.length * -gravity.y;
      continue;
    }
    constexpr int k_looks = 16;  // M is smooth along an arc
    for (int i = 0; i <= k_looks; ++i) {
      const double from = arc.length * i / k_looks;
      const double moment =
          carried_back(arc, from, arc.length, sections.end[k], weight, gravity).moment;
      const double wrong = arc.kind == PieceKind::fold ? -moment : moment;
      result.wrong_sign = std::max(result.wrong_sign, wrong / (force * length));
    }
  }
  return result;
}

}  // namespace bight::chain::shape_detail
