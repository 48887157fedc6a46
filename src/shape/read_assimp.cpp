#include <assimp/DefaultIOSystem.h>
#include <assimp/importerdesc.h>
#include <assimp/scene.h>

#include <algorithm>
#include <assimp/DefaultLogger.hpp>
#include <assimp/Importer.hpp>
#include <assimp/LogStream.hpp>
#include <limits>
#include <new>
#include <vector>

#include "shape/cut_polygon.h"
#include "shape/mesh_collector_detail.h"
#include "shape/read_detail.h"

namespace bight::shape {
namespace {

/// Opens regular files only, within the limit of bytes: a file may name others (buffers, textures).
class BoundedFiles : public Assimp::DefaultIOSystem {
 public:
  explicit BoundedFiles(std::uintmax_t limit) : limit_(limit) {}

  Assimp::IOStream* Open(const char* name, const char* mode) override {
    std::error_code error;
    const std::filesystem::path path(name);
    if (mode == nullptr || mode[0] != 'r' || !std::filesystem::is_regular_file(path, error) ||
        error || std::filesystem::file_size(path, error) > limit_ || error) {
      return nullptr;
    }
    return Assimp::DefaultIOSystem::Open(name, mode);
  }

 private:
  std::uintmax_t limit_;
};

/// Transform from a node to the scene, in double precision: p -> linear p + shift.
struct Affine {
  Mat3 linear{1.0};
  Vec3 shift{0.0};

  Vec3 operator()(const aiVector3D& p) const { return linear * Vec3(p.x, p.y, p.z) + shift; }
};

Affine after(const Affine& outer, const aiMatrix4x4& m) {
  const Mat3 linear(Vec3(m.a1, m.b1, m.c1), Vec3(m.a2, m.b2, m.c2), Vec3(m.a3, m.b3, m.c3));
  return {outer.linear * linear, outer.linear * Vec3(m.a4, m.b4, m.c4) + outer.shift};
}

/// A mesh of the scene in its place; a mesh may be placed more than once.
struct Instance {
  const aiMesh* mesh = nullptr;
  Affine place;
};

std::vector<Instance> instances_of(const aiScene& scene) {
  struct Step {
    const aiNode* node;
    Affine outer;
  };
  std::vector<Instance> instances;
  std::vector<Step> open;
  if (scene.mRootNode != nullptr) open.push_back({scene.mRootNode, {}});
  while (!open.empty()) {
    const Step step = open.back();
    open.pop_back();
    const Affine place = after(step.outer, step.node->mTransformation);
    for (unsigned i = 0; i < step.node->mNumMeshes; ++i) {
      if (step.node->mMeshes[i] >= scene.mNumMeshes) continue;
      instances.push_back({scene.mMeshes[step.node->mMeshes[i]], place});
    }
    for (unsigned i = step.node->mNumChildren; i-- > 0;) {
      open.push_back({step.node->mChildren[i], place});
    }
  }
  return instances;
}

/// Adds the faces of an instance as triangles; false when the collector has had enough.
bool collect(const Instance& instance, MeshCollector& collector, ImportReport& report) {
  const aiMesh& mesh = *instance.mesh;
  const bool mirrored = glm::determinant(instance.place.linear) < 0.0;
  ++report.meshes;
  report.vertices_in_file += mesh.mNumVertices;
  std::vector<Vec3> corners;
  for (unsigned f = 0; f < mesh.mNumFaces; ++f) {
    const aiFace& face = mesh.mFaces[f];
    if (face.mNumIndices < 3) {
      ++report.skipped_faces;
      continue;
    }
    corners.clear();
    for (unsigned i = 0; i < face.mNumIndices; ++i) {
      const unsigned index = face.mIndices[mirrored ? face.mNumIndices - 1 - i : i];
      // What is out of range becomes not finite, which the collector refuses.
      corners.push_back(index < mesh.mNumVertices ? instance.place(mesh.mVertices[index])
                                                  : Vec3(std::numeric_limits<double>::quiet_NaN()));
    }
    if (corners.size() == 3) {
      if (!collector.add({corners[0], corners[1], corners[2]})) return false;
      continue;
    }
    const PolygonCut cut = cut_polygon(corners);
    if (!cut.simple) ++report.crossed_polygons;
    for (const auto& t : cut.triangles) {
      if (!collector.add({corners[t[0]], corners[t[1]], corners[t[2]]})) return false;
    }
  }
  return true;
}

/// Materials, textures and packaging say nothing about the shape.
bool about_appearance(const std::string& warning) {
  constexpr std::array k_words = {"material", "texture", "UV", "Ignored file of un"};
  return std::any_of(k_words.begin(), k_words.end(),
                     [&](const char* word) { return warning.find(word) != std::string::npos; });
}

/// Collects what the library warns of while it lives, for instance faces that it leaves out.
class Warnings : public Assimp::LogStream {
 public:
  explicit Warnings(std::vector<std::string>& texts) : texts_(texts) {
    Assimp::DefaultLogger::create("", Assimp::Logger::NORMAL, 0);
    Assimp::DefaultLogger::get()->attachStream(this, k_severities);
  }
  Warnings(const Warnings&) = delete;
  Warnings& operator=(const Warnings&) = delete;
  ~Warnings() override {
    Assimp::DefaultLogger::get()->detachStream(this, k_severities);
    Assimp::DefaultLogger::kill();
  }

  /// Lines come as "Warn,  T0: text".
  void write(const char* message) override {
    std::string text(message);
    if (const std::size_t end = text.find(": "); end != std::string::npos) text.erase(0, end + 2);
    while (!text.empty() && text.back() == '\n') text.pop_back();
    const bool known = std::find(texts_.begin(), texts_.end(), text) != texts_.end();
    if (known || about_appearance(text) || texts_.size() == k_most) return;
    texts_.push_back(std::move(text));
  }

 private:
  static constexpr unsigned k_severities = Assimp::Logger::Warn | Assimp::Logger::Err;
  static constexpr std::size_t k_most = 8;
  std::vector<std::string>& texts_;
};

std::string format_of(const Assimp::Importer& importer) {
  const int index = importer.GetPropertyInteger("importerIndex", -1);
  const aiImporterDesc* about =
      index < 0 ? nullptr : importer.GetImporterInfo(static_cast<std::size_t>(index));
  return about == nullptr || about->mName == nullptr ? "unknown" : about->mName;
}

/// Why the importer has no scene. It passes what() of exceptions on; want of memory is told apart.
std::string problem_of(const Assimp::Importer& importer) {
  std::string text = importer.GetErrorString();
  if (text.find("bad_alloc") != std::string::npos) throw std::bad_alloc();
  if (text.find("No suitable reader") == 0) {
    return "its format is not known; STL, OBJ, PLY, glTF 2 and 3MF are";
  }
  return text;
}

}  // namespace

Reading read_with_assimp(const std::filesystem::path& path, const ImportOptions& options) {
  std::vector<std::string> warnings;
  const Warnings listening(warnings);
  Assimp::Importer importer;
  importer.SetIOHandler(new BoundedFiles(options.bytes_limit));  // the importer owns it
  // No post-processing: joining vertices is dear (facet normals of an STL keep it from joining
  // anything) and ours is exact; cutting polygons is not right for concave ones.
  const aiScene* scene = importer.ReadFile(path.string(), 0);
  if (scene == nullptr) return {{}, {}, problem_of(importer), std::move(warnings)};
  ImportReport report{.format = format_of(importer)};

  std::size_t faces = 0;
  const std::vector<Instance> instances = instances_of(*scene);
  for (const Instance& instance : instances) faces += instance.mesh->mNumFaces;
  if (std::string problem = too_many_triangles(faces, options); !problem.empty()) {
    return {{}, report, std::move(problem), std::move(warnings)};
  }

  MeshCollector collector(options, faces);
  for (const Instance& instance : instances) {
    if (!collect(instance, collector, report)) break;
  }
  Reading reading = collector.finish(std::move(report));
  reading.warnings = std::move(warnings);
  return reading;
}

}  // namespace bight::shape
