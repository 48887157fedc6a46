#include "free/support_span.h"

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"
#include "free/hanging.h"
#include "free/sampled_shapes.h"

namespace bight::free {
namespace {

AnchorPair as_pair(const Vec3& support, const SupportSpan& span) {
  return {support, span.anchor, {}, span.anchor_direction, {}};
}

/// The vertical plane from support to anchor: the anchor in it, and its horizontal direction.
struct Plane {
  Vec2 end{0.0};
  Vec3 along{1.0, 0.0, 0.0};

  Plane(const Vec3& support, const Vec3& anchor) {
    const Vec3 d = anchor - support;
    end = {std::hypot(d.x, d.y), d.z};
    if (end.x > 0.0) along = {d.x / end.x, d.y / end.x, 0.0};
  }
  Vec3 in_space(const Vec2& v) const { return v.x * along + Vec3(0.0, 0.0, v.y); }
};

bool is_valid_place(const Vec3& support, const SupportSpan& span) {
  return is_finite(support) && is_finite(span.anchor) && span.length_mm > 0.0 &&
         std::isfinite(span.length_mm) && span.mass_kg_m > 0.0 && std::isfinite(span.mass_kg_m);
}

double weight_per_mm(const SupportSpan& span) {
  return span.mass_kg_m * k_gravity / 1000.0;
}

/// Towards the anchor, or up where the support is at it.
SpanState short_state(const Plane& plane, double length) {
  SpanState s;
  s.status = SpanStatus::too_short;
  const double distance = glm::length(plane.end);
  s.short_by_mm = std::max(0.0, distance - length);
  s.leaving = distance > 0.0 ? plane.in_space(plane.end / distance) : Vec3(0.0, 0.0, 1.0);
  return s;
}

/// Weight x height above the start of a catenary. With s from the lowest point of the whole curve
/// and r(s) = sqrt(a^2 + s^2), z = r - r1, and the integral of r ds is (s r + a x) / 2.
double catenary_energy(const rod::CatenaryProblem& p, const rod::Catenary& c, double w) {
  const double s1 = c.vertical_start_N / w;
  const double s2 = c.vertical_end_N / w;
  const double a = c.parameter_mm;
  const double r1 = std::hypot(a, s1);
  const double r2 = std::hypot(a, s2);
  return w * (0.5 * (s2 * r2 - s1 * r1 + a * p.dx_mm) - r1 * p.length_mm);
}

class LimpLine final : public LineModel {
 public:
  SpanState solve(const Vec3& support, const SupportSpan& span) override {
    SpanState s;
    if (!is_valid_place(support, span)) return s;
    const Plane plane(support, span.anchor);
    const rod::CatenaryProblem p{plane.end.x, plane.end.y, span.length_mm, span.mass_kg_m};
    const rod::Catenary c = rod::solve_catenary(p);
    if (c.status != rod::CatenaryStatus::hangs && c.status != rod::CatenaryStatus::vertical) {
      return short_state(plane, span.length_mm);
    }
    const double w = weight_per_mm(span);
    s.status = SpanStatus::hangs;
    s.force_N = plane.in_space({c.horizontal_force_N, c.vertical_start_N});
    s.anchor_force_N = -plane.in_space({c.horizontal_force_N, c.vertical_end_N});
    s.pull_N = c.tension_start_N;
    s.leaving = s.pull_N > 0.0 ? s.force_N / s.pull_N : Vec3(0.0, 0.0, -1.0);
    s.energy_Nmm = catenary_energy(p, c, w) + w * span.length_mm * support.z;
    s.lowest = support + plane.in_space(c.lowest);
    s.smallest_radius_mm = c.smallest_radius_mm;
    return s;
  }

  std::vector<Vec3> points(const Vec3& support, const SupportSpan& span, int segments) override {
    if (solve(support, span).status != SpanStatus::hangs) return {};
    return hang_at(as_pair(support, span), {}, span.length_mm, span.mass_kg_m, segments).points;
  }

  bool is_convex() const override { return true; }
};

class StiffLineModel final : public LineModel {
 public:
  StiffLineModel(double stiffness_Nm2, int segments)
      : stiffness_Nm2_(stiffness_Nm2), solver_(segments) {}

  SpanState solve(const Vec3& support, const SupportSpan& span) override {
    SpanState s;
    const AnchorPair pair = as_pair(support, span);
    if (!is_valid_place(support, span) || !hangs_in_plane(pair)) return s;
    const Plane plane(support, span.anchor);
    const rod::RodReport report =
        solver_.solve(planar_problem(pair, {}, {span.length_mm, span.mass_kg_m, stiffness_Nm2_}));
    if (report.status == rod::RodStatus::too_short) return short_state(plane, span.length_mm);
    if (report.status == rod::RodStatus::invalid) return s;
    s.status = SpanStatus::not_converged;
    if (!report.converged()) return s;
    const rod::PlanarRodFigures f = solver_.figures();
    const double t = solver_.angles_rad().front();  // no moment at the pin: constant near it
    s.status = SpanStatus::hangs;
    s.force_N = plane.in_space({f.horizontal_force_N, f.vertical_start_N});
    s.anchor_force_N = -plane.in_space({f.horizontal_force_N, f.vertical_end_N});
    s.leaving = plane.in_space({std::cos(t), std::sin(t)});
    s.pull_N = glm::dot(s.force_N, s.leaving);
    s.energy_Nmm = f.energy_Nmm + weight_per_mm(span) * span.length_mm * support.z;
    s.lowest = support + plane.in_space(f.lowest);
    s.smallest_radius_mm = f.smallest_radius_mm;
    return s;
  }

  std::vector<Vec3> points(const Vec3& support, const SupportSpan& span,
                           int /*segments*/) override {
    if (solve(support, span).status != SpanStatus::hangs) return {};
    const Plane plane(support, span.anchor);
    std::vector<Vec3> points;
    for (const Vec2& p : solver_.points()) points.push_back(support + plane.in_space(p));
    return points;
  }

  bool is_convex() const override { return false; }

 private:
  double stiffness_Nm2_;
  rod::PlanarRodSolver solver_;
};

}  // namespace

std::unique_ptr<LineModel> limp_line() {
  return std::make_unique<LimpLine>();
}

std::unique_ptr<LineModel> stiff_line(double stiffness_Nm2, int segments) {
  return std::make_unique<StiffLineModel>(stiffness_Nm2, segments);
}

}  // namespace bight::free
