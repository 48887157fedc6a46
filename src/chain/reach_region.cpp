#include "chain/reach_region.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace bight::chain {
namespace {

using std::numbers::pi;

constexpr double k_minus_infinity = -std::numeric_limits<double>::infinity();

/// Directions in which the region is bounded: the outline of a circle is 1 % larger than it.
constexpr int k_directions = 24;
/// Into how many parts the turn of a joint is cut: where in it the extreme lies is not known.
constexpr int k_turn_parts = 8;
/// rad. Directions that are reached up to rounding count as reached.
constexpr double k_angle_rounding = 1e-9;

/// Greatest cosine of an angle between two (rad).
double greatest_cosine(double low, double high) {
  const double full = 2.0 * pi;
  if (std::ceil(low / full) * full <= high) return 1.0;
  return std::max(std::cos(low), std::cos(high));
}

/// Turns that the joints allow, both above or equal to 0, and how many links there are.
struct Joints {
  int links;
  double fold;
  double back;
  // Every link keeps the directions that the brackets leave to some link.
  double least() const { return -links * back; }
  double greatest() const { return std::min(links * fold, pi + links * back); }
};

/// How far the pins can be from a bracket in the direction `phi` (rad, against the bracket's own),
/// in pitches: for each number k of links the sum over them of the greatest cosine that both the
/// bracket, k - i links away, and the direction of the last link, in [low, high], allow.
class FromBracket {
 public:
  FromBracket(const Joints& joints, double phi) : joints_(joints), phi_(phi), from_bracket_{0.0} {
    for (int j = 1; j <= joints.links; ++j) {
      from_bracket_.push_back(from_bracket_.back() + cosine(-j * joints.back, j * joints.fold));
    }
  }

  /// For k = 0...links; minus infinity where the last link cannot have such a direction.
  std::vector<double> reach(double low, double high) const {
    const auto links = static_cast<std::size_t>(joints_.links);
    std::vector<double> result(links + 1, k_minus_infinity);
    if (high < joints_.least() - k_angle_rounding || low > joints_.greatest() + k_angle_rounding) {
      return result;
    }
    std::vector<double> from_turn{0.0};
    // Cosines grow with the distance from the bracket and with that from the turn, so up to some
    // link the bracket decides, beyond it the turn; with more links that link moves on. Any other
    // choice would be a bound, too.
    std::size_t split = 0;
    for (std::size_t k = 1; k <= links; ++k) {
      const double i = static_cast<double>(k) - 1.0;
      from_turn.push_back(from_turn.back() +
                          cosine(low - i * joints_.fold, high + i * joints_.back));
      while (split < k && from_bracket_[split + 1] - from_bracket_[split] <=
                              from_turn[k - split] - from_turn[k - split - 1]) {
        ++split;
      }
      const double links_before = static_cast<double>(k);
      if (low > links_before * joints_.fold + k_angle_rounding ||
          high < -links_before * joints_.back - k_angle_rounding) {
        continue;
      }
      result[k] = from_bracket_[split] + from_turn[k - split];
    }
    return result;
  }

 private:
  double cosine(double low, double high) const {
    return greatest_cosine(std::max(low, joints_.least()) - phi_,
                           std::min(high, joints_.greatest()) - phi_);
  }

  Joints joints_;
  double phi_;
  std::vector<double> from_bracket_;  ///< sums over the first links
};

/// An extreme pin: no farther from the fixed bracket than the one, from the moving one than the
/// other.
struct Extreme {
  double from_fixed = 0.0;
  double from_moving = 0.0;
};

/// Those that are not less than another one in both.
std::vector<Extreme> outermost(std::vector<Extreme> all) {
  std::sort(all.begin(), all.end(), [](const Extreme& a, const Extreme& b) {
    return a.from_fixed > b.from_fixed ||
           (a.from_fixed == b.from_fixed && a.from_moving > b.from_moving);
  });
  std::vector<Extreme> kept;
  for (const Extreme& e : all) {
    if (kept.empty() || e.from_moving > kept.back().from_moving) kept.push_back(e);
  }
  return kept;
}

/// All extreme pins between the brackets in the direction `phi`, in mm. Seen from its moving end
/// and reflected, a chain is one of the same kind: link directions theta become pi - theta.
std::vector<Extreme> extremes(const Joints& joints, double pitch, double phi) {
  const FromBracket fixed(joints, phi);
  const FromBracket moving(joints, -phi);
  std::vector<Extreme> all;
  const auto add = [&](const std::vector<double>& before, const std::vector<double>& after) {
    const auto links = static_cast<std::size_t>(joints.links);
    for (std::size_t k = 1; k < links; ++k) {
      if (std::isinf(before[k]) || std::isinf(after[links - k])) continue;
      all.push_back({pitch * before[k], pitch * after[links - k]});
    }
  };
  for (const bool folding : {true, false}) {
    // The joint's turn takes its links across the right angle to the direction: by up to `a` before
    // it, up to turn - a after it.
    const double turn = folding ? joints.fold : joints.back;
    const double across = phi + (folding ? 0.5 * pi : -0.5 * pi);
    const auto first = static_cast<int>(std::floor((joints.least() - across) / (2.0 * pi)));
    const auto last = static_cast<int>(std::ceil((joints.greatest() - across) / (2.0 * pi)));
    const int parts = turn > 0.0 ? k_turn_parts : 1;
    for (int round = first; round <= last; ++round) {
      const double at = across + 2.0 * pi * round;
      for (int part = 0; part < parts; ++part) {
        const double a0 = turn * part / parts;
        const double a1 = turn * (part + 1) / parts;
        const double b1 = turn - a0;
        if (folding) {
          add(fixed.reach(at - a1, at - a0), moving.reach(pi - at - b1, pi - at));
        } else {
          add(fixed.reach(at + a0, at + a1), moving.reach(pi - at, pi - at + b1));
        }
      }
    }
  }
  return outermost(std::move(all));
}

struct Direction {
  Vec2 unit{0.0};
  std::vector<Extreme> extremes;
};

/// The part of a convex polygon with normal . x <= offset.
std::vector<Vec2> cut(const std::vector<Vec2>& polygon, const Vec2& normal, double offset) {
  std::vector<Vec2> kept;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vec2& a = polygon[i];
    const Vec2& b = polygon[(i + 1) % polygon.size()];
    const double at_a = glm::dot(normal, a) - offset;
    const double at_b = glm::dot(normal, b) - offset;
    if (at_a <= 0.0) kept.push_back(a);
    if ((at_a < 0.0 && at_b > 0.0) || (at_a > 0.0 && at_b < 0.0)) {
      kept.push_back(a + at_a / (at_a - at_b) * (b - a));
    }
  }
  return kept;
}

class Region {
 public:
  explicit Region(const ReachProblem& problem) : p_(problem) {
    length_ = p_.links * p_.pitch_mm;
    const auto turn = [&](double radius) {
      return 2.0 * std::asin(std::min(1.0, 0.5 * p_.pitch_mm / radius));
    };
    const Joints joints{p_.links, turn(p_.bend_radius_mm),
                        p_.back_radius_mm ? turn(*p_.back_radius_mm) : 0.0};
    for (int i = 0; i < k_directions; ++i) {
      const double phi = 2.0 * pi * i / k_directions - pi;
      directions_.push_back({{std::cos(phi), std::sin(phi)}, extremes(joints, p_.pitch_mm, phi)});
    }
  }

  /// Foremost link at one place of the moving pin.
  double front(double moving) const {
    double front = k_minus_infinity;
    for (const Direction& d : directions_) {
      if (d.unit.x > 1.0 - 1e-12) front = support(d, {moving, moving}, 0.0);
    }
    return front;
  }

  /// What holds the chain for all x_M of the interval in a frame that moves at the rate.
  std::vector<Vec2> outline(const std::array<double, 2>& moving, double rate) const {
    const double far = 2.0 * (length_ + p_.height_mm + std::abs(moving[0]) + std::abs(moving[1]));
    std::vector<Vec2> polygon{{-far, -far}, {far, -far}, {far, far}, {-far, far}};
    for (const Direction& d : directions_) {
      polygon = cut(polygon, d.unit, support(d, moving, rate));
    }
    return polygon;
  }

 private:
  /// Greatest extent of the chain in a direction over an interval of x_M, in a moving frame.
  double support(const Direction& d, const std::array<double, 2>& moving, double rate) const {
    const auto most = [&](double factor) {
      return std::max(factor * moving[0], factor * moving[1]);
    };
    const double to_fixed = -rate * d.unit.x;
    const double to_moving = (1.0 - rate) * d.unit.x;
    const double up = p_.height_mm * d.unit.y;
    double extent = std::max(most(to_fixed), most(to_moving) + up);
    for (const Extreme& e : d.extremes) {
      // The smaller of two lines over x_M; their mean that does not change with it is no less.
      const double mean = (1.0 - rate) * e.from_fixed + rate * (up + e.from_moving);
      extent = std::max(extent, std::min({most(to_fixed) + e.from_fixed,
                                          most(to_moving) + up + e.from_moving, mean}));
    }
    // The ellipse: half its extent is sqrt(L^2 - (distance of the foci across the direction)^2)
    // / 2.
    const double across0 = moving[0] * d.unit.y - p_.height_mm * d.unit.x;
    const double across1 = moving[1] * d.unit.y - p_.height_mm * d.unit.x;
    const double across =
        across0 * across1 <= 0.0 ? 0.0 : std::min(std::abs(across0), std::abs(across1));
    const double ellipse = most((0.5 - rate) * d.unit.x) + 0.5 * up +
                           0.5 * std::sqrt(std::max(0.0, length_ * length_ - across * across));
    extent = std::min(extent, ellipse);
    if (p_.least_y_mm && d.unit.y < -1.0 + 1e-12) extent = std::min(extent, -*p_.least_y_mm);
    if (p_.greatest_y_mm && d.unit.y > 1.0 - 1e-12) extent = std::min(extent, *p_.greatest_y_mm);
    constexpr double k_rounding = 1e-10;  // of the length
    return extent + p_.half_thickness_mm + k_rounding * length_;
  }

  ReachProblem p_;
  double length_ = 0.0;
  std::vector<Direction> directions_;
};

bool valid(const ReachProblem& p) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0.0; };
  return p.links >= 2 && p.links <= k_reach_links_limit && positive(p.pitch_mm) &&
         positive(p.bend_radius_mm) && positive(p.back_radius_mm.value_or(1.0)) &&
         positive(p.height_mm) && std::isfinite(p.moving_mm[0]) && std::isfinite(p.moving_mm[1]) &&
         p.moving_mm[0] <= p.moving_mm[1] && std::isfinite(p.half_thickness_mm);
}

}  // namespace

std::vector<ReachPiece> reach_pieces(const ReachProblem& problem) {
  std::vector<ReachPiece> pieces;
  if (!valid(problem)) return pieces;
  const Region region(problem);
  const auto [low, high] = problem.moving_mm;
  // Parts of the travel, each short beside the bend: what does not move at one of the three rates
  // exactly (slanting sides) is held for a part at once.
  constexpr double k_most_parts = 64.0;
  const int parts = static_cast<int>(
      std::clamp(std::ceil((high - low) / problem.bend_radius_mm), 1.0, k_most_parts));
  const auto add = [&](std::vector<Vec2> outline, double rate, const std::array<double, 2>& part) {
    if (outline.size() >= 3) pieces.push_back({std::move(outline), rate, part});
  };
  for (int i = 0; i < parts; ++i) {
    const double x0 = low + (high - low) * i / parts;
    const double x1 = i + 1 == parts ? high : low + (high - low) * (i + 1) / parts;
    const std::array<double, 2> part{x0, x1};
    // Behind the fixed pin, where the moving one is beyond it, the region ends with that; before
    // the bend it stands still; the rest goes with the bend.
    const double behind = std::min(0.0, x1);
    const double bend = std::max(behind, region.front(x0) - 2.0 * problem.bend_radius_mm);
    std::vector<Vec2> still = cut(region.outline(part, 0.0), {1.0, 0.0}, bend);
    if (x0 < 0.0) {
      still = cut(still, {-1.0, 0.0}, -behind);
      add(cut(region.outline(part, 1.0), {1.0, 0.0}, behind - x0), 1.0, part);
    }
    add(std::move(still), 0.0, part);
    add(cut(region.outline(part, 0.5), {-1.0, 0.0}, 0.5 * x1 - bend), 0.5, part);
  }
  return pieces;
}

}  // namespace bight::chain
