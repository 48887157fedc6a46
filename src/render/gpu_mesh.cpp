#include "render/gpu_mesh.h"

#include <algorithm>
#include <cstddef>

#include "base/check.h"

namespace bight::render {
namespace {

void fill(GLenum target, GLuint buffer, std::size_t bytes, const void* data) {
  glBindBuffer(target, buffer);
  glBufferData(target, static_cast<GLsizeiptr>(bytes), data, GL_STATIC_DRAW);
}

const void* at(std::size_t bytes) {
  // OpenGL's way to name an offset.
  return reinterpret_cast<const void*>(bytes);  // NOLINT(performance-no-int-to-ptr)
}

constexpr std::size_t k_keep_edges = 2'000;  // copies of larger meshes are drawn without edges
constexpr int k_stand_in_cells = 40;

}  // namespace

GpuMesh::GpuMesh(const MeshBuffers& buffers)
    : triangles_(buffers.triangles.size()), edges_(buffers.edges.size()), origin_(buffers.origin) {
  glGenBuffers(3, buffers_);
  glGenVertexArrays(1, &face_array_);
  glBindVertexArray(face_array_);
  fill(GL_ARRAY_BUFFER, buffers_[0], buffers.vertices.size() * sizeof(MeshVertex),
       buffers.vertices.data());
  fill(GL_ELEMENT_ARRAY_BUFFER, buffers_[1], 12 * triangles_, buffers.triangles.data());
  glEnableVertexAttribArray(0);
  glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(MeshVertex), at(0));
  glEnableVertexAttribArray(1);
  glVertexAttribPointer(1, 3, GL_SHORT, GL_TRUE, sizeof(MeshVertex),
                        at(offsetof(MeshVertex, normal)));
  glGenVertexArrays(1, &edge_array_);
  glBindVertexArray(edge_array_);
  fill(GL_ARRAY_BUFFER, buffers_[2], edges_ * sizeof(MeshEdge), buffers.edges.data());
  for (const GLuint i : {0U, 1U}) {
    glEnableVertexAttribArray(i);
    glVertexAttribPointer(i, 3, GL_FLOAT, GL_FALSE, sizeof(MeshEdge), at(12UL * i));
    glVertexAttribDivisor(i, 1);
  }
  glBindVertexArray(0);
}

GpuMesh::~GpuMesh() {
  glDeleteVertexArrays(1, &face_array_);
  glDeleteVertexArrays(1, &edge_array_);
  glDeleteBuffers(3, buffers_);
}

void GpuMesh::draw_faces() const {
  glBindVertexArray(face_array_);
  glDrawElements(GL_TRIANGLES, static_cast<GLsizei>(3 * triangles_), GL_UNSIGNED_INT, nullptr);
}

void GpuMesh::draw_faces(GLuint places, std::size_t count) const {
  glBindVertexArray(face_array_);
  glBindBuffer(GL_ARRAY_BUFFER, places);
  constexpr std::size_t k_stride = 9 * sizeof(float);
  for (const GLuint i : {2U, 3U, 4U}) {
    glEnableVertexAttribArray(i);
    glVertexAttribPointer(i, 3, GL_FLOAT, GL_FALSE, k_stride, at(12UL * (i - 2)));
    glVertexAttribDivisor(i, 1);
  }
  glDrawElementsInstanced(GL_TRIANGLES, static_cast<GLsizei>(3 * triangles_), GL_UNSIGNED_INT,
                          nullptr, static_cast<GLsizei>(count));
  for (const GLuint i : {2U, 3U, 4U}) glDisableVertexAttribArray(i);
}

void GpuMesh::draw_edges(std::size_t most) const {
  const std::size_t count = std::min(edges_, most);
  if (count == 0) return;
  glBindVertexArray(edge_array_);
  glDrawArraysInstanced(GL_TRIANGLE_STRIP, 0, 4, static_cast<GLsizei>(count));
}

std::size_t MeshCache::prepare(const scene::Scene& scene, ReadyMeshes ready) {
  std::erase_if(meshes_, [](const auto& entry) { return entry.second.mesh.expired(); });
  std::vector<std::shared_ptr<const shape::Mesh>> fresh;
  for (const auto& mesh : meshes_of(scene)) {
    CachedMesh& cached = meshes_[mesh.get()];
    if (cached.mesh.lock() == mesh) continue;
    cached = {};
    cached.mesh = mesh;
    fresh.push_back(mesh);
  }
  std::vector<std::shared_ptr<const shape::Mesh>> missing;
  for (const auto& mesh : fresh) {
    if (!ready.contains(mesh.get())) missing.push_back(mesh);
  }
  ready.merge(buffers_of(missing));
  for (const auto& mesh : fresh) {
    CachedMesh& cached = meshes_[mesh.get()];
    MeshBuffers& buffers = ready.at(mesh.get());
    cached.full = std::make_unique<GpuMesh>(buffers);
    if (buffers.edges.size() <= k_keep_edges) cached.edges = std::move(buffers.edges);
  }
  return fresh.size();
}

CachedMesh& MeshCache::of(const std::shared_ptr<const shape::Mesh>& mesh) {
  const auto it = meshes_.find(mesh.get());
  BIGHT_CHECK(it != meshes_.end());
  return it->second;
}

const GpuMesh& MeshCache::stand_in(CachedMesh& cached) {
  if (!cached.stand_in) {
    const auto mesh = cached.mesh.lock();
    BIGHT_CHECK(mesh);
    cached.stand_in = std::make_unique<GpuMesh>(make_stand_in(*mesh, k_stand_in_cells));
  }
  return *cached.stand_in;
}

}  // namespace bight::render
