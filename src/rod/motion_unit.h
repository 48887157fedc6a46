#pragma once
// Unit of force in the mechanics of rod/rod_motion.h, which counts in N, kg, mm and s.

namespace bight::rod {

inline constexpr double k_N_per_kg_mm_s2 = 1e-3;

}  // namespace bight::rod
