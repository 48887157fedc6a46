#include "shape/import.h"

#include <algorithm>
#include <cmath>
#include <exception>

#include "base/check.h"
#include "shape/isolated.h"
#include "shape/read_detail.h"
#include "shape/reading_detail.h"

namespace bight::shape {
namespace {

// Limits of the isolated reader. Text formats take Assimp some 40 bytes of memory and 10 ns a byte
// of file; the limits leave room for compressed files and slow machines.
constexpr std::size_t k_memory_base = std::size_t{256} << 20U;
constexpr std::size_t k_memory_limit = std::size_t{8} << 30U;
constexpr std::size_t k_memory_a_byte = 64;
constexpr unsigned k_base_seconds = 2;
constexpr std::size_t k_bytes_a_second = std::size_t{8} << 20U;

IsolationLimits limits_for(std::size_t bytes) {
  IsolationLimits limits;
  limits.memory_bytes = std::min(k_memory_base + k_memory_a_byte * bytes, k_memory_limit);
  limits.cpu_seconds = k_base_seconds + static_cast<unsigned>(bytes / k_bytes_a_second);
  limits.wall_seconds = 4 * limits.cpu_seconds;
  return limits;
}

Reading read_isolated(const std::filesystem::path& path, std::size_t bytes,
                      const ImportOptions& options) {
  const IsolatedResult result =
      run_isolated([&] { return packed(read_with_assimp(path, options)); }, limits_for(bytes));
  if (!result.output) {
    return {{}, {}, "reading it failed (" + result.problem + "): is it damaged or cut short?"};
  }
  std::optional<Reading> reading = unpacked(*result.output);
  if (!reading) return {{}, {}, "the reader gave an incomplete mesh"};
  return *std::move(reading);
}

Reading read_mesh(const std::filesystem::path& path, const ImportOptions& options) {
  std::error_code error;
  const std::filesystem::file_status status = std::filesystem::status(path, error);
  if (!std::filesystem::exists(status)) return {{}, {}, "there is no such file"};
  if (!std::filesystem::is_regular_file(status)) return {{}, {}, "it is not a regular file"};
  const std::uintmax_t bytes = std::filesystem::file_size(path, error);
  if (error) return {{}, {}, error.message()};
  if (bytes > options.bytes_limit) {
    return {{},
            {},
            "it has " + std::to_string(bytes) + " bytes, more than the " +
                std::to_string(options.bytes_limit) + " that are read"};
  }
  if (std::optional<Reading> stl = read_binary_stl(path, options)) return *std::move(stl);
  return read_isolated(path, static_cast<std::size_t>(bytes), options);
}

}  // namespace

ImportResult import_mesh(const std::filesystem::path& path, const ImportOptions& options,
                         Diagnostics& diagnostics) {
  BIGHT_CHECK(std::isfinite(options.mm_per_unit) && options.mm_per_unit > 0.0);
  Reading reading;
  try {
    reading = read_mesh(path, options);
  } catch (const std::exception& e) {
    reading = {{}, {}, e.what()};
  }
  const Place place{path.string()};
  for (const std::string& warning : reading.warnings) {
    diagnostics.warning(place, "its reader warns: " + warning);
  }
  if (!reading.problem.empty()) {
    diagnostics.error(place, "the mesh cannot be used: " + reading.problem);
    return {std::nullopt, std::move(reading.report)};
  }
  if (reading.report.skipped_faces > 0) {
    diagnostics.note(place, std::to_string(reading.report.skipped_faces) +
                                " points or lines were left out: they have no surface");
  }
  if (reading.report.crossed_polygons > 0) {
    diagnostics.warning(place, std::to_string(reading.report.crossed_polygons) +
                                   " polygons cross themselves: their triangles may be wrong");
  }
  return {std::move(reading.mesh), std::move(reading.report)};
}

}  // namespace bight::shape
