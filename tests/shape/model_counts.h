#pragma once
// Triangles of a mesh file, counted from its text or header without any importer: the independent
// answer for the import tests. Polygons of n corners count as n - 2.

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <sstream>
#include <string>
#include <vector>

namespace bight::shape {

inline std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline std::string lower_extension(const std::filesystem::path& path) {
  std::string extension = path.extension().string();
  std::transform(extension.begin(), extension.end(), extension.begin(),
                 [](char c) { return static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c); });
  return extension;
}

/// STL: the count in the header when the size fits it, else the number of facets in the text.
inline std::size_t count_stl(const std::string& bytes) {
  if (bytes.size() >= 84) {
    std::uint32_t count = 0;
    std::memcpy(&count, bytes.data() + 80, 4);
    if (bytes.size() == 84 + std::size_t{50} * count) return count;
  }
  std::size_t facets = 0;
  std::istringstream words(bytes);
  for (std::string word; words >> word;) facets += word == "endfacet" ? 1U : 0U;
  return facets;
}

/// Distinct corners of a binary STL, compared as floats.
inline std::size_t count_stl_vertices(const std::string& bytes) {
  std::set<std::array<float, 3>> corners;
  for (std::size_t facet = 84; facet + 50 <= bytes.size(); facet += 50) {
    for (std::size_t i = 0; i < 3; ++i) {
      std::array<float, 3> p{};
      std::memcpy(p.data(), bytes.data() + facet + 12 + 12 * i, 12);
      corners.insert(p);
    }
  }
  return corners.size();
}

/// OBJ: lines "f a b c ...", which a backslash continues.
inline std::size_t count_obj(const std::string& bytes) {
  std::size_t triangles = 0;
  std::istringstream lines(bytes);
  for (std::string line; std::getline(lines, line);) {
    std::string more;
    while (line.find_last_not_of(" \r") != std::string::npos &&
           line[line.find_last_not_of(" \r")] == '\\' && std::getline(lines, more)) {
      line[line.find_last_not_of(" \r")] = ' ';
      line += more;
    }
    std::istringstream words(line);
    std::string word;
    words >> word;
    if (word != "f") continue;
    std::size_t corners = 0;
    while (words >> word) ++corners;
    if (corners > 2) triangles += corners - 2;
  }
  return triangles;
}

/// PLY: lists of the element "face". Binary files are little-endian here, and their faces come
/// last.
inline std::size_t count_ply(const std::string& bytes) {
  struct Element {
    std::string name;
    std::size_t count = 0;
    std::size_t bytes = 0;
    std::vector<std::string> list;  ///< types of count and items
  };
  const auto size_of = [](const std::string& type) -> std::size_t {
    if (type.find("char") == 0 || type.find("uchar") == 0 || type.find("int8") != std::string::npos)
      return 1;
    return type.find("short") != std::string::npos || type.find("16") != std::string::npos ? 2 : 4;
  };
  std::istringstream file(bytes);
  std::vector<Element> elements;
  bool text = true;
  for (std::string line; std::getline(file, line) && line.find("end_header") != 0;) {
    std::istringstream words(line);
    std::string word;
    std::string next;
    words >> word >> next;
    if (word == "format") text = next == "ascii";
    if (word == "element") elements.push_back({next, 0, 0, {}}), words >> elements.back().count;
    if (word == "property" && next == "list") {
      elements.back().list.resize(2);
      words >> elements.back().list[0] >> elements.back().list[1];
    } else if (word == "property") {
      elements.back().bytes += size_of(next);
    }
  }
  std::size_t triangles = 0;
  std::size_t at = static_cast<std::size_t>(file.tellg());
  for (const Element& element : elements) {
    for (std::size_t i = 0; i < element.count; ++i) {
      std::size_t corners = 0;
      if (text) {
        std::string line;
        std::getline(file, line);
        std::istringstream(line) >> corners;
      } else if (!element.list.empty()) {
        corners = static_cast<unsigned char>(bytes.at(at));
        at += size_of(element.list[0]) + corners * size_of(element.list[1]);
      }
      at += element.bytes;
      if (element.name == "face" && !element.list.empty()) triangles += corners - 2;
    }
  }
  return triangles;
}

/// glTF 1 and 2: accessor counts of all primitives of all nodes under the scene, by drawing mode.
class GltfCount {
 public:
  explicit GltfCount(const std::string& bytes) : root_(parse(bytes)) {}

  std::size_t triangles() const {
    std::size_t sum = 0;
    const auto scene = root_.contains("scene") ? root_.at("scene") : nlohmann::json(0);
    for (const auto& node : item("scenes", scene).at("nodes")) sum += of_node(node);
    return sum;
  }

 private:
  static nlohmann::json parse(const std::string& bytes) {
    if (bytes.substr(0, 4) != "glTF") return nlohmann::json::parse(bytes);
    std::uint32_t length = 0;
    std::memcpy(&length, bytes.data() + 12, 4);
    return nlohmann::json::parse(bytes.substr(20, length));
  }

  /// glTF 1 names its objects, glTF 2 numbers them.
  const nlohmann::json& item(const char* kind, const nlohmann::json& id) const {
    const auto& all = root_.at(kind);
    return id.is_string() ? all.at(id.get<std::string>()) : all.at(id.get<std::size_t>());
  }

  std::size_t of_node(const nlohmann::json& id) const {
    const auto& node = item("nodes", id);
    std::size_t sum = 0;
    if (node.contains("mesh")) sum += of_mesh(node.at("mesh"));
    if (node.contains("meshes")) {
      for (const auto& mesh : node.at("meshes")) sum += of_mesh(mesh);
    }
    if (node.contains("children")) {
      for (const auto& child : node.at("children")) sum += of_node(child);
    }
    return sum;
  }

  std::size_t of_mesh(const nlohmann::json& id) const {
    std::size_t sum = 0;
    for (const auto& primitive : item("meshes", id).at("primitives")) {
      const auto& accessor = primitive.contains("indices")
                                 ? primitive.at("indices")
                                 : primitive.at("attributes").at("POSITION");
      const std::size_t corners = item("accessors", accessor).at("count");
      const int mode = primitive.value("mode", 4);
      if (mode == 4) sum += corners / 3;
      if (mode == 5 || mode == 6) sum += corners - 2;
    }
    return sum;
  }

  nlohmann::json root_;
};

/// Nothing for formats that are not counted here.
inline std::optional<std::size_t> count_triangles(const std::filesystem::path& path) {
  const std::string extension = lower_extension(path);
  const std::string bytes = bytes_of(path);
  if (extension == ".stl") return count_stl(bytes);
  if (extension == ".obj") return count_obj(bytes);
  if (extension == ".ply") return count_ply(bytes);
  if (extension == ".gltf" || extension == ".glb") return GltfCount(bytes).triangles();
  return std::nullopt;
}

}  // namespace bight::shape
