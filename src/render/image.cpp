#include "render/image.h"

#include <png.h>

#include <algorithm>
#include <cstdlib>

namespace bight::render {

std::string write_png(const std::filesystem::path& path, const Image& image) {
  png_image png{};
  png.version = PNG_IMAGE_VERSION;
  png.width = static_cast<png_uint_32>(image.width);
  png.height = static_cast<png_uint_32>(image.height);
  png.format = PNG_FORMAT_RGB;
  // A fast filter and level: half the time of libpng's default for a few per cent more bytes.
  png.flags = PNG_IMAGE_FLAG_FAST;
  if (png_image_write_to_file(&png, path.c_str(), 0, image.rgb.data(), 3 * image.width, nullptr) ==
      0) {
    return "cannot write " + path.string() + ": " + png.message;
  }
  return {};
}

std::optional<Image> read_png(const std::filesystem::path& path, std::string& problem) {
  png_image png{};
  png.version = PNG_IMAGE_VERSION;
  if (png_image_begin_read_from_file(&png, path.c_str()) == 0) {
    problem = "cannot read " + path.string() + ": " + png.message;
    return {};
  }
  constexpr png_uint_32 k_most = 16'384;
  if (png.width > k_most || png.height > k_most) {
    png_image_free(&png);
    problem = "cannot read " + path.string() + ": it is wider or higher than 16384 pixels";
    return {};
  }
  png.format = PNG_FORMAT_RGB;
  Image image;
  image.width = static_cast<int>(png.width);
  image.height = static_cast<int>(png.height);
  image.rgb.resize(PNG_IMAGE_SIZE(png));
  if (png_image_finish_read(&png, nullptr, image.rgb.data(), 0, nullptr) == 0) {
    problem = "cannot read " + path.string() + ": " + png.message;
    return {};
  }
  return image;
}

namespace {

bool is_near(const std::uint8_t* a, const std::uint8_t* b, int levels) {
  for (int c = 0; c < 3; ++c) {
    if (std::abs(static_cast<int>(a[c]) - static_cast<int>(b[c])) > levels) return false;
  }
  return true;
}

/// True when some pixel of the 3 x 3 around (x, y) in `other` is near to the one in `image`.
bool is_found(const Image& image, const Image& other, int x, int y, int levels) {
  const std::uint8_t* pixel = image.at(x, y);
  for (int v = std::max(y - 1, 0); v <= std::min(y + 1, image.height - 1); ++v) {
    for (int u = std::max(x - 1, 0); u <= std::min(x + 1, image.width - 1); ++u) {
      if (is_near(pixel, other.at(u, v), levels)) return true;
    }
  }
  return false;
}

}  // namespace

Comparison compare_images(const Image& a, const Image& b, const CompareOptions& options) {
  Comparison result;
  result.same_size = a.width == b.width && a.height == b.height && a.width > 0 && a.height > 0;
  if (!result.same_size) return result;
  result.difference = {b.width, b.height, std::vector<std::uint8_t>(b.rgb.size())};
  for (int y = 0; y < a.height; ++y) {
    for (int x = 0; x < a.width; ++x) {
      const bool wrong =
          !is_found(a, b, x, y, options.levels) || !is_found(b, a, x, y, options.levels);
      const std::uint8_t* p = b.at(x, y);
      auto* d = const_cast<std::uint8_t*>(result.difference.at(x, y));
      const auto grey = static_cast<std::uint8_t>(128 + (p[0] + 2 * p[1] + p[2]) / 8);
      d[0] = wrong ? std::uint8_t{220} : grey;
      d[1] = wrong ? std::uint8_t{0} : grey;
      d[2] = wrong ? std::uint8_t{0} : grey;
      if (wrong) ++result.wrong;
    }
  }
  result.wrong_per_million =
      1e6 * static_cast<double>(result.wrong) / (static_cast<double>(a.width) * a.height);
  result.alike = result.wrong_per_million <= options.allowed_per_million;
  return result;
}

}  // namespace bight::render
