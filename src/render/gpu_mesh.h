#pragma once
// Meshes on the graphics card, kept by the address of the mesh that they were made from.

#include <epoxy/gl.h>

#include <memory>
#include <span>
#include <unordered_map>
#include <vector>

#include "render/ready_meshes.h"
#include "scene/scene.h"

namespace bight::render {

/// Vertex array and buffers of one mesh. A context must be current while it lives.
class GpuMesh {
 public:
  explicit GpuMesh(const MeshBuffers& buffers);
  ~GpuMesh();
  GpuMesh(const GpuMesh&) = delete;
  GpuMesh& operator=(const GpuMesh&) = delete;

  /// One copy at the constant attributes 2, 3 and 4.
  void draw_faces() const;
  /// Many copies: nine numbers each (origin, X axis, Z axis) in the buffer given.
  void draw_faces(GLuint places, std::size_t count) const;
  /// Its longest edges, at most so many, as rectangles, at the constant attributes 2 (phase), 3
  /// (colour) and 4 (origin).
  void draw_edges(std::size_t most) const;

  std::size_t triangles() const { return triangles_; }
  std::size_t edges() const { return edges_; }
  const Vec3& origin() const { return origin_; }

 private:
  GLuint face_array_ = 0;
  GLuint edge_array_ = 0;
  GLuint buffers_[3] = {0, 0, 0};  ///< vertices, triangles, edges
  std::size_t triangles_ = 0;
  std::size_t edges_ = 0;
  Vec3 origin_{0.0};
};

/// What is known of a mesh that a scene shows.
struct CachedMesh {
  std::weak_ptr<const shape::Mesh> mesh;
  std::unique_ptr<GpuMesh> full;
  std::unique_ptr<GpuMesh> stand_in;  ///< made when first asked for
  std::vector<MeshEdge> edges;        ///< of small meshes, for their copies
};

class MeshCache {
 public:
  /// Uploads what is new, in parallel up to the upload itself, and frees what no scene holds any
  /// more. Takes from `ready` what is there. Returns the number of new ones.
  std::size_t prepare(const scene::Scene& scene, ReadyMeshes ready = {});
  CachedMesh& of(const std::shared_ptr<const shape::Mesh>& mesh);
  /// The stand-in of a mesh, made when it is not there.
  const GpuMesh& stand_in(CachedMesh& cached);

 private:
  std::unordered_map<const shape::Mesh*, CachedMesh> meshes_;
};

}  // namespace bight::render
