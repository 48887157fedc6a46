#pragma once
// What a graphics card draws of the meshes of a scene, made beforehand: on another thread, while a
// context is still being made. No OpenGL.

#include <memory>
#include <unordered_map>
#include <vector>

#include "render/mesh_buffers.h"
#include "scene/scene.h"

namespace bight::render {

/// Buffers of meshes, by the address of the mesh.
using ReadyMeshes = std::unordered_map<const shape::Mesh*, MeshBuffers>;

/// The meshes of a scene, each once.
std::vector<std::shared_ptr<const shape::Mesh>> meshes_of(const scene::Scene& scene);

/// Their buffers, made in parallel.
ReadyMeshes buffers_of(const std::vector<std::shared_ptr<const shape::Mesh>>& meshes);

}  // namespace bight::render
