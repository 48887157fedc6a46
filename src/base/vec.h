#pragma once
// Vectors and matrices of the whole project: GLM in double precision under our names.
// Lengths are mm, the frame is right-handed with X to the operator's right, Y away, Z up (ISO 841
// senses).

#include <cmath>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/mat3x3.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

namespace bight {

using Vec2 = glm::dvec2;
using Vec3 = glm::dvec3;
using Mat3 = glm::dmat3;  ///< column-major: m[c] is column c

inline bool is_finite(const Vec3& v) {
  return std::isfinite(v.x) && std::isfinite(v.y) && std::isfinite(v.z);
}

}  // namespace bight
