#include "shape/weld.h"

#include <bit>
#include <limits>

#include "base/check.h"

namespace bight::shape {
namespace {

constexpr std::uint64_t k_odd_1 = 0x9E3779B97F4A7C15U;  // 2^64 / golden ratio
constexpr std::uint64_t k_odd_2 = 0xC2B2AE3D27D4EB4FU;
constexpr std::uint64_t k_odd_3 = 0x165667B19E3779F9U;

/// Multiplicative hash of the bits. Coordinates are often short numbers, with zeros in the low
/// bits, so the high half of the products is folded down.
std::size_t hash_of(const Vec3& p) {
  std::uint64_t h = std::bit_cast<std::uint64_t>(p.x) * k_odd_1;
  h = (std::rotl(h, 29) ^ std::bit_cast<std::uint64_t>(p.y)) * k_odd_2;
  h = (std::rotl(h, 31) ^ std::bit_cast<std::uint64_t>(p.z)) * k_odd_3;
  return static_cast<std::size_t>(h ^ (h >> 32U));
}

}  // namespace

Welder::Welder(std::size_t expected_vertices) {
  vertices_.reserve(expected_vertices);
  grow(std::bit_ceil(std::max<std::size_t>(2 * expected_vertices, 16)));
}

std::uint32_t Welder::index_of(const Vec3& point) {
  const Vec3 p = point + Vec3(0.0);  // -0 becomes 0, so that equal numbers have equal bits
  std::size_t slot = hash_of(p) & (slots_.size() - 1);
  while (slots_[slot] != 0) {
    const std::uint32_t index = slots_[slot] - 1;
    const Vec3& v = vertices_[index];
    // Without shortcuts: one branch that is nearly always taken.
    if (((v.x == p.x) & (v.y == p.y) & (v.z == p.z)) != 0) return index;
    slot = (slot + 1) & (slots_.size() - 1);
  }
  BIGHT_CHECK(vertices_.size() < std::numeric_limits<std::uint32_t>::max() - 1);
  vertices_.push_back(p);
  const auto count = static_cast<std::uint32_t>(vertices_.size());
  slots_[slot] = count;
  if (2 * vertices_.size() > slots_.size()) grow(2 * slots_.size());
  return count - 1;
}

void Welder::grow(std::size_t slots) {
  slots_.assign(slots, 0);
  for (std::size_t i = 0; i < vertices_.size(); ++i) {
    std::size_t slot = hash_of(vertices_[i]) & (slots - 1);
    while (slots_[slot] != 0) slot = (slot + 1) & (slots - 1);
    slots_[slot] = static_cast<std::uint32_t>(i + 1);
  }
}

Mesh welded(const Mesh& mesh) {
  Welder welder(mesh.vertices.size() / 4);
  Mesh result;
  result.triangles.reserve(mesh.triangles.size());
  for (const auto& t : mesh.triangles) {
    result.triangles.push_back({welder.index_of(mesh.vertices[t[0]]),
                                welder.index_of(mesh.vertices[t[1]]),
                                welder.index_of(mesh.vertices[t[2]])});
  }
  result.vertices = welder.take_vertices();
  return result;
}

}  // namespace bight::shape
