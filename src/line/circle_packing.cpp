#include "line/circle_packing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>

#include "base/check.h"
#include "line/contact_model_detail.h"
#include "line/lbfgs.h"

namespace bight::line {
namespace {

using packing::ContactModel;
using packing::Values;

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

class Packer {
 public:
  explicit Packer(const PackingProblem& problem)
      : model_(problem), lbfgs_(2 * count() + 1), random_(0x62696768745061ULL + count()) {}

  PackingResult run(const PackingOptions& options);

 private:
  std::size_t count() const { return model_.count(); }
  double unit() const { return model_.unit_mm(); }

  Values start_from(const std::vector<Vec2>& centres) const;
  Values random_start();
  Values shuffled(const Values& from);
  void relax(Values& z, double stiffness, const LbfgsOptions& options);
  double settle(Values& z);
  void sharpen(Values& z);
  void make_feasible(Values& z) const;

  ContactModel model_;
  Lbfgs lbfgs_;
  Random random_;
};

Values Packer::start_from(const std::vector<Vec2>& centres) const {
  Values z(2 * count() + 1, 0.0);
  for (std::size_t i = 0; i < count(); ++i) {
    const Vec2 c = model_.fixed(i) ? model_.given(i) : centres[i] / unit();
    z[2 * i] = c.x;
    z[2 * i + 1] = c.y;
  }
  z[2 * count()] = model_.measured(z);
  return z;
}

Values Packer::random_start() {
  Values z(2 * count() + 1, 0.0);
  double area = 0.0;
  for (std::size_t i = 0; i < count(); ++i) area += model_.wall(i) * model_.wall(i);
  const double radius = std::sqrt(area / 0.7);
  const double width =
      model_.goal() == PackingGoal::least_width ? area * 4.5 / model_.height() : model_.width();
  for (std::size_t i = 0; i < count(); ++i) {
    if (model_.goal() == PackingGoal::smallest_circle) {
      const double r = radius * std::sqrt(random_.uniform());
      const double a = 2.0 * std::numbers::pi * random_.uniform();
      z[2 * i] = r * std::cos(a);
      z[2 * i + 1] = r * std::sin(a);
    } else {
      z[2 * i] = width * random_.uniform();
      z[2 * i + 1] = model_.height() * random_.uniform();
    }
    if (model_.fixed(i)) {
      z[2 * i] = model_.given(i).x;
      z[2 * i + 1] = model_.given(i).y;
    }
  }
  z[2 * count()] = model_.goal() == PackingGoal::smallest_circle ? radius
                   : model_.goal() == PackingGoal::least_width   ? width
                                                                 : 0.0;
  return z;
}

/// A good packing with two circles exchanged or one put elsewhere.
Values Packer::shuffled(const Values& from) {
  Values z = from;
  const std::size_t i = random_.below(count());
  const std::size_t j = random_.below(count());
  if (model_.fixed(i)) return random_start();
  if (!model_.fixed(j) && std::abs(model_.wall(i) - model_.wall(j)) > 0.02 &&
      random_.uniform() < 0.6) {
    std::swap(z[2 * i], z[2 * j]);
    std::swap(z[2 * i + 1], z[2 * j + 1]);
    return z;
  }
  const Values other = random_start();
  z[2 * i] = other[2 * i];
  z[2 * i + 1] = other[2 * i + 1];
  return z;
}

void Packer::relax(Values& z, double stiffness, const LbfgsOptions& options) {
  lbfgs_.minimise(
      z,
      [&](std::span<const double> at, std::span<double> g) {
        return model_.energy(at, g, stiffness);
      },
      options);
}

/// Soft to stiff contacts without forces; returns an estimate of s without overlap: s + stiffness
/// times the sum of violation^2, exact to first order in 1/stiffness.
double Packer::settle(Values& z) {
  model_.forget_forces();
  for (const double stiffness : k_stiffness) {
    relax(z, stiffness, {.gradient = 1e-4, .iterations = 60});
  }
  return z.back() + k_stiffness.back() * model_.sum_of_squares(z);
}

/// Forces until the contacts hold without overlap, then Newton steps for the last digits.
void Packer::sharpen(Values& z) {
  model_.forget_forces();
  double stiffness = k_stiffness.back();
  for (int round = 0; round < k_multiplier_rounds; ++round) {
    relax(z, stiffness, {.gradient = 1e-9, .iterations = 150});
    model_.load_forces(z, stiffness);
    stiffness = k_sharp_stiffness;
    if (round > 0 && model_.violation(z) < k_sharp_enough) break;
  }
  model_.touch(z);
}

/// Spreads a bundle about its centre by the rounding that is left, so that nothing overlaps.
void Packer::make_feasible(Values& z) const {
  if (model_.goal() == PackingGoal::smallest_circle) {
    const double spread = model_.spread(z);
    for (std::size_t i = 0; i < 2 * count(); ++i) z[i] *= spread;
  }
  z.back() = model_.measured(z);
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
    const double score = z[2 * count()] + 10.0 * model_.overlap(z);
    if (score < winner_score) {
      winner_score = score;
      winner = std::move(z);
    }
  };
  const auto good_enough = [&] {
    return options.enough && winner && winner_score <= *options.enough / unit();
  };

  const int starts = std::max(1, options.starts);
  for (int start = 0; start < starts; ++start) {
    const auto given = static_cast<std::size_t>(start);
    // Small kits: look around widely first. Large ones: mostly improve on the best so far.
    const bool improve = count() > 12 ? start % 2 != 0 : 4 * start > starts && start % 3 != 0;
    Values z = given < options.first.size() ? start_from(options.first[given])
               : improve && !best.empty()   ? shuffled(best.front().z)
                                            : random_start();
    const double estimate = settle(z);
    ++result.starts;
    const bool known = std::any_of(best.begin(), best.end(), [&](const Candidate& c) {
      return std::abs(c.estimate - estimate) < 1e-7;
    });
    if (!std::isfinite(estimate) || known) continue;
    if (options.enough && estimate <= *options.enough / unit() + k_hopeful) {
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
  result.s = unit() * (*winner)[2 * count()];
  result.overlap_mm = unit() * model_.overlap(*winner);
  for (std::size_t i = 0; i < count(); ++i) {
    result.centres_mm.emplace_back(unit() * (*winner)[2 * i], unit() * (*winner)[2 * i + 1]);
  }
  return result;
}

}  // namespace

PackingResult pack_circles(const PackingProblem& problem, const PackingOptions& options) {
  return Packer(problem).run(options);
}

}  // namespace bight::line
