#include <algorithm>
#include <bit>
#include <cctype>
#include <cstring>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "shape/mesh_collector_detail.h"
#include "shape/read_detail.h"

namespace bight::shape {
namespace {

// Layout (3D Systems, StereoLithography Interface Specification, 1989): 80 bytes of header, the
// number of facets, then for each facet its normal, three corners and two bytes of attribute, all
// little-endian.
constexpr std::size_t k_header_bytes = 84;
constexpr std::size_t k_facet_bytes = 50;
constexpr std::size_t k_corners_offset = 12;
constexpr std::size_t k_facets_a_block = 4096;

static_assert(std::endian::native == std::endian::little, "STL records are read as they lie");

std::array<Vec3, 3> corners_of(const char* facet) {
  std::array<float, 9> f{};
  std::memcpy(f.data(), facet + k_corners_offset, sizeof(f));
  return {Vec3(f[0], f[1], f[2]), Vec3(f[3], f[4], f[5]), Vec3(f[6], f[7], f[8])};
}

bool named_stl(const std::filesystem::path& path) {
  std::string extension = path.extension().string();
  for (char& c : extension) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return extension == ".stl";
}

}  // namespace

std::optional<Reading> read_binary_stl(const std::filesystem::path& path,
                                       const ImportOptions& options) {
  std::error_code error;
  const std::uintmax_t size = std::filesystem::file_size(path, error);
  std::ifstream file(path, std::ios::binary);
  std::array<char, k_header_bytes> header{};
  if (error || !file.read(header.data(), header.size())) return std::nullopt;
  std::uint32_t facets = 0;
  std::memcpy(&facets, header.data() + 80, sizeof(facets));
  ImportReport report{.format = "binary STL", .meshes = 1};
  const std::uintmax_t announced = k_header_bytes + k_facet_bytes * std::uintmax_t{facets};
  if (size != announced) {
    const bool text = std::string_view(header.data(), 5) == "solid";
    if (size > announced || text || !named_stl(path)) return std::nullopt;
    return Reading{{},
                   report,
                   "it is cut short: it announces " + std::to_string(facets) +
                       " facets and has room for " +
                       std::to_string((size - k_header_bytes) / k_facet_bytes)};
  }
  if (std::string problem = too_many_triangles(facets, options); !problem.empty()) {
    return Reading{{}, report, std::move(problem)};
  }
  MeshCollector collector(options, facets);
  std::vector<char> block(k_facets_a_block * k_facet_bytes);
  for (std::size_t done = 0; done < facets;) {
    const std::size_t count = std::min<std::size_t>(k_facets_a_block, facets - done);
    if (!file.read(block.data(), static_cast<std::streamsize>(count * k_facet_bytes))) {
      return Reading{{}, report, "it ends before its last facet"};
    }
    for (std::size_t i = 0; i < count; ++i) {
      if (!collector.add(corners_of(block.data() + i * k_facet_bytes))) {
        return collector.finish(report);
      }
    }
    done += count;
  }
  report.vertices_in_file = std::size_t{3} * facets;
  return collector.finish(report);
}

}  // namespace bight::shape
