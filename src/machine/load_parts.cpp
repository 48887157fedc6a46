#include "machine/load_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <functional>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "base/number.h"
#include "base/parallel.h"
#include "machine/part_solid.h"
#include "shape/import.h"
#include "shape/isolated.h"

namespace bight::machine {

namespace {

/// Triangles of solids that the last build did not use but that are kept for the next option or
/// the next undo (about 150 MB).
constexpr std::size_t k_spare_triangles = 1'000'000;

std::filesystem::path mesh_path(const plan::Part& part, const std::string& plan_file) {
  return std::filesystem::path(plan_file).parent_path() / part.file;
}

/// What a mesh file is known by. Size and time tell a file that was exported anew.
std::string file_key(const plan::Part& part, const std::string& plan_file) {
  const std::filesystem::path path = mesh_path(part, plan_file);
  std::error_code no_size;
  std::error_code no_time;
  const std::uintmax_t size = std::filesystem::file_size(path, no_size);
  const auto time = std::filesystem::last_write_time(path, no_time);
  return fmt::format("{}|{}|{}|{}|{}", path.string(), shortest(part.file_unit_mm),
                     part.file_up == plan::AxisLetter::y ? "y" : "z", no_size ? 0 : size,
                     no_time ? 0 : time.time_since_epoch().count());
}

MeshCache::File read_mesh(const plan::Part& part, const std::string& plan_file) {
  const shape::ImportOptions options{
      .mm_per_unit = part.file_unit_mm,
      .up = part.file_up == plan::AxisLetter::y ? shape::UpAxis::y : shape::UpAxis::z};
  Diagnostics words;
  MeshCache::File file;
  shape::ImportResult imported = shape::import_mesh(mesh_path(part, plan_file), options, words);
  if (imported.mesh) {
    file.health = std::make_shared<const shape::Health>(shape::check_health(*imported.mesh));
    file.mesh = std::make_shared<const shape::Mesh>(*std::move(imported.mesh));
  }
  // A note asks nothing of anyone.
  std::copy_if(words.items().begin(), words.items().end(), std::back_inserter(file.words),
               [](const Diagnostic& word) { return word.severity != Severity::note; });
  return file;
}

void append(std::string& key, const Vec3& v) {
  for (const double value : {v.x, v.y, v.z}) key += '|' + shortest(value);
}

/// Everything that the shape in place depends on.
std::string solid_key(const plan::Part& part, const std::string& file) {
  std::string key = std::to_string(static_cast<int>(part.shape));
  append(key, part.at);
  append(key, part.turn);
  switch (part.shape) {
    case plan::ShapeKind::box:
      append(key, part.size);
      break;
    case plan::ShapeKind::mesh:
      key += '|' + file;
      break;
    case plan::ShapeKind::cylinder:
    case plan::ShapeKind::capsule:
    case plan::ShapeKind::profile:
      append(key, {part.diameter, part.length, static_cast<double>(part.along)});
      for (const Vec2& point : part.outline) append(key, Vec3(point, 0.0));
      break;
  }
  return key;
}

/// Forgets what the last build did not use, oldest first, beyond the spare triangles.
template <typename Entry, typename Triangles>
void forget(std::map<std::string, Entry>& entries, std::uint64_t build, Triangles triangles_of) {
  std::vector<std::pair<std::uint64_t, std::string>> spare;
  for (const auto& [key, entry] : entries) {
    if (entry.last_build != build) spare.emplace_back(entry.last_build, key);
  }
  std::sort(spare.begin(), spare.end(), std::greater<>());
  std::size_t triangles = 0;
  for (const auto& [last_build, key] : spare) {
    triangles += triangles_of(entries.at(key));
    if (triangles > k_spare_triangles) entries.erase(key);
  }
}

/// What each part is known by in the cache; empty for a part that is not present, and the file key
/// for one that is no mesh.
struct Keys {
  std::vector<std::string> file;
  std::vector<std::string> solid;
};

Keys keys_of(const std::vector<plan::Part>& parts, const std::string& plan_file) {
  Keys keys{.file = std::vector<std::string>(parts.size()),
            .solid = std::vector<std::string>(parts.size())};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (!parts[i].present) continue;
    if (parts[i].shape == plan::ShapeKind::mesh) keys.file[i] = file_key(parts[i], plan_file);
    keys.solid[i] = solid_key(parts[i], keys.file[i]);
  }
  return keys;
}

/// The first part of each key that the cache does not hold yet.
template <typename Entry>
std::vector<std::size_t> missing(const std::vector<std::string>& keys,
                                 const std::map<std::string, Entry>& cached) {
  std::vector<std::size_t> result;
  std::set<std::string> claimed;
  for (std::size_t i = 0; i < keys.size(); ++i) {
    if (keys[i].empty() || cached.contains(keys[i])) continue;
    if (claimed.insert(keys[i]).second) result.push_back(i);
  }
  return result;
}

/// Reads the files that the cache lacks. A file that could not be read gets an entry with its words
/// and without a mesh.
void read_files(const std::vector<plan::Part>& parts, const Keys& keys,
                const std::string& plan_file, MeshCache& cache, unsigned threads) {
  const std::vector<std::size_t> unread = missing(keys.file, cache.files);
  std::vector<MeshCache::File> read(unread.size());
  // Each is read in a process of its own.
  const unsigned at_once = shape::isolation_stands_threads() ? threads : 1;
  parallel_for(unread.size(), at_once,
               [&](std::size_t k) { read[k] = read_mesh(parts[unread[k]], plan_file); });
  for (std::size_t k = 0; k < unread.size(); ++k) {
    cache.files[keys.file[unread[k]]] = std::move(read[k]);
  }
}

/// Builds the solids that the cache lacks; returns what there was to say, one entry a part.
std::vector<Diagnostics> build_solids(const std::vector<plan::Part>& parts, const Keys& keys,
                                      MeshCache& cache, unsigned threads) {
  const std::vector<std::size_t> unbuilt = missing(keys.solid, cache.solids);
  std::vector<std::shared_ptr<const shape::Solid>> built(unbuilt.size());
  std::vector<Diagnostics> words(parts.size());
  parallel_for(unbuilt.size(), threads, [&](std::size_t k) {
    const std::size_t i = unbuilt[k];
    const auto file = cache.files.find(keys.file[i]);
    built[k] = make_part_solid(
        parts[i], file == cache.files.end() ? nullptr : file->second.mesh.get(), words[i]);
  });
  for (std::size_t k = 0; k < unbuilt.size(); ++k) {
    if (built[k] != nullptr) cache.solids[keys.solid[unbuilt[k]]].solid = std::move(built[k]);
  }
  return words;
}

/// The words of a file at the part that names it.
void report_file(const plan::Part& part, const MeshCache::File& file, Diagnostics& diagnostics) {
  for (Diagnostic word : file.words) {
    word.place = part.place;
    word.message = fmt::format("mesh \"{}\": {}", part.file, word.message);
    diagnostics.add(std::move(word));
  }
}

}  // namespace

std::vector<LoadedPart> load_parts(const std::vector<plan::Part>& parts,
                                   const std::string& plan_file, MeshCache& cache,
                                   Diagnostics& diagnostics, unsigned threads) {
  ++cache.builds;
  const Keys keys = keys_of(parts, plan_file);
  read_files(parts, keys, plan_file, cache, threads);
  const std::vector<Diagnostics> words = build_solids(parts, keys, cache, threads);

  std::vector<LoadedPart> loaded(parts.size());
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (const auto file = cache.files.find(keys.file[i]); file != cache.files.end()) {
      const bool told = file->second.last_build == cache.builds;
      if (!told) report_file(parts[i], file->second, diagnostics);
      file->second.last_build = cache.builds;
      loaded[i].health = file->second.health;
    }
    for (const Diagnostic& word : words[i].items()) diagnostics.add(word);
    if (const auto solid = cache.solids.find(keys.solid[i]); solid != cache.solids.end()) {
      solid->second.last_build = cache.builds;
      loaded[i].solid = solid->second.solid;
    }
  }
  // A file that could not be read is tried again by the next build.
  std::erase_if(cache.files, [](const auto& entry) { return entry.second.mesh == nullptr; });
  forget(cache.files, cache.builds,
         [](const MeshCache::File& file) { return file.mesh->triangles.size(); });
  forget(cache.solids, cache.builds,
         [](const MeshCache::Placed& placed) { return placed.solid->mesh.triangles.size(); });
  return loaded;
}

}  // namespace bight::machine
