#include "rod/rod_motion.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include "base/check.h"
#include "base/tolerance.h"

namespace bight::rod {
namespace {

std::size_t unknowns_of(const std::vector<CarrierMotion>& carriers) {
  std::size_t sum = 0;
  for (const CarrierMotion& c : carriers) sum += c.unknowns();
  return sum;
}

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

}  // namespace

RodMotion::RodMotion(const std::vector<MovingLine>& lines, const std::vector<Carrier>& carriers,
                     double tolerance)
    : tolerance_(tolerance),
      carriers_(carriers.begin(), carriers.end()),
      left_(unknowns_of(carriers_)),
      matrix_(left_.size()) {
  std::size_t first = 0;
  for (const CarrierMotion& c : carriers_) {
    first_unknown_.push_back(first);
    first += c.unknowns();
    weight_N_ += c.weight_N();
  }
  for (const MovingLine& line : lines) add_line(line, carriers);
}

void RodMotion::add_line(const MovingLine& line, const std::vector<Carrier>& carriers) {
  const bool hinged = !(line.start_carrier && line.problem.start_tangent) &&
                      !(line.end_carrier && (line.problem.end_tangent || line.problem.end_is_free));
  BIGHT_CHECK(hinged);
  std::optional<LineSlide> slide;
  double sense = 0.0;
  for (const bool at_start : {true, false}) {
    const std::optional<std::size_t>& on = at_start ? line.start_carrier : line.end_carrier;
    if (!on || !carriers_[*on].is_sheave()) continue;
    BIGHT_CHECK(!slide);
    const bool second = std::any_of(lines_.begin(), lines_.end(), [&](const Line& other) {
      return other.start_carrier == on || other.end_carrier == on;
    });
    sense = second ? -1.0 : 1.0;
    slide = LineSlide{at_start, line.problem.length_mm + sense * carriers_[*on].slid_mm()};
  }
  Line added{LineMotion(line.problem, line.joints, line.bumper, slide),
             line.start_carrier,
             line.end_carrier,
             Vec3(0.0),
             Vec3(0.0),
             line.problem.length_mm,
             sense,
             {}};
  if (line.start_carrier) {
    added.start_offset = line.joints.front() - carriers[*line.start_carrier].at;
    follow(added, *line.start_carrier, false);
  }
  if (line.end_carrier) {
    added.end_offset = line.joints.back() - carriers[*line.end_carrier].at;
    follow(added, *line.end_carrier, true);
  }
  for (const Follow& a : added.follows) {
    for (const Follow& b : added.follows) {
      BIGHT_CHECK(a.unknown <= b.unknown + BandedSymmetric::k_half_width);
    }
  }
  weight_N_ += added.motion.weight_N();
  lines_.push_back(std::move(added));
}

void RodMotion::follow(Line& line, std::size_t carrier, bool at_end) {
  const CarrierMotion& c = carriers_[carrier];
  for (std::size_t i = 0; i < c.unknowns(); ++i) {
    LineRates rates;
    (at_end ? rates.end : rates.start) = c.direction(i);
    if (c.is_sheave()) rates.length = line.sense;
    const bool follows = c.is_sheave() || c.direction(i) != Vec3(0.0);
    if (follows) line.follows.push_back({first_unknown_[carrier] + i, rates, {}, {}});
  }
}

void RodMotion::set_velocities(std::span<const Vec3> mm_s, std::size_t line) {
  lines_[line].motion.set_velocities(mm_s);
}

double RodMotion::weight_N() const {
  return weight_N_;
}

double RodMotion::energy_Nmm() const {
  double sum = 0.0;
  for (const Line& line : lines_) sum += line.motion.energy_Nmm();
  for (const CarrierMotion& c : carriers_) sum += c.energy_Nmm();
  return sum;
}

double RodMotion::longest_stretch() const {
  double most = 0.0;
  for (const Line& line : lines_) most = std::max(most, line.motion.longest_stretch());
  for (const CarrierMotion& c : carriers_) most = std::max(most, c.stretch());
  return most;
}

/// Where everything gets to without forces.
void RodMotion::coast(double seconds, std::span<const LineEnds> ends, std::span<const Vec3> held) {
  for (std::size_t i = 0; i < carriers_.size(); ++i) {
    carriers_[i].coast(seconds, held.empty() ? Vec3(0.0) : held[i]);
  }
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    Line& line = lines_[i];
    line.motion.coast(seconds);
    line.motion.set_start(ends[i].start);
    line.motion.set_end(ends[i].end);
  }
  follow_carriers();
}

void RodMotion::follow_carriers() {
  for (Line& line : lines_) {
    for (const bool at_start : {true, false}) {
      const std::optional<std::size_t>& on = at_start ? line.start_carrier : line.end_carrier;
      if (!on) continue;
      const CarrierMotion& c = carriers_[*on];
      if (at_start) {
        line.motion.set_start(c.next() + line.start_offset);
      } else {
        line.motion.set_end(c.next() + line.end_offset);
      }
      if (c.is_sheave()) line.motion.set_length(line.length_mm + line.sense * c.next_slid_mm());
    }
  }
}

/// Largest force that is left, N, with errors of lengths counted as a share of the weight.
double RodMotion::evaluate(double seconds) {
  double worst = 0.0;
  std::fill(left_.begin(), left_.end(), 0.0);
  for (Line& line : lines_) {
    worst = std::max(worst, line.motion.evaluate(seconds, weight_N_));
    for (const Follow& f : line.follows) left_[f.unknown] += line.motion.force_along(f.rates);
  }
  for (std::size_t i = 0; i < carriers_.size(); ++i) {
    const CarrierMotion& c = carriers_[i];
    const std::span<double> left = std::span(left_).subspan(first_unknown_[i], c.unknowns());
    worst = std::max(worst, c.evaluate(seconds, weight_N_, left));
  }
  return std::isfinite(worst) ? worst : std::numeric_limits<double>::infinity();
}

void RodMotion::factor(double seconds) {
  matrix_.clear();
  for (std::size_t i = 0; i < carriers_.size(); ++i) {
    carriers_[i].add_slopes(seconds, first_unknown_[i], matrix_);
  }
  for (Line& line : lines_) {
    line.motion.factor(seconds);
    for (Follow& f : line.follows) {
      f.column = line.motion.column(f.rates, seconds, weight_N_);
      f.solved = f.column;
      line.motion.solve(f.solved);
    }
    for (const Follow& a : line.follows) {
      for (const Follow& b : line.follows) {
        if (a.unknown < b.unknown) continue;
        matrix_.add(a.unknown, b.unknown,
                    line.motion.corner(a.rates, b.rates) - dot(a.column, b.solved));
      }
    }
  }
  matrix_.factor();
}

void RodMotion::correct() {
  std::vector<std::vector<double>> changes;
  std::vector<double> of_carriers = left_;
  for (double& c : of_carriers) c = -c;
  for (const Line& line : lines_) {
    changes.push_back(line.motion.correction());
    for (const Follow& f : line.follows) of_carriers[f.unknown] -= dot(f.column, changes.back());
  }
  matrix_.solve(of_carriers);
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    Line& line = lines_[i];
    line.motion.apply(changes[i], 1.0);
    for (const Follow& f : line.follows) line.motion.apply(f.solved, -of_carriers[f.unknown]);
  }
  const std::span<const double> all(of_carriers);
  for (std::size_t i = 0; i < carriers_.size(); ++i) {
    carriers_[i].apply(all.subspan(first_unknown_[i], carriers_[i].unknowns()));
  }
  follow_carriers();
}

bool RodMotion::is_step_too_long(double seconds) const {
  return std::any_of(lines_.begin(), lines_.end(),
                     [seconds](const Line& line) { return line.motion.is_step_too_long(seconds); });
}

/// Newton's method with old factors, as long as these do.
bool RodMotion::step(double seconds, std::span<const LineEnds> ends, std::span<const Vec3> held) {
  const bool fits = seconds > 0.0 && ends.size() == lines_.size() &&
                    (held.empty() || held.size() == carriers_.size());
  BIGHT_CHECK(fits);
  constexpr int k_iterations = 40;
  constexpr double k_fast = 0.2;          // residual over the one before: the factors still fit
  constexpr double k_good_enough = 1e-7;  // of the weight: a step that only rounding holds up
  coast(seconds, ends, held);
  if (is_step_too_long(seconds)) return false;
  double residual = evaluate(seconds);
  const double first = residual;
  bool led_astray = false;  // by old factors: none of these any more
  for (int i = 0; i < k_iterations && residual > tolerance_ * weight_N_; ++i) {
    const bool fresh = led_astray || factored_s_ != seconds;
    if (fresh) {
      factor(seconds);
      factored_s_ = seconds;
    }
    correct();
    const double before = residual;
    residual = evaluate(seconds);
    if (residual <= k_fast * before) continue;
    if (fresh && residual <= k_good_enough * weight_N_) break;
    factored_s_ = 0.0;
    if (!fresh && !(residual < before) && !(residual <= k_good_enough * weight_N_)) {
      led_astray = true;
      coast(seconds, ends, held);
      evaluate(seconds);
      residual = first;
    }
    if (!std::isfinite(residual)) break;
  }
  if (!(residual <= std::max(tolerance_, k_good_enough) * weight_N_)) return false;
  if (is_step_too_long(seconds)) return false;
  for (Line& line : lines_) line.motion.finish(seconds);
  for (CarrierMotion& c : carriers_) c.finish(seconds);
  return true;
}

}  // namespace bight::rod
