#include "line/contact_model_detail.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"

namespace bight::line::packing {
namespace {

/// Share of the greatest force above which a contact counts as bearing.
constexpr double k_bears = 1e-5;
/// Newton steps converge quadratically; six are plenty from 1e-6.
constexpr int k_touch_steps = 6;

/// Solves a x = r for a symmetric positive definite a (row-major, overwritten) by Cholesky; x
/// replaces r.
void solve_in_place(std::vector<double>& a, std::vector<double>& r) {
  const std::size_t m = r.size();
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
}

}  // namespace

ContactModel::ContactModel(const PackingProblem& problem)
    : goal_(problem.goal), count_(problem.wall_mm.size()) {
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

/// Visits the contacts that are violated or loaded at this stiffness: visit(index of the force,
/// contact). The violation handed out includes force/stiffness.
template <typename Visit>
void ContactModel::visit_contacts(std::span<const double> z, double inverse_stiffness,
                                  Visit visit) const {
  const double s = z[2 * count_];
  const double pair_s = (goal_ == PackingGoal::most_room ? -1.0 : 0.0);
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
double ContactModel::energy(std::span<const double> z, std::span<double> gradient,
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

double ContactModel::sum_of_squares(const Values& z) const {
  double sum = 0.0;
  visit_contacts(z, 0.0, [&](std::size_t, const Contact& c) { sum += c.violation * c.violation; });
  return sum;
}

double ContactModel::violation(const Values& z) const {
  return std::max(overlap(z), measured(z) - z[2 * count_]);
}

void ContactModel::forget_forces() {
  std::fill(pair_force_.begin(), pair_force_.end(), 0.0);
  std::fill(wall_force_.begin(), wall_force_.end(), 0.0);
}

void ContactModel::load_forces(const Values& z, double stiffness) {
  std::vector<double> pair(pair_force_.size(), 0.0);
  std::vector<double> wall(wall_force_.size(), 0.0);
  visit_contacts(z, 1.0 / stiffness, [&](std::size_t k, const Contact& c) {
    (k < pair.size() ? pair[k] : wall[k - pair.size()]) = stiffness * c.violation;
  });
  pair_force_.swap(pair);
  wall_force_.swap(wall);
}

std::vector<Contact> ContactModel::bearing_contacts(const Values& z) const {
  double most = 0.0;
  for (const double f : pair_force_) most = std::max(most, f);
  for (const double f : wall_force_) most = std::max(most, f);
  std::vector<Contact> contacts;
  // At stiffness 1 every loaded contact is visited; its violation then includes the force.
  visit_contacts(z, 1.0, [&](std::size_t k, Contact c) {
    const std::size_t pairs = pair_force_.size();
    const double force = k < pairs ? pair_force_[k] : wall_force_[k - pairs];
    if (!(force > k_bears * most)) return;
    c.violation -= force;
    contacts.push_back(c);
  });
  return contacts;
}

/// Scalar product of the gradients of two contacts.
double ContactModel::share(const Contact& p, const Contact& q) const {
  double sum = p.on_s * q.on_s;
  const auto add = [&](std::size_t i, std::size_t j, double sign) {
    if (i == j && !fixed(i)) sum += sign * glm::dot(p.normal, q.normal);
  };
  add(p.first, q.first, 1.0);
  if (q.second) add(p.first, *q.second, -1.0);
  if (p.second) add(*p.second, q.first, -1.0);
  if (p.second && q.second) add(*p.second, *q.second, 1.0);
  return sum;
}

// Redundant contacts (the seven of a hexagon) make the system singular but consistent, so a tiny
// diagonal is enough.
void ContactModel::touch(Values& z) const {
  for (int step = 0; step < k_touch_steps; ++step) {
    const std::vector<Contact> contacts = bearing_contacts(z);
    const std::size_t m = contacts.size();
    std::vector<double> a(m * m, 0.0);
    std::vector<double> r(m);
    for (std::size_t i = 0; i < m; ++i) {
      r[i] = contacts[i].violation;
      for (std::size_t j = 0; j <= i; ++j) a[i * m + j] = share(contacts[i], contacts[j]);
      a[i * m + i] += 1e-10;
    }
    solve_in_place(a, r);
    for (std::size_t i = 0; i < m; ++i) {
      const Contact& c = contacts[i];
      const auto move = [&](std::size_t at, double sign) {
        if (fixed(at)) return;
        z[2 * at] -= sign * r[i] * c.normal.x;
        z[2 * at + 1] -= sign * r[i] * c.normal.y;
      };
      move(c.first, 1.0);
      if (c.second) move(*c.second, -1.0);
      z[2 * count_] -= r[i] * c.on_s;
    }
  }
}

double ContactModel::measured(const Values& z) const {
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

double ContactModel::overlap(const Values& z) const {
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

double ContactModel::spread(const Values& z) const {
  double factor = 1.0;
  for (std::size_t i = 0; i < count_; ++i) {
    for (std::size_t j = i + 1; j < count_; ++j) {
      const double d = std::hypot(z[2 * i] - z[2 * j], z[2 * i + 1] - z[2 * j + 1]);
      if (d > 0.0) factor = std::max(factor, apart_[i * count_ + j] / d);
    }
  }
  return factor;
}

}  // namespace bight::line::packing
