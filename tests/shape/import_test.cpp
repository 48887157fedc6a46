#include "shape/import.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>
#include <map>
#include <random>

#include "shape/health.h"
#include "shape/mesh_checks.h"
#include "shape/model_counts.h"
#include "shape/primitive.h"
#include "shape/read_detail.h"

namespace bight::shape {
namespace {

namespace fs = std::filesystem;

/// Folder of its own for the files of a test.
class Folder {
 public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "bight-import-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path_); }

  fs::path file(const std::string& name, const std::string& bytes) const {
    std::ofstream(path_ / name, std::ios::binary) << bytes;
    return path_ / name;
  }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

struct Outcome {
  ImportResult result;
  std::string words;  ///< all diagnostics, one a line

  bool loaded() const { return result.mesh.has_value(); }
};

/// Imports and holds the result to its promises: a mesh or an error, never both or neither; indices
/// in range, coordinates finite, the report true to the mesh.
Outcome import(const fs::path& path, const ImportOptions& options = {}) {
  Diagnostics diagnostics;
  Outcome outcome{import_mesh(path, options, diagnostics), {}};
  for (const Diagnostic& d : diagnostics.items()) outcome.words += to_text(d) + '\n';
  EXPECT_NE(outcome.loaded(), diagnostics.has_errors()) << path << '\n' << outcome.words;
  if (!outcome.loaded()) return outcome;
  const Mesh& mesh = *outcome.result.mesh;
  EXPECT_FALSE(mesh.empty());
  for (const Vec3& v : mesh.vertices) EXPECT_TRUE(is_finite(v));
  for (const auto& t : mesh.triangles) {
    for (const std::uint32_t v : t) EXPECT_LT(v, mesh.vertices.size());
  }
  EXPECT_EQ(outcome.result.report.triangles, mesh.triangles.size());
  EXPECT_EQ(outcome.result.report.vertices, mesh.vertices.size());
  EXPECT_EQ(outcome.result.report.box.lower, bounds(mesh).lower);
  EXPECT_EQ(outcome.result.report.box.upper, bounds(mesh).upper);
  return outcome;
}

/// A binary STL with the triangles of `mesh`, in single precision.
std::string binary_stl(const Mesh& mesh) {
  std::string bytes(80, ' ');
  const auto put = [&bytes](auto value) {
    bytes.append(reinterpret_cast<const char*>(&value), sizeof(value));
  };
  put(static_cast<std::uint32_t>(mesh.triangles.size()));
  for (const auto& t : mesh.triangles) {
    for (int i = 0; i < 3; ++i) put(0.0F);
    for (const std::uint32_t v : t) {
      for (int i = 0; i < 3; ++i) put(static_cast<float>(mesh.vertices[v][i]));
    }
    put(std::uint16_t{0});
  }
  return bytes;
}

const char* const k_tetrahedron_obj =
    "v 1 2 3\nv 2 2 3\nv 1 4 3\nv 1 2 6\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n";

const fs::path k_models = "/usr/share/assimp/models";
const fs::path k_corpus = fs::path(BIGHT_SOURCE_DIR) / "tests/corpus/mesh";

TEST(Import, ABinaryStlGivesItsSharedVerticesBack) {
  const Folder folder;
  const Mesh box = make_box({1, 2, 3}, {10, 20, 30});

  const Outcome outcome = import(folder.file("box.STL", binary_stl(box)));

  ASSERT_TRUE(outcome.loaded()) << outcome.words;
  expect_watertight_and_outward(*outcome.result.mesh);
  EXPECT_EQ(outcome.words, "");
  EXPECT_EQ(outcome.result.report.format, "binary STL");
  EXPECT_EQ(outcome.result.report.meshes, 1U);
  EXPECT_EQ(outcome.result.report.triangles, 12U);
  EXPECT_EQ(outcome.result.report.vertices_in_file, 36U);
  EXPECT_EQ(outcome.result.report.vertices, 8U);
  EXPECT_EQ(outcome.result.report.box.lower, Vec3(1, 2, 3));
  EXPECT_EQ(outcome.result.report.box.upper, Vec3(11, 22, 33));
}

TEST(Import, UnitAndUpAxisAreApplied) {
  const Folder folder;
  const fs::path path = folder.file("tetrahedron.obj", k_tetrahedron_obj);

  const Outcome inches = import(path, {.mm_per_unit = 25.4});
  const Outcome y_up = import(path, {.up = UpAxis::y});

  ASSERT_TRUE(inches.loaded() && y_up.loaded());
  EXPECT_EQ(inches.result.report.box.lower, 25.4 * Vec3(1, 2, 3));
  EXPECT_EQ(inches.result.report.box.upper, 25.4 * Vec3(2, 4, 6));
  // X stays, Y becomes Z, Z becomes -Y: a turn, so the surface still faces outward.
  EXPECT_EQ(y_up.result.report.box.lower, Vec3(1, -6, 2));
  EXPECT_EQ(y_up.result.report.box.upper, Vec3(2, -3, 4));
  expect_watertight_and_outward(*y_up.result.mesh);
  EXPECT_NEAR(signed_volume(*y_up.result.mesh), 1.0 * 2.0 * 3.0 / 6.0, 1e-12);
}

TEST(Import, ConcavePolygonsAreCutInsideTheirOutline) {
  const Folder folder;
  // An L of area 3, as a single face.
  const Outcome outcome = import(folder.file(
      "ell.obj", "v 0 0 0\nv 2 0 0\nv 2 1 0\nv 1 1 0\nv 1 2 0\nv 0 2 0\nf 1 2 3 4 5 6\n"));

  ASSERT_TRUE(outcome.loaded());
  ASSERT_EQ(outcome.result.mesh->triangles.size(), 4U);
  double area = 0.0;
  for (const auto& t : outcome.result.mesh->triangles) {
    const auto& v = outcome.result.mesh->vertices;
    area += 0.5 * glm::length(glm::cross(v[t[1]] - v[t[0]], v[t[2]] - v[t[0]]));
  }
  EXPECT_NEAR(area, 3.0, 1e-12);
}

// Two nodes place one mesh: one moved, one mirrored in X and so turned back to face outward.
TEST(Import, NodeTransformsAreAppliedAndMirroredInstancesKeepFacingOutward) {
  const Folder folder;
  const Mesh box = make_box({0, 0, 0}, {1, 2, 3});
  std::string buffer;
  for (const auto& t : box.triangles) {
    for (const std::uint32_t v : t) {
      for (int i = 0; i < 3; ++i) {
        const auto f = static_cast<float>(box.vertices[v][i]);
        buffer.append(reinterpret_cast<const char*>(&f), 4);
      }
    }
  }
  folder.file("box.bin", buffer);
  const nlohmann::json gltf = {
      {"asset", {{"version", "2.0"}}},
      {"scene", 0},
      {"scenes", {{{"nodes", {0}}}}},
      {"nodes",
       {{{"children", {1, 2}}, {"translation", {0, 0, 100}}},
        {{"mesh", 0}, {"translation", {10, 0, 0}}},
        {{"mesh", 0}, {"scale", {-1, 1, 1}}}}},
      {"meshes", {{{"primitives", {{{"attributes", {{"POSITION", 0}}}}}}}}},
      {"accessors",
       {{{"bufferView", 0}, {"componentType", 5126}, {"count", 36}, {"type", "VEC3"}}}},
      {"bufferViews", {{{"buffer", 0}, {"byteLength", buffer.size()}}}},
      {"buffers", {{{"byteLength", buffer.size()}, {"uri", "box.bin"}}}}};

  const Outcome outcome = import(folder.file("boxes.gltf", gltf.dump()));

  ASSERT_TRUE(outcome.loaded()) << outcome.words;
  EXPECT_EQ(outcome.result.report.meshes, 2U);
  EXPECT_EQ(outcome.result.report.box.lower, Vec3(-1, 0, 100));
  EXPECT_EQ(outcome.result.report.box.upper, Vec3(11, 2, 103));
  expect_watertight_and_outward(*outcome.result.mesh);
  EXPECT_NEAR(signed_volume(*outcome.result.mesh), 12.0, 1e-9);
}

// The box of the 3MF model is 10 x 20 x 30 by its text.
TEST(Import, A3mfIsUnpacked) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";

  const Outcome outcome = import(k_models / "3MF/box.3mf");

  ASSERT_TRUE(outcome.loaded()) << outcome.words;
  expect_watertight_and_outward(*outcome.result.mesh);
  EXPECT_NEAR(signed_volume(*outcome.result.mesh), 6000.0, 1e-9);
}

TEST(Import, PointsAndLinesAreLeftOutWithANote) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";

  const Outcome outcome = import(k_models / "OBJ/testmixed.obj");

  // By its text: 6 quads, 6 lines of 4 ends without the closing piece, 6 groups of 4 points.
  ASSERT_TRUE(outcome.loaded());
  EXPECT_EQ(outcome.result.report.triangles, 12U);
  EXPECT_EQ(outcome.result.report.skipped_faces, 6U * 3U + 6U * 4U);
  EXPECT_NE(outcome.words.find("note: 42 points or lines were left out"), std::string::npos);
}

/// Models that cannot be had, with what must be said of them.
const std::map<std::string, std::string> k_refused = {
    {"glTF/BoxTextured-glTF-Binary/BoxTextured.glb", "format is not known"},  // binary glTF 1
    {"glTF2/BoxWithInfinites-glTF-Binary/BoxWithInfinites.glb", "not numbers"},
    {"glTF2/IndexOutOfRange/AllIndicesOutOfRange.gltf", "no faces"},
    {"glTF2/MissingBin/BoxTextured.gltf", "could not open referenced file"},
    {"glTF2/RecursiveNodes/RecursiveNodes.gltf", "recursive reference"},
    {"glTF2/SchemaFailures/sceneWrongType.gltf", "not of type"},
    {"glTF2/TestNoRootNode/NoScene.gltf", "No scene"},
    {"glTF2/TestNoRootNode/SceneWithoutNodes.gltf", "no triangles"},
    {"glTF2/issue_3269/texcoord_crash.gltf", "Invalid attribute"},
    {"glTF2/wrongTypes/badArray.gltf", "not of type"},
    {"glTF2/wrongTypes/badExtension.gltf", "not of type"},
    {"glTF2/wrongTypes/badNumber.gltf", "not of type"},
    {"glTF2/wrongTypes/badObject.gltf", "not of type"},
    {"glTF2/wrongTypes/badString.gltf", "not of type"},
    {"glTF2/wrongTypes/badUint.gltf", "not of type"},
    {"invalid/empty.obj", "too small"},
    {"invalid/empty.ply", "is empty"},
    {"invalid/malformed.obj", "Invalid face index"},
};

/// Models of which a part is unusable: fewer triangles, and a warning that says why.
const std::map<std::string, std::string> k_incomplete = {
    {"glTF2/IndexOutOfRange/IndexOutOfRange.gltf", "out-of-range indices"},
};

std::vector<fs::path> models() {
  const std::set<std::string> formats = {".stl", ".obj", ".ply", ".gltf", ".glb", ".3mf"};
  std::vector<fs::path> found;
  if (!fs::exists(k_models)) return found;
  for (const auto& entry : fs::recursive_directory_iterator(k_models)) {
    if (formats.count(lower_extension(entry.path())) != 0) found.push_back(entry.path());
  }
  std::sort(found.begin(), found.end());
  return found;
}

TEST(Import, EveryModelOfTheAssimpPackageHasItsTrianglesOrSaysWhyNot) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";
  std::size_t counted = 0;
  for (const fs::path& path : models()) {
    SCOPED_TRACE(path);
    const std::string name = fs::relative(path, k_models).string();

    const Outcome outcome = import(path);

    if (const auto refused = k_refused.find(name); refused != k_refused.end()) {
      EXPECT_FALSE(outcome.loaded());
      EXPECT_NE(outcome.words.find(refused->second), std::string::npos) << outcome.words;
      continue;
    }
    const std::optional<std::size_t> expected = count_triangles(path);
    if (!expected) continue;  // 3MF, checked above
    if (const auto partial = k_incomplete.find(name); partial != k_incomplete.end()) {
      EXPECT_LT(outcome.result.report.triangles, *expected);
      EXPECT_NE(outcome.words.find(partial->second), std::string::npos) << outcome.words;
    } else if (*expected == 0) {
      EXPECT_FALSE(outcome.loaded());
      EXPECT_NE(outcome.words.find("no triangles"), std::string::npos) << outcome.words;
    } else {
      EXPECT_EQ(outcome.result.report.triangles, *expected);
      ++counted;
    }
    if (outcome.result.report.format == "binary STL") {
      EXPECT_EQ(outcome.result.report.vertices, count_stl_vertices(bytes_of(path)));
    }
  }
  EXPECT_GE(counted, 50U);
}

TEST(Import, BothReadersAgreeOnBinaryStl) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";
  const Folder folder;
  folder.file("capsule.stl", binary_stl(make_capsule({5, 6, 7}, Axis::y, 40, 12)));
  for (const fs::path& path : {folder.path() / "capsule.stl", k_models / "STL/Spider_binary.stl",
                               k_models / "STL/Wuson.stl", k_models / "STL/3DSMaxExport.STL"}) {
    SCOPED_TRACE(path);
    const ImportOptions options{.mm_per_unit = 25.4, .up = UpAxis::y};

    const auto ours = read_binary_stl(path, options);
    const Reading theirs = read_with_assimp(path, options);

    ASSERT_TRUE(ours);
    EXPECT_EQ(ours->mesh.vertices, theirs.mesh.vertices);
    EXPECT_EQ(ours->mesh.triangles, theirs.mesh.triangles);
    EXPECT_EQ(ours->report.vertices_in_file, theirs.report.vertices_in_file);
  }
}

TEST(Import, TextAndBinaryStlOfOneModelGiveOneShape) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";
  const Outcome text = import(k_models / "STL/Spider_ascii.stl");
  const Outcome binary = import(k_models / "STL/Spider_binary.stl");

  ASSERT_TRUE(text.loaded() && binary.loaded());
  EXPECT_EQ(text.result.report.vertices, binary.result.report.vertices);
  EXPECT_EQ(text.result.report.triangles, binary.result.report.triangles);
}

/// Hostile files, with what must be said of them. Why each is hostile stands in its first bytes.
/// "Reading it failed" for want of memory, in words that differ under a sanitizer's allocator.
const std::map<std::string, std::string> k_hostile = {
    {"announces_four_billion_facets.stl", "cut short: it announces 4294967295 facets"},
    {"crossed_nodes.gltf", "reading it failed"},
    {"cut_short.ply", "it took more than"},
    {"device_as_buffer.gltf", "could not open referenced file"},
    {"doubled_nodes.gltf", "reading it failed"},
    {"far_too_large.obj", "is the unit right?"},
    {"flipped_bit.3mf", "ended by a signal"},  // one bit of an archive's header
    {"four_billion_vertices.ply", "reading it failed"},
    {"half_a_facet.stl", "announces 2 facets and has room for 1"},
    {"index_out_of_range.obj", "out of range"},
    {"node_cycle.gltf", "recursive reference"},
    {"not_a_number.stl", "not numbers"},
    {"not_a_number_text.stl", "not numbers"},
    {"only_lines.obj", "no triangles"},
};

TEST(Import, HostileFilesAreRefusedWithTheReason) {
  std::size_t files = 0;
  for (const auto& entry : fs::directory_iterator(k_corpus)) {
    SCOPED_TRACE(entry.path());
    const auto expected = k_hostile.find(entry.path().filename().string());
    ASSERT_NE(expected, k_hostile.end());

    const Outcome outcome = import(entry.path());

    EXPECT_FALSE(outcome.loaded());
    EXPECT_NE(outcome.words.find(expected->second), std::string::npos) << outcome.words;
    ++files;
  }
  EXPECT_EQ(files, k_hostile.size());
}

// What a hanging reader costs is tested above, so PLY, whose reader hangs on most cuts, is left
// out.
TEST(Import, DamagedModelsGiveAMeshOrAnError) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";
  const Folder folder;
  std::mt19937 random(4);
  std::size_t loaded = 0;
  std::size_t refused = 0;
  for (const char* name :
       {"3MF/box.3mf", "STL/Spider_binary.stl", "STL/sphereWithHole.stl", "OBJ/box.obj",
        "OBJ/concave_polygon.obj", "glTF2/BoxTextured-glTF-Binary/BoxTextured.glb",
        "glTF2/BoxTextured-glTF-Embedded/BoxTextured.gltf", "glTF2/simple_skin/simple_skin.gltf"}) {
    const std::string whole = bytes_of(k_models / name);
    for (int trial = 0; trial < 24; ++trial) {
      SCOPED_TRACE(std::string(name) + ", trial " + std::to_string(trial));
      std::string damaged = whole;
      if (trial % 3 == 0) {
        damaged.resize(random() % whole.size());
      } else {
        // Half of the flips hit the first bytes, where the structure is.
        const std::size_t within =
            trial % 2 == 0 ? whole.size() : std::min<std::size_t>(whole.size(), 200);
        for (int flips = 0; flips < 1 + trial % 4; ++flips) {
          const auto bit = static_cast<unsigned char>(1U << (random() % 8));
          char& byte = damaged[random() % within];
          byte = static_cast<char>(static_cast<unsigned char>(byte) ^ bit);
        }
      }

      const Outcome outcome = import(folder.file("damaged" + lower_extension(name), damaged));

      ++(outcome.loaded() ? loaded : refused);
      EXPECT_EQ(outcome.loaded(), outcome.words.find("cannot be used: ") == std::string::npos);
    }
  }
  EXPECT_GT(loaded, 20U);
  EXPECT_GT(refused, 40U);
}

TEST(Import, LimitsAreHeldToInBothReaders) {
  const Folder folder;
  const fs::path stl = folder.file("box.stl", binary_stl(make_box({0, 0, 0}, {1, 1, 1})));
  const fs::path obj = folder.file("tetrahedron.obj", k_tetrahedron_obj);

  EXPECT_TRUE(import(stl, {.triangles_limit = 12}).loaded());
  EXPECT_NE(import(stl, {.triangles_limit = 11}).words.find("more than the 11 triangles"),
            std::string::npos);
  EXPECT_TRUE(import(obj, {.triangles_limit = 4}).loaded());
  EXPECT_NE(import(obj, {.triangles_limit = 3}).words.find("more than the 3 triangles"),
            std::string::npos);
  EXPECT_TRUE(import(stl, {.bytes_limit = 684}).loaded());
  EXPECT_NE(import(stl, {.bytes_limit = 683}).words.find("684 bytes, more than the 683"),
            std::string::npos);
}

TEST(Import, WhatIsNotAFileIsRefused) {
  const Folder folder;
  ASSERT_EQ(::mkfifo((folder.path() / "pipe.stl").c_str(), 0600), 0);

  EXPECT_NE(import(folder.path() / "missing.stl").words.find("no such file"), std::string::npos);
  EXPECT_NE(import(folder.path()).words.find("not a regular file"), std::string::npos);
  EXPECT_NE(import(folder.path() / "pipe.stl").words.find("not a regular file"), std::string::npos);
  EXPECT_NE(import(folder.file("notes.txt", "nothing of the kind")).words.find("not known"),
            std::string::npos);
}

TEST(Import, SameFileSameBits) {
  if (!fs::exists(k_models)) GTEST_SKIP() << "package assimp-testmodels is not installed";
  const fs::path path = k_models / "OBJ/spider.obj";

  const Outcome first = import(path);
  const Outcome second = import(path);

  ASSERT_TRUE(first.loaded() && second.loaded());
  EXPECT_EQ(first.result.mesh->vertices, second.result.mesh->vertices);
  EXPECT_EQ(first.result.mesh->triangles, second.result.mesh->triangles);
}

}  // namespace
}  // namespace bight::shape
