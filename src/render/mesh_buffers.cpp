#include "render/mesh_buffers.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <unordered_map>

namespace bight::render {
namespace {

using Float3 = std::array<float, 3>;

float dot(const Float3& a, const Float3& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

Float3 minus(const Float3& a, const Float3& b) {
  return {a[0] - b[0], a[1] - b[1], a[2] - b[2]};
}

Float3 unit(const Float3& a) {
  const float length = std::sqrt(dot(a, a));
  if (!(length > 0.0F)) return {0.0F, 0.0F, 0.0F};
  return {a[0] / length, a[1] / length, a[2] / length};
}

/// Corners of triangles sorted by vertex.
struct Incidence {
  std::vector<std::uint32_t> first;   ///< of each vertex, and one past the end
  std::vector<std::uint32_t> corner;  ///< 3 * triangle + corner
};

Incidence incidence_of(const shape::Mesh& mesh) {
  Incidence all;
  all.first.assign(mesh.vertices.size() + 1, 0);
  for (const auto& t : mesh.triangles) {
    for (const std::uint32_t v : t) ++all.first[v + 1];
  }
  for (std::size_t i = 1; i < all.first.size(); ++i) all.first[i] += all.first[i - 1];
  all.corner.resize(3 * mesh.triangles.size());
  std::vector<std::uint32_t> next(all.first.begin(), all.first.end() - 1);
  for (std::uint32_t t = 0; t < mesh.triangles.size(); ++t) {
    for (std::uint32_t k = 0; k < 3; ++k) {
      all.corner[next[mesh.triangles[t][k]]++] = 3 * t + k;
    }
  }
  return all;
}

/// Beyond so many triangles about one vertex its normals stay those of the faces, since comparing
/// each with each would take too long.
constexpr std::size_t k_most_about_vertex = 600;

class Builder {
 public:
  explicit Builder(const shape::Mesh& mesh) : mesh_(mesh), incidence_(incidence_of(mesh)) {
    const Box box = shape::bounds(mesh);
    if (!box.empty()) buffers_.origin = box.center();
    positions_.reserve(mesh.vertices.size());
    for (const Vec3& v : mesh.vertices) {
      const Vec3 p = v - buffers_.origin;
      positions_.push_back(
          {static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)});
    }
    measure_faces();
  }

  MeshBuffers build() {
    buffers_.triangles.resize(mesh_.triangles.size());
    buffers_.vertices.reserve(mesh_.vertices.size() + mesh_.vertices.size() / 2);
    for (std::uint32_t v = 0; v < mesh_.vertices.size(); ++v) {
      add_normals(v);
      add_edges(v);
    }
    const auto length = [](const MeshEdge& e) {
      const Float3 d{e.to[0] - e.from[0], e.to[1] - e.from[1], e.to[2] - e.from[2]};
      return dot(d, d);
    };
    std::stable_sort(buffers_.edges.begin(), buffers_.edges.end(),
                     [&](const MeshEdge& a, const MeshEdge& b) { return length(a) > length(b); });
    return std::move(buffers_);
  }

 private:
  void measure_faces() {
    normals_.reserve(mesh_.triangles.size());
    angles_.reserve(mesh_.triangles.size());
    for (const auto& t : mesh_.triangles) {
      const Float3& a = positions_[t[0]];
      const Float3& b = positions_[t[1]];
      const Float3& c = positions_[t[2]];
      const Float3 ab = minus(b, a);
      const Float3 ac = minus(c, a);
      const Float3 n{ab[1] * ac[2] - ab[2] * ac[1], ab[2] * ac[0] - ab[0] * ac[2],
                     ab[0] * ac[1] - ab[1] * ac[0]};
      normals_.push_back(unit(n));
      const Float3 u = unit(ab);
      const Float3 v = unit(ac);
      const Float3 w = unit(minus(c, b));
      const float at_a = std::acos(std::clamp(dot(u, v), -1.0F, 1.0F));
      const float at_b = std::acos(std::clamp(-dot(u, w), -1.0F, 1.0F));
      angles_.push_back({at_a, at_b, std::max(0.0F, std::numbers::pi_v<float> - at_a - at_b)});
    }
  }

  /// Normals weighted by the corner angle (Thuermer, Wuethrich, Computing vertex normals from
  /// polygonal facets, 1998), over the faces that bend by less than a crease.
  void add_normals(std::uint32_t v) {
    const std::size_t begin = incidence_.first[v];
    const std::size_t end = incidence_.first[v + 1];
    const bool smooth = end - begin <= k_most_about_vertex;
    const std::size_t made = buffers_.vertices.size();
    for (std::size_t i = begin; i < end; ++i) {
      const std::uint32_t corner = incidence_.corner[i];
      const Float3& own = normals_[corner / 3];
      Float3 sum = own;
      if (smooth) {
        sum = {0.0F, 0.0F, 0.0F};
        for (std::size_t k = begin; k < end; ++k) {
          const std::uint32_t other = incidence_.corner[k];
          const Float3& n = normals_[other / 3];
          if (dot(own, n) < k_cosine) continue;
          const float weight = angles_[other / 3][other % 3];
          for (std::size_t c = 0; c < 3; ++c) sum[c] += weight * n[c];
        }
        sum = unit(sum);
      }
      MeshVertex vertex{};
      std::copy(positions_[v].begin(), positions_[v].end(), vertex.position);
      for (std::size_t c = 0; c < 3; ++c) {
        vertex.normal[c] = static_cast<std::int16_t>(std::lround(sum[c] * 32767.0F));
      }
      buffers_.triangles[corner / 3][corner % 3] = index_of(vertex, made);
    }
  }

  /// A vertex with this normal, among the last of those made at the same place.
  std::uint32_t index_of(const MeshVertex& vertex, std::size_t made) {
    constexpr std::size_t k_look_back = 16;
    std::vector<MeshVertex>& all = buffers_.vertices;
    const std::size_t first = all.size() - made > k_look_back ? all.size() - k_look_back : made;
    for (std::size_t i = first; i < all.size(); ++i) {
      if (std::equal(vertex.normal, vertex.normal + 3, all[i].normal)) {
        return static_cast<std::uint32_t>(i);
      }
    }
    all.push_back(vertex);
    return static_cast<std::uint32_t>(all.size() - 1);
  }

  /// Edges from v to vertices of a higher number.
  void add_edges(std::uint32_t v) {
    sides_.clear();
    for (std::size_t i = incidence_.first[v]; i < incidence_.first[v + 1]; ++i) {
      const std::uint32_t corner = incidence_.corner[i];
      const auto& t = mesh_.triangles[corner / 3];
      if (normals_[corner / 3] == Float3{0.0F, 0.0F, 0.0F}) continue;
      for (const std::uint32_t step : {1U, 2U}) {
        const std::uint32_t w = t[(corner % 3 + step) % 3];
        if (w > v) sides_.push_back({w, corner / 3});
      }
    }
    std::sort(sides_.begin(), sides_.end());
    for (std::size_t i = 0; i < sides_.size();) {
      std::size_t k = i + 1;
      while (k < sides_.size() && sides_[k].first == sides_[i].first) ++k;
      const bool flat =
          k - i == 2 && dot(normals_[sides_[i].second], normals_[sides_[i + 1].second]) > k_cosine;
      if (!flat) {
        MeshEdge edge{};
        std::copy(positions_[v].begin(), positions_[v].end(), edge.from);
        const Float3& to = positions_[sides_[i].first];
        std::copy(to.begin(), to.end(), edge.to);
        buffers_.edges.push_back(edge);
      }
      i = k;
    }
  }

  static constexpr float k_cosine = 0.86602540F;  // of k_crease_deg

  const shape::Mesh& mesh_;
  Incidence incidence_;
  std::vector<Float3> positions_;
  std::vector<Float3> normals_;
  std::vector<Float3> angles_;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> sides_;
  MeshBuffers buffers_;
};

}  // namespace

MeshBuffers make_mesh_buffers(const shape::Mesh& mesh) {
  return Builder(mesh).build();
}

MeshBuffers make_stand_in(const shape::Mesh& mesh, int cells) {
  const Box box = shape::bounds(mesh);
  if (box.empty()) return {};
  const Vec3 size = box.size();
  const double cell = std::max({size.x, size.y, size.z, 1e-9}) / std::max(cells, 1);
  shape::Mesh coarse;
  std::unordered_map<std::uint64_t, std::uint32_t> cluster;
  std::vector<std::uint32_t> of(mesh.vertices.size());
  std::vector<double> count;
  for (std::size_t i = 0; i < mesh.vertices.size(); ++i) {
    const Vec3 p = (mesh.vertices[i] - box.lower) / cell;
    const auto key = (static_cast<std::uint64_t>(p.x) << 42U) |
                     (static_cast<std::uint64_t>(p.y) << 21U) | static_cast<std::uint64_t>(p.z);
    const auto [it, added] =
        cluster.try_emplace(key, static_cast<std::uint32_t>(coarse.vertices.size()));
    if (added) {
      coarse.vertices.emplace_back(0.0);
      count.push_back(0.0);
    }
    of[i] = it->second;
    coarse.vertices[it->second] += mesh.vertices[i];
    count[it->second] += 1.0;
  }
  for (std::size_t i = 0; i < count.size(); ++i) coarse.vertices[i] /= count[i];
  std::vector<std::array<std::uint32_t, 3>> kept;
  for (const auto& t : mesh.triangles) {
    std::array<std::uint32_t, 3> c{of[t[0]], of[t[1]], of[t[2]]};
    if (c[0] == c[1] || c[1] == c[2] || c[2] == c[0]) continue;
    // The lowest corner first, so that equal triangles are equal; their sense stays.
    std::rotate(c.begin(), std::min_element(c.begin(), c.end()), c.end());
    kept.push_back(c);
  }
  std::sort(kept.begin(), kept.end());
  kept.erase(std::unique(kept.begin(), kept.end()), kept.end());
  coarse.triangles = std::move(kept);
  MeshBuffers buffers = make_mesh_buffers(coarse);
  const double least = 1.5 * cell;
  std::erase_if(buffers.edges, [&](const MeshEdge& e) {
    const Float3 d{e.to[0] - e.from[0], e.to[1] - e.from[1], e.to[2] - e.from[2]};
    return dot(d, d) < least * least;
  });
  return buffers;
}

}  // namespace bight::render
