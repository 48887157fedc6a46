#include "line/circle_packing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "line/lbfgs.h"

namespace bight::line {
namespace {

// All lengths inside are in units of the mean wall distance times two (a mean diameter).

/// Stiffness of contacts, in objective per unit length squared, in turn: soft contacts let circles
/// pass each other, which smooths the landscape; the last is stiff enough to tell packings apart.
constexpr std::array<double, 3> k_stiffness{3.0, 30.0, 400.0};
/// For the multipliers: their error shrinks by about 1/stiffness a round.
constexpr double k_sharp_stiffness = 2000.0;
constexpr int k_multiplier_rounds = 8;
/// Violation from which Newton steps converge at once.
constexpr double k_sharp_enough = 1e-8;
/// Candidates from the starts that are sharpened: their estimates differ from the truth by 1e-5.
constexpr std::size_t k_finalists = 4;
/// A start whose estimate misses `enough` by no more than this is sharpened at once. Estimates of
/// loose packings (three circles in a square) are too high by 0.011.
constexpr double k_hopeful = 0.03;

/// The same numbers on every platform (the standard's distributions are not specified).
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}
  /// Uniform in [0, 1): splitmix64 (Steele, Lea, Flood 2014).
  double uniform() {
    state_ += 0x9e3779b97f4a7c15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
    z ^= z >> 31U;
    return static_cast<double>(z >> 11U) * 0x1.0p-53;
  }
  std::size_t below(std::size_t n) {
    return std::min(n - 1, static_cast<std::size_t>(uniform() * static_cast<double>(n)));
  }

 private:
  std::uint64_t state_;
};

/// A contact that bears force, for the Newton steps: gradient by variable, value, measure's share.
struct Contact {
  std::size_t first = 0;
  std::optional<std::size_t> second;
  Vec2 normal{0.0};   ///< d(violation)/d(centre first); minus that for the second
  double on_s = 0.0;  ///< d(violation)/ds
  double violation = 0.0;
};

class Packer {
 public:
  explicit Packer(const PackingProblem& problem)
      : goal_(problem.goal),
        count_(problem.wall_mm.size()),
        lbfgs_(2 * count_ + 1),
        random_(0x62696768745061ULL + count_) {
    double sum = 0.0;
    for (const double w : problem.wall_mm) sum += w;
    unit_ = 2.0 * sum / static_cast<double>(count_);
    BIGHT_CHECK(unit_ > 0.0 && std::isfinite(unit_));
    BIGHT_CHECK(problem.apart_mm.size() == count_ * count_);
    width_ = problem.size_mm.x / unit_;
    height_ = problem.size_mm.y / unit_;
    for (const double w : problem.wall_mm) wall_.push_back(w / unit_);
    for (const double a : problem.apart_mm) apart_.push_back(a / unit_);
    fixed_.assign(count_, 0);
    given_.assign(count_, Vec2(0.0));
    for (std::size_t i = 0; i < problem.fixed_mm.size(); ++i) {
      if (!problem.fixed_mm[i]) continue;
      fixed_[i] = 1;
      given_[i] = *problem.fixed_mm[i] / unit_;
    }
    pair_force_.assign(count_ * count_, 0.0);
    wall_force_.assign(4 * count_, 0.0);
  }

  PackingResult run(const PackingOptions& options);

 private:
  using Values = std::vector<double>;  ///< x0 y0 x1 y1 ... s

  double pair_on_s() const { return goal_ == PackingGoal::most_room ? -1.0 : 0.0; }
  std::size_t walls() const { return goal_ == PackingGoal::smallest_circle ? 1 : 4; }

  /// Visits the violated-or-loaded contacts: visit(index of force, Contact). `slack` widens it.
  template <typename Visit>
  void visit_contacts(std::span<const double> z, double inverse_stiffness, Visit visit) const;

  double value(std::span<const double> z, std::span<double> gradient, double stiffness) const;
  double violation(const Values& z) const;
  double overlap(const Values& z) const;
  double measured(const Values& z) const;
  void forget_forces();
  Values random_start();
  Values shuffled(const Values& from);
  Values start_from(const std::vector<Vec2>& centres);
  double settle(Values& z);
  void sharpen(Values& z);
  void newton(Values& z) const;
  void make_feasible(Values& z) const;

  PackingGoal goal_;
  std::size_t count_;
  double unit_ = 1.0;
  double width_ = 0.0;
  double height_ = 0.0;
  std::vector<double> wall_, apart_;
  std::vector<char> fixed_;
  std::vector<Vec2> given_;
  std::vector<double> pair_force_, wall_force_;
  Lbfgs lbfgs_;
  Random random_;
};

template <typename Visit>
void Packer::visit_contacts(std::span<const double> z, double inverse_stiffness,
                            Visit visit) const {
  const double s = z[2 * count_];
  const double pair_s = pair_on_s();
  for (std::size_t i = 0; i < count_; ++i) {
    for (std::size_t j = i + 1; j < count_; ++j) {
      if (fixed_[i] != 0 && fixed_[j] != 0) continue;
      const std::size_t k = i * count_ + j;
      const double reach = apart_[k] + pair_s * s + pair_force_[k] * inverse_stiffness;
      const double dx = z[2 * i] - z[2 * j];
      const double dy = z[2 * i + 1] - z[2 * j + 1];
      const double d2 = dx * dx + dy * dy;
      if (reach <= 0.0 || d2 >= reach * reach) continue;
      const double d = std::sqrt(d2);
      const Vec2 normal = d > 0.0 ? Vec2(-dx / d, -dy / d) : Vec2(1.0, 0.0);
      visit(k, Contact{i, j, normal, pair_s, reach - d});
    }
  }
  for (std::size_t i = 0; i < count_; ++i) {
    if (fixed_[i] != 0) continue;
    const double x = z[2 * i];
    const double y = z[2 * i + 1];
    const auto wall = [&](std::size_t side, double violation, Vec2 normal, double on_s) {
      const std::size_t k = 4 * i + side;
      const double loaded = violation + wall_force_[k] * inverse_stiffness;
      if (loaded > 0.0) visit(count_ * count_ + k, Contact{i, {}, normal, on_s, loaded});
    };
    if (goal_ == PackingGoal::smallest_circle) {
      const double r = std::sqrt(x * x + y * y);
      wall(0, r + wall_[i] - s, r > 0.0 ? Vec2(x / r, y / r) : Vec2(0.0), -1.0);
      continue;
    }
    const bool room = goal_ == PackingGoal::most_room;
    const double wanted = room ? wall_[i] - s : wall_[i];
    const double on_s = room ? -1.0 : 0.0;
    wall(0, wanted - x, {-1.0, 0.0}, on_s);
    wall(1, x + wanted - (room ? width_ : s), {1.0, 0.0}, -1.0);
    wall(2, wanted - y, {0.0, -1.0}, on_s);
    wall(3, y + wanted - height_, {0.0, 1.0}, on_s);
  }
}

/// s + stiffness/2 sum of (violation + force/stiffness)^2 over what is positive.
double Packer::value(std::span<const double> z, std::span<double> gradient,
                     double stiffness) const {
  std::fill(gradient.begin(), gradient.end(), 0.0);
  double sum = 0.0;
  visit_contacts(z, 1.0 / stiffness, [&](std::size_t, const Contact& c) {
    const double pull = stiffness * c.violation;
    sum += 0.5 * pull * c.violation;
    gradient[2 * c.first] += pull * c.normal.x;
    gradient[2 * c.first + 1] += pull * c.normal.y;
    if (c.second) {
      gradient[2 * *c.second] -= pull * c.normal.x;
      gradient[2 * *c.second + 1] -= pull * c.normal.y;
    }
    gradient[2 * count_] += pull * c.on_s;
  });
  for (std::size_t i = 0; i < count_; ++i) {
    if (fixed_[i] != 0) gradient[2 * i] = gradient[2 * i + 1] = 0.0;
  }
  gradient[2 * count_] += 1.0;
  return z[2 * count_] + sum;
}

/// Largest violation of a contact at the s that z itself carries.
double Packer::violation(const Values& z) const {
  return std::max(overlap(z), measured(z) - z[2 * count_]);
}

void Packer::forget_forces() {
  std::fill(pair_force_.begin(), pair_force_.end(), 0.0);
  std::fill(wall_force_.begin(), wall_force_.end(), 0.0);
}

Packer::Values Packer::start_from(const std::vector<Vec2>& centres) {
  Values z(2 * count_ + 1, 0.0);
  for (std::size_t i = 0; i < count_; ++i) {
    const Vec2 c = fixed_[i] != 0 ? given_[i] : centres[i] / unit_;
    z[2 * i] = c.x;
    z[2 * i + 1] = c.y;
  }
  z[2 * count_] = measured(z);
  return z;
}

Packer::Values Packer::random_start() {
  Values z(2 * count_ + 1, 0.0);
  double area = 0.0;
  for (const double w : wall_) area += w * w;
  const double radius = std::sqrt(area / 0.7);
  const double width = goal_ == PackingGoal::least_width ? area * 4.5 / height_ : width_;
  for (std::size_t i = 0; i < count_; ++i) {
    if (goal_ == PackingGoal::smallest_circle) {
      const double r = radius * std::sqrt(random_.uniform());
      const double a = 6.283185307179586 * random_.uniform();
      z[2 * i] = r * std::cos(a);
      z[2 * i + 1] = r * std::sin(a);
    } else {
      z[2 * i] = width * random_.uniform();
      z[2 * i + 1] = height_ * random_.uniform();
    }
    if (fixed_[i] != 0) {
      z[2 * i] = given_[i].x;
      z[2 * i + 1] = given_[i].y;
    }
  }
  z[2 * count_] = goal_ == PackingGoal::smallest_circle ? radius
                  : goal_ == PackingGoal::least_width   ? width
                                                        : 0.0;
  return z;
}

/// A good packing with two circles exchanged or one put elsewhere.
Packer::Values Packer::shuffled(const Values& from) {
  Values z = from;
  const std::size_t i = random_.below(count_);
  const std::size_t j = random_.below(count_);
  if (fixed_[i] != 0) return random_start();
  if (fixed_[j] == 0 && std::abs(wall_[i] - wall_[j]) > 0.02 && random_.uniform() < 0.6) {
    std::swap(z[2 * i], z[2 * j]);
    std::swap(z[2 * i + 1], z[2 * j + 1]);
    return z;
  }
  const Values other = random_start();
  z[2 * i] = other[2 * i];
  z[2 * i + 1] = other[2 * i + 1];
  return z;
}

/// Soft to stiff contacts without multipliers; returns an estimate of s without overlap:
/// s + stiffness sum of violation^2, exact to first order in 1/stiffness.
double Packer::settle(Values& z) {
  forget_forces();
  double stiff = 0.0;
  for (const double stiffness : k_stiffness) {
    stiff = stiffness;
    lbfgs_.minimise(
        z, [&](std::span<const double> at, std::span<double> g) { return value(at, g, stiffness); },
        {.gradient = 1e-4, .iterations = 60});
  }
  double sum = 0.0;
  visit_contacts(z, 1.0, [&](std::size_t, const Contact& c) { sum += c.violation * c.violation; });
  return z[2 * count_] + stiff * sum;
}

void Packer::sharpen(Values& z) {
  forget_forces();
  double stiffness = k_stiffness.back();
  for (int round = 0; round < k_multiplier_rounds; ++round) {
    lbfgs_.minimise(
        z, [&](std::span<const double> at, std::span<double> g) { return value(at, g, stiffness); },
        {.gradient = 1e-9, .iterations = 150});
    std::vector<double> pair(pair_force_.size(), 0.0);
    std::vector<double> wall(wall_force_.size(), 0.0);
    visit_contacts(z, 1.0 / stiffness, [&](std::size_t k, const Contact& c) {
      (k < pair.size() ? pair[k] : wall[k - pair.size()]) = stiffness * c.violation;
    });
    pair_force_.swap(pair);
    wall_force_.swap(wall);
    stiffness = k_sharp_stiffness;
    if (round > 0 && violation(z) < k_sharp_enough) break;
  }
  newton(z);
}

/// Least-norm Newton steps onto the contacts that bear force. Redundant contacts (the seven of a
/// hexagon) make the system singular but consistent, so a tiny diagonal is enough.
void Packer::newton(Values& z) const {
  double most = 0.0;
  for (const double f : pair_force_) most = std::max(most, f);
  for (const double f : wall_force_) most = std::max(most, f);
  const double bears = 1e-5 * most;
  for (int step = 0; step < 6; ++step) {
    std::vector<Contact> contacts;
    // With unit "stiffness" every loaded contact is visited; its violation then includes the force.
    visit_contacts(z, 1.0, [&](std::size_t k, Contact c) {
      const std::size_t pairs = pair_force_.size();
      const double force = k < pairs ? pair_force_[k] : wall_force_[k - pairs];
      if (!(force > bears)) return;
      c.violation -= force;
      contacts.push_back(c);
    });
    const std::size_t m = contacts.size();
    if (m == 0) return;
    std::vector<double> a(m * m, 0.0);
    std::vector<double> r(m);
    const auto share = [this](const Contact& p, const Contact& q) {
      double sum = p.on_s * q.on_s;
      const auto add = [&](std::size_t i, std::size_t j, double sign) {
        if (i == j && fixed_[i] == 0) sum += sign * glm::dot(p.normal, q.normal);
      };
      add(p.first, q.first, 1.0);
      if (q.second) add(p.first, *q.second, -1.0);
      if (p.second) add(*p.second, q.first, -1.0);
      if (p.second && q.second) add(*p.second, *q.second, 1.0);
      return sum;
    };
    for (std::size_t i = 0; i < m; ++i) {
      r[i] = contacts[i].violation;
      for (std::size_t j = 0; j <= i; ++j) a[i * m + j] = share(contacts[i], contacts[j]);
      a[i * m + i] += 1e-10;
    }
    // Cholesky factorisation and two triangular solves in place.
    for (std::size_t i = 0; i < m; ++i) {
      for (std::size_t j = 0; j <= i; ++j) {
        double sum = a[i * m + j];
        for (std::size_t k = 0; k < j; ++k) sum -= a[i * m + k] * a[j * m + k];
        a[i * m + j] = i == j ? std::sqrt(std::max(sum, 1e-12)) : sum / a[j * m + j];
      }
    }
    for (std::size_t i = 0; i < m; ++i) {
      for (std::size_t k = 0; k < i; ++k) r[i] -= a[i * m + k] * r[k];
      r[i] /= a[i * m + i];
    }
    for (std::size_t i = m; i-- > 0;) {
      for (std::size_t k = i + 1; k < m; ++k) r[i] -= a[k * m + i] * r[k];
      r[i] /= a[i * m + i];
    }
    for (std::size_t i = 0; i < m; ++i) {
      const Contact& c = contacts[i];
      const auto move = [&](std::size_t at, double sign) {
        if (fixed_[at] != 0) return;
        z[2 * at] -= sign * r[i] * c.normal.x;
        z[2 * at + 1] -= sign * r[i] * c.normal.y;
      };
      move(c.first, 1.0);
      if (c.second) move(*c.second, -1.0);
      z[2 * count_] -= r[i] * c.on_s;
    }
  }
}

/// What the centres alone give: s such that no wall (and for most_room no pair) is violated.
double Packer::measured(const Values& z) const {
  double s = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < count_; ++i) {
    const double x = z[2 * i];
    const double y = z[2 * i + 1];
    if (goal_ == PackingGoal::smallest_circle) {
      s = std::max(s, std::sqrt(x * x + y * y) + wall_[i]);
    } else if (goal_ == PackingGoal::least_width) {
      s = std::max(s, x + wall_[i]);
    } else if (fixed_[i] == 0) {
      const double gap = std::min(std::min(x, width_ - x), std::min(y, height_ - y));
      s = std::max(s, wall_[i] - gap);
    }
  }
  if (goal_ != PackingGoal::most_room) return s;
  for (std::size_t i = 0; i < count_; ++i) {
    for (std::size_t j = i + 1; j < count_; ++j) {
      if (fixed_[i] != 0 && fixed_[j] != 0) continue;
      const double d = std::hypot(z[2 * i] - z[2 * j], z[2 * i + 1] - z[2 * j + 1]);
      s = std::max(s, apart_[i * count_ + j] - d);
    }
  }
  return s;
}

/// Largest violation of what `measured` does not absorb.
double Packer::overlap(const Values& z) const {
  double most = 0.0;
  if (goal_ == PackingGoal::most_room) return most;
  for (std::size_t i = 0; i < count_; ++i) {
    for (std::size_t j = i + 1; j < count_; ++j) {
      if (fixed_[i] != 0 && fixed_[j] != 0) continue;
      const double d = std::hypot(z[2 * i] - z[2 * j], z[2 * i + 1] - z[2 * j + 1]);
      most = std::max(most, apart_[i * count_ + j] - d);
    }
    if (goal_ != PackingGoal::least_width || fixed_[i] != 0) continue;
    const double y = z[2 * i + 1];
    most = std::max({most, wall_[i] - z[2 * i], wall_[i] - y, y + wall_[i] - height_});
  }
  return most;
}

/// Spreads a bundle about its centre by the rounding that is left, so that nothing overlaps.
void Packer::make_feasible(Values& z) const {
  if (goal_ == PackingGoal::smallest_circle) {
    double spread = 1.0;
    for (std::size_t i = 0; i < count_; ++i) {
      for (std::size_t j = i + 1; j < count_; ++j) {
        const double d = std::hypot(z[2 * i] - z[2 * j], z[2 * i + 1] - z[2 * j + 1]);
        if (d > 0.0) spread = std::max(spread, apart_[i * count_ + j] / d);
      }
    }
    for (std::size_t i = 0; i < 2 * count_; ++i) z[i] *= spread;
  }
  z[2 * count_] = measured(z);
}

PackingResult Packer::run(const PackingOptions& options) {
  struct Candidate {
    double estimate;
    Values z;
  };
  std::vector<Candidate> best;  // sorted, few
  PackingResult result;
  std::optional<Values> winner;
  double winner_score = std::numeric_limits<double>::infinity();
  const auto finish = [&](Values z) {
    sharpen(z);
    make_feasible(z);
    const double score = z[2 * count_] + 10.0 * overlap(z);
    if (score < winner_score) {
      winner_score = score;
      winner = std::move(z);
    }
  };
  const auto good_enough = [&] {
    return options.enough && winner && winner_score <= *options.enough / unit_;
  };

  const int starts = std::max(1, options.starts);
  for (int start = 0; start < starts; ++start) {
    const auto given = static_cast<std::size_t>(start);
    // Small kits: look around widely first. Large ones: mostly improve on the best so far.
    const bool improve = count_ > 12 ? start % 2 != 0 : 4 * start > starts && start % 3 != 0;
    Values z = given < options.first.size() ? start_from(options.first[given])
               : improve && !best.empty()   ? shuffled(best.front().z)
                                            : random_start();
    const double estimate = settle(z);
    ++result.starts;
    const bool known = std::any_of(best.begin(), best.end(), [&](const Candidate& c) {
      return std::abs(c.estimate - estimate) < 1e-7;
    });
    if (!std::isfinite(estimate) || known) continue;
    if (options.enough && estimate <= *options.enough / unit_ + k_hopeful) {
      finish(z);
      if (good_enough()) break;
    }
    best.insert(std::upper_bound(best.begin(), best.end(), estimate,
                                 [](double e, const Candidate& c) { return e < c.estimate; }),
                {estimate, std::move(z)});
    if (best.size() > k_finalists) best.pop_back();
  }
  if (!good_enough()) {
    for (const Candidate& c : best) finish(c.z);
  }
  BIGHT_CHECK(winner.has_value());
  result.s = unit_ * (*winner)[2 * count_];
  result.overlap_mm = unit_ * overlap(*winner);
  for (std::size_t i = 0; i < count_; ++i) {
    result.centres_mm.emplace_back(unit_ * (*winner)[2 * i], unit_ * (*winner)[2 * i + 1]);
  }
  return result;
}

}  // namespace

PackingResult pack_circles(const PackingProblem& problem, const PackingOptions& options) {
  return Packer(problem).run(options);
}

}  // namespace bight::line
