#include "study/line_stiffness.h"

#include <numbers>

namespace bight::study {
namespace {

/// MPa, of a solid of the same outside diameter.
double modulus(plan::LineKind kind) {
  switch (kind) {
    case plan::LineKind::air:
    case plan::LineKind::coolant:
      return 30.0;
    case plan::LineKind::extraction:
      return 0.5;
    case plan::LineKind::power:
    case plan::LineKind::motor:
    case plan::LineKind::signal:
    case plan::LineKind::other:
      break;
  }
  return 40.0;
}

}  // namespace

LineStiffness line_stiffness(const plan::Article& article) {
  if (article.stiffness) return {*article.stiffness, *article.stiffness, *article.stiffness, true};
  constexpr double k_Nm2_per_Nmm2 = 1e-6;
  const double d2 = article.outside_diameter * article.outside_diameter;
  const double value = modulus(article.kind) * std::numbers::pi * d2 * d2 / 64.0 * k_Nm2_per_Nmm2;
  return {value, value / k_stiffness_range, value * k_stiffness_range, false};
}

}  // namespace bight::study
