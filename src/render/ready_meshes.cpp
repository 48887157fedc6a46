#include "render/ready_meshes.h"

#include <algorithm>

#include "base/parallel.h"

namespace bight::render {

std::vector<std::shared_ptr<const shape::Mesh>> meshes_of(const scene::Scene& scene) {
  std::vector<std::shared_ptr<const shape::Mesh>> meshes;
  for (const scene::Solid& solid : scene.solids) meshes.push_back(solid.mesh);
  for (const scene::Instances& instances : scene.instances) meshes.push_back(instances.mesh);
  std::sort(meshes.begin(), meshes.end());
  meshes.erase(std::unique(meshes.begin(), meshes.end()), meshes.end());
  return meshes;
}

ReadyMeshes buffers_of(const std::vector<std::shared_ptr<const shape::Mesh>>& meshes) {
  std::vector<MeshBuffers> buffers(meshes.size());
  parallel_for(meshes.size(), 0,
               [&](std::size_t i) { buffers[i] = make_mesh_buffers(*meshes[i]); });
  ReadyMeshes ready;
  for (std::size_t i = 0; i < meshes.size(); ++i) ready[meshes[i].get()] = std::move(buffers[i]);
  return ready;
}

}  // namespace bight::render
