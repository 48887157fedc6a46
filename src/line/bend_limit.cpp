#include "line/bend_limit.h"

#include <cmath>
#include <limits>

#include "base/number.h"

namespace bight::line {
namespace {

BendLimit limit_of(double inner_mm, double diameter_mm, BendSource source, std::string because) {
  return {inner_mm, inner_mm + 0.5 * diameter_mm, source, std::move(because)};
}

std::string product(double multiple, double diameter_mm) {
  return shortest(multiple) + " x " + shortest(diameter_mm) + " mm";
}

bool positive(double v) {
  return std::isfinite(v) && v > 0.0;
}

}  // namespace

BendLimit bend_limit(const BendLimitProblem& problem) {
  const double d = problem.diameter_mm;
  const double multiple = problem.multiple.value_or(problem.default_multiple);
  if (!positive(d) || !positive(problem.radius_mm.value_or(multiple))) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    return {nan, nan, BendSource::none, "the diameter, radius or multiple is not above 0"};
  }
  if (problem.radius_mm) return limit_of(*problem.radius_mm, d, BendSource::maker_radius, "given");
  if (problem.multiple) {
    return limit_of(multiple * d, d, BendSource::maker_multiple, product(multiple, d) + " given");
  }
  const double dguv =
      problem.use == BendUse::moving ? k_dguv_multiple_moving : k_dguv_multiple_fixed;
  const std::string origin = multiple == dguv ? "DGUV Information 203-079 5.5" : "default multiple";
  return limit_of(multiple * d, d, BendSource::default_multiple,
                  product(multiple, d) + ", " + origin + ", no maker's data");
}

BendLimit bend_limit(const plan::Article& article, BendUse use, const plan::Rules& rules) {
  if (use == BendUse::moving) {
    return bend_limit({.use = use,
                       .diameter_mm = article.outside_diameter,
                       .radius_mm = article.bend_radius_moving,
                       .multiple = article.bend_multiple_moving,
                       .default_multiple = rules.default_multiple_moving});
  }
  return bend_limit({.use = use,
                     .diameter_mm = article.outside_diameter,
                     .radius_mm = article.bend_radius_fixed,
                     .multiple = article.bend_multiple_fixed,
                     .default_multiple = rules.default_multiple_fixed});
}

std::optional<double> iec_60204_1_multiple(Guiding guiding, double diameter_mm) {
  const bool thin = diameter_mm <= 8.0;
  const bool medium = diameter_mm <= 20.0;
  switch (guiding) {
    case Guiding::roller:
      return thin ? 6.0 : 8.0;
    case Guiding::drum:
    case Guiding::festoon:
    case Guiding::chain:  // "all other forced guiding"
      return medium ? 6.0 : 8.0;
    case Guiding::fixed:
    case Guiding::free_movement:
      break;
  }
  return {};
}

double din_vde_0298_3_multiple(Guiding guiding, double diameter_mm) {
  // Columns: d <= 8, 8 < d <= 12, 12 < d <= 20, d > 20 mm.
  const auto pick = [diameter_mm](double a, double b, double c, double d) {
    return diameter_mm <= 8.0 ? a : diameter_mm <= 12.0 ? b : diameter_mm <= 20.0 ? c : d;
  };
  switch (guiding) {
    case Guiding::fixed:
      return pick(3.0, 3.0, 4.0, 4.0);
    case Guiding::free_movement:
    case Guiding::festoon:  // hung from trolleys
      return pick(3.0, 4.0, 5.0, 5.0);
    case Guiding::drum:
      return pick(5.0, 5.0, 5.0, 6.0);
    case Guiding::chain:
      return pick(4.0, 4.0, 5.0, 5.0);
    case Guiding::roller:
      break;
  }
  return 7.5;
}

}  // namespace bight::line
