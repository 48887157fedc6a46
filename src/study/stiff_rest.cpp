#include "study/stiff_rest.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"
#include "study/hung_rods.h"

namespace bight::study {
namespace {

using plan::SupportKind;

constexpr double k_residual = 1e-7;  // of the weight of the lines
constexpr double k_infinity = std::numeric_limits<double>::infinity();

/// The force falls through the rest: `below` it pushes up, `above` it down. Infinite where a run
/// whose length is the coordinate is too short.
class AlongSearch {
 public:
  AlongSearch(const StiffProblem& problem, Slip slip, const SupportState& limp)
      : p_(problem),
        spans_(all_spans(problem.support, problem.spans)),
        rods_(spans_, problem.pose),
        side_(slip == Slip::low    ? -1.0
              : slip == Slip::high ? 1.0
                                   : 0.0),
        unit_(problem.support.kind == SupportKind::boom ? 0.1 : 1.0),
        is_length_(limp.length_mm > 0.0) {
    const double line = spans_.front().rod.length_mm;
    const bool tied = problem.support.tie_off.has_value();
    limits_ = problem.range.value_or(tied ? std::array{1e-6 * line, (1.0 - 1e-6) * line}
                                          : std::array{-1e9, 1e9});
    if (is_length_) chord_ = glm::distance(p_.place, other_end(spans_.front(), p_.pose));
  }

  SupportState from(SupportState state) {
    q_ = state.coordinate;
    here_ = at(q_);
    if (!here_ && is_length_) {
      q_ = std::clamp(std::max(q_, chord_) * (1.0 + 1e-7), limits_[0], limits_[1]);
      here_ = at(q_);
    }
    if (!here_) return lost(state);
    scale_ = std::max({rods_.weight_N(), glm::length(here_->load_N), 1e-6});
    hangs_below_ = is_right_above();
    if (!hangs_below_) search();
    return settled(state);
  }

 private:
  struct Bound {
    double q = 0.0;
    double force = 0.0;
  };

  std::optional<AlongForce> at(double q) {
    return along_force(
        p_.support, [this](const Vec3& shift, double length) { return rods_.at(shift, length); },
        spans_.front().rod.length_mm, spans_.front().rod.mass_kg_m, q);
  }
  double balance(const AlongForce& f) const { return f.force + side_ * f.friction; }
  double enough() const { return k_residual * scale_; }
  double rounding(double share) const { return share * std::max(1.0, std::abs(q_)); }

  /// One line that hangs right below bows to one side or the other and pushes its support off to
  /// that side: what is in between is where limp lines have it.
  bool is_right_above() const {
    constexpr double k_above_mm = 0.01;
    if (spans_.size() != 1 || is_length_) return false;
    const Vec3 d = other_end(spans_.front(), p_.pose) - p_.place - here_->shift;
    return std::hypot(d.x, d.y) < k_above_mm;
  }

  /// By secants, the first step small.
  void search() {
    constexpr int k_most = 120;
    constexpr double k_first = 0.01;
    constexpr double k_second = 10.0;  // at most
    constexpr double k_growth = 4.0;   // of the later ones
    double step = k_first * unit_;
    for (int i = 0; i < k_most; ++i) {
      const double now = balance(*here_);
      if (std::abs(now) <= enough()) return;
      narrow({q_, now});
      double next = 0.0;
      if (below_ && above_) {
        if (is_narrow()) return;
        next = inside();
      } else {
        next = std::clamp(q_ + std::copysign(step, now), limits_[0], limits_[1]);
        if (next == q_) return;  // at a stop
      }
      const double before = q_;
      if (!move_to(next)) return;
      if (q_ == before) return;
      const double after = balance(*here_);
      const double slope = (after - now) / (q_ - before);
      const double most = i == 0 ? k_second * unit_ : k_growth * std::abs(q_ - before);
      step = slope < 0.0 ? std::min(std::abs(after / slope), most) : k_growth * step;
    }
  }

  /// Takes a side in; the force at the one that stays counts by half (the Illinois rule: Dowell and
  /// Jarratt, BIT 11, 1971).
  void narrow(const Bound& found) {
    const bool pushes_up = found.force > 0.0;
    const bool again = below_ && above_ && pushes_up == last_was_below_;
    weight_ = again ? 0.5 * weight_ : 1.0;
    (pushes_up ? below_ : above_) = found;
    last_was_below_ = pushes_up;
  }

  /// Between below and above.
  double inside() {
    const double width = above_->q - below_->q;
    const double middle = below_->q + 0.5 * width;
    const bool slow = width > 0.5 * width_before_;
    waits_ = slow ? waits_ + 1 : 0;
    if (!slow) width_before_ = width;
    constexpr int k_patience = 3;
    if (waits_ >= k_patience || !std::isfinite(below_->force)) {
      waits_ = 0;
      width_before_ = width;
      return middle;
    }
    const double low = (last_was_below_ ? 1.0 : weight_) * below_->force;
    const double high = (last_was_below_ ? weight_ : 1.0) * above_->force;
    const double next = below_->q + width * low / (low - high);
    return next > below_->q && next < above_->q ? next : middle;
  }

  /// Nothing is left between the two, or it is plain that the force jumps there.
  bool is_narrow() const {
    const double width = above_->q - below_->q;
    constexpr double k_plain = 0.01;  // of the weight and load
    const double least = std::min(below_->force, -above_->force);
    return width <= rounding(1e-13) || (width <= rounding(1e-9) && least > k_plain * scale_);
  }

  /// Towards a place, as near to it as the lines have a shape. Lines of a given length that do not
  /// reach say nothing about the way back; of a run whose length is the coordinate they say that it
  /// pulls without limit.
  bool move_to(double next) {
    std::optional<AlongForce> there = at(next);
    for (int k = 0; k < 60 && !there; ++k) {
      if (is_length_ && next < q_) below_ = Bound{next, k_infinity};
      next = 0.5 * (q_ + next);
      there = at(next);
    }
    if (!there) return false;
    q_ = next;
    here_ = there;
    return true;
  }

  static SupportState lost(SupportState state) {
    state.status = free::SupportStatus::not_converged;
    return state;
  }

  SupportState settled(SupportState state) const {
    const double g = balance(*here_);
    const bool at_low = q_ <= limits_[0] && g < 0.0;
    const bool at_high = q_ >= limits_[1] && g > 0.0;
    const bool balanced = std::abs(g) <= enough();
    const bool narrow = below_ && above_ && above_->q - below_->q <= rounding(1e-9);
    state.jumps = (narrow || hangs_below_) && !balanced;
    if (!(balanced || at_low || at_high || state.jumps)) return lost(state);
    if (side_ == 0.0) {
      const bool was_at_stop = state.status != free::SupportStatus::rests;
      if (!(at_low || at_high)) {
        state.status = free::SupportStatus::rests;
        state.outside_by = 0.0;
      } else if (!was_at_stop) {
        state.status = free::SupportStatus::at_stop;
      }
    }
    state.coordinate = q_;
    state.shift = here_->shift;
    state.length_mm = here_->length_mm;
    state.load_N = here_->load_N;
    state.residual_N = at_low || at_high || state.jumps ? 0.0 : std::abs(g);
    return state;
  }

  const StiffProblem& p_;
  std::vector<HungSpan> spans_;
  HungRods rods_;
  double side_;
  double unit_;  ///< a millimetre at the tip, more or less
  bool is_length_;
  double chord_ = 0.0;
  std::array<double, 2> limits_{};
  double q_ = 0.0;
  std::optional<AlongForce> here_;
  double scale_ = 0.0;
  bool hangs_below_ = false;
  std::optional<Bound> below_;
  std::optional<Bound> above_;
  bool last_was_below_ = false;
  double weight_ = 1.0;
  double width_before_ = k_infinity;
  int waits_ = 0;
};

/// Forces at a cord's lower end.
class CordBalance {
 public:
  explicit CordBalance(const StiffProblem& problem)
      : p_(problem), rods_(problem.spans, problem.pose) {}

  double weight_N() const { return rods_.weight_N(); }
  Vec3 pull_at(const Vec3& shift) const {
    const double k = p_.support.cord_stiffness / 1000.0;
    const double r = glm::length(shift);
    const double stretch = r - p_.support.cord_length;
    return stretch > 0.0 ? (k * stretch / r) * shift : Vec3(0.0);
  }
  std::optional<Vec3> unbalanced(const Vec3& shift) {
    return less_pull(rods_.at(shift, 0.0), shift);
  }
  /// Slopes by central differences; nothing where a line has no shape.
  std::optional<Mat3> slopes(const Vec3& shift, bool limp) {
    const SpanForces limp_at = limp_forces(p_.spans, p_.pose, p_.place);
    const auto value = [&](const Vec3& x) {
      return limp ? less_pull(limp_at(x, 0.0), x) : unbalanced(x);
    };
    constexpr double k_h = 0.01;
    Mat3 slope(0.0);
    for (int a = 0; a < 3; ++a) {
      Vec3 e(0.0);
      e[a] = k_h;
      const auto up = value(shift + e);
      const auto down = value(shift - e);
      if (!up || !down) return {};
      slope[a] = (*up - *down) / (2.0 * k_h);
    }
    return slope;
  }

 private:
  std::optional<Vec3> less_pull(const std::vector<SpanForce>& forces, const Vec3& shift) const {
    if (forces.empty()) return {};
    Vec3 sum = -pull_at(shift);
    for (const SpanForce& f : forces) sum += f.force_N;
    return sum;
  }

  const StiffProblem& p_;
  HungRods rods_;
};

}  // namespace

SupportState stiff_rest_along(const StiffProblem& problem, Slip slip, const SupportState& limp) {
  SupportState state = AlongSearch(problem, slip, limp).from(limp);
  const bool at_stop = state.status == free::SupportStatus::at_stop && problem.range;
  if (slip != Slip::rest || !at_stop) return state;
  // How far it would go: to the rest nearest to that which limp lines have without the stop.
  const auto [low, high] = *problem.range;
  SupportState beyond = limp;
  beyond.coordinate += state.coordinate > 0.5 * (low + high) ? limp.outside_by : -limp.outside_by;
  StiffProblem endless = problem;
  endless.range.reset();
  const SupportState farther = AlongSearch(endless, slip, beyond).from(beyond);
  if (farther.has_shape()) {
    state.outside_by = std::abs(farther.coordinate - state.coordinate);
  }
  return state;
}

SupportState stiff_rest_in_space(const StiffProblem& p, const SupportState& limp) {
  SupportState state = limp;
  CordBalance cord(p);
  constexpr int k_most = 60;
  constexpr double k_worst = 100.0;
  const double enough = k_residual * std::max(cord.weight_N(), 1e-6);
  Vec3 x = state.shift;
  std::optional<Vec3> r = cord.unbalanced(x);
  std::optional<Mat3> slope = cord.slopes(x, true);
  bool exact = false;
  for (int i = 0; i < k_most && r && glm::length(*r) > enough; ++i) {
    if (!slope) {
      if (exact) break;
      slope = cord.slopes(x, false);
      exact = true;
      if (!slope) break;
    }
    const Vec3 step = glm::determinant(*slope) == 0.0 ? Vec3(0.0) : -(glm::inverse(*slope) * *r);
    bool moved = false;
    for (double t = 1.0; t > (exact ? 1e-6 : 0.2) && !moved && is_finite(step); t *= 0.5) {
      const auto next = cord.unbalanced(x + t * step);
      if (!next || !(glm::length(*next) < glm::length(*r))) continue;
      const Vec3 dx = t * step;
      *slope += glm::outerProduct((*next - *r - *slope * dx) / glm::dot(dx, dx), dx);
      x += dx;
      r = next;
      moved = true;
    }
    if (moved) {
      exact = false;
    } else {
      slope.reset();
    }
  }
  if (!r || !(glm::length(*r) <= k_worst * enough)) {
    state.status = free::SupportStatus::not_converged;
    return state;
  }
  state.shift = x;
  state.coordinate = std::max(0.0, glm::length(x) - p.support.cord_length);
  state.load_N = cord.pull_at(x);
  state.residual_N = glm::length(*r);
  state.outside_by =
      p.support.max_stretch ? std::max(0.0, state.coordinate - *p.support.max_stretch) : 0.0;
  state.status = state.outside_by > 0.0 ? free::SupportStatus::at_stop : free::SupportStatus::rests;
  return state;
}

}  // namespace bight::study
