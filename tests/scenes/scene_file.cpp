#include "scenes/scene_file.h"

#include <algorithm>
#include <fstream>
#include <sstream>

namespace bight::scenes {

std::optional<KeptScene> read_scene(const std::filesystem::path& path) {
  std::ifstream file(path);
  if (!file) return std::nullopt;
  KeptScene kept;
  kept.scene.kind = path.stem().string();
  shape::Mesh* part = nullptr;
  std::string line;
  while (std::getline(file, line)) {
    if (line.empty() || line.front() == '#') continue;
    std::istringstream words(line);
    words.imbue(std::locale::classic());
    std::string key;
    words >> key;
    if (key == "contact" || key == "clear") {
      kept.contact = key == "contact";
    } else if (key == "part") {
      std::string name;
      words >> name;
      part = name == "a" ? &kept.scene.a : &kept.scene.b;
    } else if (key == "v" && part != nullptr) {
      Vec3 v(0.0);
      words >> v.x >> v.y >> v.z;
      part->vertices.push_back(v);
    } else if (key == "f" && part != nullptr) {
      std::array<std::uint32_t, 3> t{};
      words >> t[0] >> t[1] >> t[2];
      if (*std::max_element(t.begin(), t.end()) >= part->vertices.size()) return std::nullopt;
      part->triangles.push_back(t);
    } else if (key == "axis") {
      clearance::Axis axis;
      words >> axis.direction.x >> axis.direction.y >> axis.direction.z >> axis.lower >> axis.upper;
      kept.scene.travel.push_back(axis);
    } else {
      return std::nullopt;
    }
    if (words.fail()) return std::nullopt;
  }
  const Box box = shape::bounds(kept.scene.b);
  if (box.empty()) return std::nullopt;
  kept.scene.size_mm = glm::length(box.size());
  return kept;
}

}  // namespace bight::scenes
