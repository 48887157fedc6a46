#pragma once
// Pictures in memory, PNG files, and comparing two pictures.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace bight::render {

/// 8-bit sRGB, rows from the top, three bytes a pixel.
struct Image {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;

  const std::uint8_t* at(int x, int y) const {
    return rgb.data() + 3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                             static_cast<std::size_t>(x));
  }
};

/// Writes a PNG without time stamp: the same picture gives the same bytes. Returns an empty string,
/// else a sentence that says why it could not be written.
std::string write_png(const std::filesystem::path& path, const Image& image);

/// Nothing, with a sentence in `problem`, for a file that cannot be read.
std::optional<Image> read_png(const std::filesystem::path& path, std::string& problem);

/// A pixel is wrong when no pixel of the 3 x 3 around its place in the other picture is within
/// `levels` in every channel, looked at both ways. So edges may wander by a pixel between machines,
/// but a moved label shows.
struct CompareOptions {
  int levels = 8;
  double allowed_per_million = 40.0;
};

struct Comparison {
  bool same_size = false;
  std::size_t wrong = 0;
  double wrong_per_million = 0.0;
  bool alike = false;  ///< same size and at most the allowed share wrong
  Image difference;    ///< the second picture in grey, wrong pixels red; empty if sizes differ
};

Comparison compare_images(const Image& a, const Image& b, const CompareOptions& options = {});

}  // namespace bight::render
