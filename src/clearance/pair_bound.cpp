#include "clearance/pair_bound.h"

namespace bight::clearance {

namespace {

shape::Float4 to_float4(const Vec3& v) {
  return shape::Float4::xyz(static_cast<float>(v.x), static_cast<float>(v.y),
                            static_cast<float>(v.z));
}

bool along_an_axis(const Vec3& g) {
  return (g.x != 0.0 ? 1 : 0) + (g.y != 0.0 ? 1 : 0) + (g.z != 0.0 ? 1 : 0) == 1;
}

}  // namespace

void PairBound::assign(const Vec3& offset, std::span<const Vec3> generators, double rounding,
                       double size) {
  offset_ = to_float4(offset);
  guess_ = shape::Float4::all(0.0F);
  generators_.clear();
  Vec3 inflation(0.0);
  Vec3 slanting(0.0);
  for (const Vec3& g : generators) {
    if (along_an_axis(g)) {
      inflation += glm::abs(g);
    } else {
      slanting += glm::abs(g);
      const shape::Float4 f = to_float4(g);
      generators_.push_back({f, dot(f, f)});
    }
    size += std::fabs(g.x) + std::fabs(g.y) + std::fabs(g.z);
  }
  // Rounding of the single precision sums: a few operations on numbers not larger than size.
  const double slack = rounding + 0x1p-20 * size;
  inflation_ = to_float4(inflation + Vec3(slack));
  slanting_ = to_float4(slanting);
}

void PairBound::set_guess(const Vec3& direction) {
  const double length = glm::length(direction);
  if (length > 0.0 && std::isfinite(length)) guess_ = to_float4(direction / length);
}

}  // namespace bight::clearance
