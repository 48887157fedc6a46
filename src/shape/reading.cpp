#include <cstring>
#include <type_traits>

#include "shape/reading_detail.h"

namespace bight::shape {
namespace {

class Packer {
 public:
  template <typename T>
  void put(const T& value) {
    static_assert(std::is_trivially_copyable_v<T>);
    text_.append(reinterpret_cast<const char*>(&value), sizeof(T));
  }
  template <typename Range>
  void put_all(const Range& range) {
    put(range.size());
    text_.append(reinterpret_cast<const char*>(range.data()),
                 range.size() * sizeof(typename Range::value_type));
  }
  void reserve(std::size_t bytes) { text_.reserve(bytes); }
  std::string take() { return std::move(text_); }

 private:
  std::string text_;
};

class Unpacker {
 public:
  explicit Unpacker(std::string_view text) : text_(text) {}

  template <typename T>
  void get(T& value) {
    static_assert(std::is_trivially_copyable_v<T>);
    copy(&value, sizeof(T));
  }
  template <typename Range>
  void get_all(Range& range) {
    std::size_t count = 0;
    get(count);
    if (count > text_.size() / sizeof(typename Range::value_type)) {
      good_ = false;
      return;
    }
    range.resize(count);
    copy(range.data(), count * sizeof(typename Range::value_type));
  }
  bool good() const { return good_; }
  /// Everything was there and nothing is left.
  bool complete() const { return good_ && text_.empty(); }

 private:
  void copy(void* to, std::size_t bytes) {
    good_ = good_ && bytes <= text_.size();
    if (!good_ || bytes == 0) return;
    std::memcpy(to, text_.data(), bytes);
    text_.remove_prefix(bytes);
  }

  std::string_view text_;
  bool good_ = true;
};

}  // namespace

std::string packed(const Reading& reading) {
  Packer packer;
  packer.reserve(4096 + reading.mesh.vertices.size() * sizeof(Vec3) +
                 reading.mesh.triangles.size() * sizeof(reading.mesh.triangles[0]));
  packer.put_all(reading.problem);
  packer.put_all(reading.mesh.vertices);
  packer.put_all(reading.mesh.triangles);
  const ImportReport& r = reading.report;
  packer.put_all(r.format);
  for (const std::size_t count : {r.meshes, r.triangles, r.skipped_faces, r.crossed_polygons,
                                  r.vertices_in_file, r.vertices}) {
    packer.put(count);
  }
  packer.put(r.box);
  packer.put(reading.warnings.size());
  for (const std::string& warning : reading.warnings) packer.put_all(warning);
  return packer.take();
}

std::optional<Reading> unpacked(std::string_view text) {
  Reading reading;
  ImportReport& r = reading.report;
  Unpacker unpacker(text);
  unpacker.get_all(reading.problem);
  unpacker.get_all(reading.mesh.vertices);
  unpacker.get_all(reading.mesh.triangles);
  unpacker.get_all(r.format);
  for (std::size_t* count : {&r.meshes, &r.triangles, &r.skipped_faces, &r.crossed_polygons,
                             &r.vertices_in_file, &r.vertices}) {
    unpacker.get(*count);
  }
  unpacker.get(r.box);
  std::size_t warnings = 0;
  unpacker.get(warnings);
  for (; warnings > 0 && unpacker.good(); --warnings) {
    unpacker.get_all(reading.warnings.emplace_back());
  }
  if (!unpacker.complete()) return std::nullopt;
  for (const Vec3& v : reading.mesh.vertices) {
    if (!is_finite(v)) return std::nullopt;
  }
  for (const auto& t : reading.mesh.triangles) {
    for (const std::uint32_t index : t) {
      if (index >= reading.mesh.vertices.size()) return std::nullopt;
    }
  }
  return reading;
}

}  // namespace bight::shape
