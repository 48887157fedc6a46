#pragma once
// Four floats as one value, for the box arithmetic of hierarchies: SSE2 where the processor has it
// (every x86-64), plain code elsewhere, same bits either way.

#include <array>
#include <cmath>
#include <cstdint>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace bight::shape {

#if defined(__SSE2__)

struct Float4 {
  __m128 v;

  static Float4 load(const float* p) { return {_mm_loadu_ps(p)}; }
  /// The same with the fourth lane zero, whatever bits (an index) stand there.
  static Float4 load_xyz(const float* p) {
    const __m128 mask = _mm_castsi128_ps(_mm_set_epi32(0, -1, -1, -1));
    return {_mm_and_ps(_mm_loadu_ps(p), mask)};
  }
  static Float4 all(float s) { return {_mm_set1_ps(s)}; }
  static Float4 xyz(float x, float y, float z) { return {_mm_set_ps(0.0F, z, y, x)}; }
  void store(float* p) const { _mm_storeu_ps(p, v); }
};

inline Float4 operator+(Float4 a, Float4 b) {
  return {_mm_add_ps(a.v, b.v)};
}
inline Float4 operator-(Float4 a, Float4 b) {
  return {_mm_sub_ps(a.v, b.v)};
}
inline Float4 operator*(Float4 a, Float4 b) {
  return {_mm_mul_ps(a.v, b.v)};
}
inline Float4 min(Float4 a, Float4 b) {
  return {_mm_min_ps(a.v, b.v)};
}
inline Float4 max(Float4 a, Float4 b) {
  return {_mm_max_ps(a.v, b.v)};
}
inline Float4 abs(Float4 a) {
  return {_mm_andnot_ps(_mm_set1_ps(-0.0F), a.v)};
}
/// |a| with the sign of s, for a >= 0.
inline Float4 with_sign_of(Float4 a, Float4 s) {
  return {_mm_or_ps(a.v, _mm_and_ps(s.v, _mm_set1_ps(-0.0F)))};
}
/// The largest of x, y, z.
inline float largest_xyz(Float4 a) {
  const __m128 y = _mm_shuffle_ps(a.v, a.v, 1);
  return _mm_cvtss_f32(_mm_max_ss(_mm_max_ss(a.v, y), _mm_movehl_ps(a.v, a.v)));
}
inline float smallest(Float4 a) {
  const __m128 pair = _mm_min_ps(a.v, _mm_movehl_ps(a.v, a.v));
  return _mm_cvtss_f32(_mm_min_ss(pair, _mm_shuffle_ps(pair, pair, 1)));
}
/// (x + z) + (y + w).
inline float sum(Float4 a) {
  const __m128 high = _mm_movehl_ps(a.v, a.v);
  const __m128 pair = _mm_add_ps(a.v, high);
  return _mm_cvtss_f32(_mm_add_ss(pair, _mm_shuffle_ps(pair, pair, 1)));
}

#else

struct Float4 {
  std::array<float, 4> v;

  static Float4 load(const float* p) { return {{p[0], p[1], p[2], p[3]}}; }
  static Float4 load_xyz(const float* p) { return {{p[0], p[1], p[2], 0.0F}}; }
  static Float4 all(float s) { return {{s, s, s, s}}; }
  static Float4 xyz(float x, float y, float z) { return {{x, y, z, 0.0F}}; }
  void store(float* p) const {
    for (std::size_t i = 0; i < 4; ++i) p[i] = v[i];
  }
};

template <typename F>
Float4 lanes(F f) {
  return {{f(0), f(1), f(2), f(3)}};
}
inline Float4 operator+(Float4 a, Float4 b) {
  return lanes([&](std::size_t i) { return a.v[i] + b.v[i]; });
}
inline Float4 operator-(Float4 a, Float4 b) {
  return lanes([&](std::size_t i) { return a.v[i] - b.v[i]; });
}
inline Float4 operator*(Float4 a, Float4 b) {
  return lanes([&](std::size_t i) { return a.v[i] * b.v[i]; });
}
inline Float4 min(Float4 a, Float4 b) {
  return lanes([&](std::size_t i) { return a.v[i] < b.v[i] ? a.v[i] : b.v[i]; });
}
inline Float4 max(Float4 a, Float4 b) {
  return lanes([&](std::size_t i) { return a.v[i] > b.v[i] ? a.v[i] : b.v[i]; });
}
inline Float4 abs(Float4 a) {
  return lanes([&](std::size_t i) { return std::fabs(a.v[i]); });
}
inline Float4 with_sign_of(Float4 a, Float4 s) {
  return lanes([&](std::size_t i) { return std::copysign(a.v[i], s.v[i]); });
}
inline float largest_xyz(Float4 a) {
  const float xy = a.v[0] > a.v[1] ? a.v[0] : a.v[1];
  return xy > a.v[2] ? xy : a.v[2];
}
inline float smallest(Float4 a) {
  return std::fmin(std::fmin(a.v[0], a.v[2]), std::fmin(a.v[1], a.v[3]));
}
inline float sum(Float4 a) {
  return (a.v[0] + a.v[2]) + (a.v[1] + a.v[3]);
}

#endif

inline float dot(Float4 a, Float4 b) {
  return sum(a * b);
}

}  // namespace bight::shape
