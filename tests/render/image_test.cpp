#include "render/image.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>
#include <iterator>

namespace bight::render {
namespace {

/// A picture with fine detail: a slanting gradient with a checked patch of 30 x 12 pixels.
Image picture_with_patch(int patch_x) {
  Image image{200, 150, std::vector<std::uint8_t>(3UL * 200 * 150)};
  for (int y = 0; y < image.height; ++y) {
    for (int x = 0; x < image.width; ++x) {
      const bool patch = x >= patch_x && x < patch_x + 30 && y >= 60 && y < 72;
      const int level =
          patch ? (((x - patch_x) / 5 + y / 4) % 2 == 0 ? 20 : 235) : 100 + (x + y) / 8;
      auto* p = image.rgb.data() + 3 * (y * image.width + x);
      for (int c = 0; c < 3; ++c) p[c] = static_cast<std::uint8_t>(level);
    }
  }
  return image;
}

std::filesystem::path scratch(const std::string& name) {
  return std::filesystem::temp_directory_path() / (std::to_string(::getpid()) + "-" + name);
}

std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

TEST(Image, PngComesBackAsItWasWritten) {
  const Image image = picture_with_patch(40);
  const auto path = scratch("image.png");
  ASSERT_EQ(write_png(path, image), "");
  std::string problem;
  const auto back = read_png(path, problem);
  ASSERT_TRUE(back) << problem;
  EXPECT_EQ(back->width, 200);
  EXPECT_EQ(back->height, 150);
  EXPECT_EQ(back->rgb, image.rgb);
  const std::string first = bytes_of(path);
  ASSERT_EQ(write_png(path, image), "");
  EXPECT_EQ(bytes_of(path), first);
  std::filesystem::remove(path);
}

TEST(Image, WhatCannotBeReadOrWrittenSaysSo) {
  EXPECT_NE(write_png("/nowhere/at/all.png", picture_with_patch(40)).find("/nowhere/at/all.png"),
            std::string::npos);
  std::string problem;
  EXPECT_FALSE(read_png("/nowhere/at/all.png", problem));
  EXPECT_NE(problem.find("/nowhere/at/all.png"), std::string::npos);
  const auto path = scratch("not.png");
  std::ofstream(path) << "this is no picture";
  EXPECT_FALSE(read_png(path, problem));
  std::filesystem::remove(path);
}

TEST(CompareImages, APictureIsLikeItself) {
  const Comparison same = compare_images(picture_with_patch(40), picture_with_patch(40));
  EXPECT_TRUE(same.alike);
  EXPECT_EQ(same.wrong, 0U);
}

TEST(CompareImages, AnEdgeMayWanderByAPixel) {
  EXPECT_TRUE(compare_images(picture_with_patch(40), picture_with_patch(41)).alike);
}

TEST(CompareImages, APatchMovedByThreePixelsIsFound) {
  const Comparison moved = compare_images(picture_with_patch(40), picture_with_patch(43));
  EXPECT_FALSE(moved.alike);
  EXPECT_GT(moved.wrong, 20U);
  // The difference is red at the patch and grey far from it.
  ASSERT_EQ(moved.difference.width, 200);
  EXPECT_EQ(moved.difference.at(10, 10)[0], moved.difference.at(10, 10)[1]);
  std::size_t red = 0;
  for (int y = 58; y < 74; ++y) {
    for (int x = 36; x < 78; ++x) {
      const auto* p = moved.difference.at(x, y);
      if (p[0] == 220 && p[1] == 0) ++red;
    }
  }
  EXPECT_EQ(red, moved.wrong);
}

TEST(CompareImages, AVanishedPixelPatchIsFoundBothWays) {
  Image with = picture_with_patch(40);
  const Image without = picture_with_patch(40);
  for (int y = 100; y < 104; ++y) {
    for (int x = 100; x < 104; ++x) with.rgb[3UL * static_cast<std::size_t>(y * 200 + x)] = 255;
  }
  EXPECT_FALSE(compare_images(with, without).alike);
  EXPECT_FALSE(compare_images(without, with).alike);
}

TEST(CompareImages, SmallChangesOfColourPassAndLargeOnesDoNot) {
  const Image image = picture_with_patch(40);
  Image brighter = image;
  for (auto& level : brighter.rgb) level = static_cast<std::uint8_t>(std::min(255, level + 6));
  EXPECT_TRUE(compare_images(image, brighter).alike);
  for (auto& level : brighter.rgb) level = static_cast<std::uint8_t>(std::min(255, level + 40));
  EXPECT_FALSE(compare_images(image, brighter).alike);
}

TEST(CompareImages, OtherSizesAreNeverAlike) {
  const Image image = picture_with_patch(40);
  const Image small{10, 10, std::vector<std::uint8_t>(300)};
  EXPECT_FALSE(compare_images(image, small).same_size);
  EXPECT_FALSE(compare_images(image, small).alike);
  EXPECT_FALSE(compare_images(Image{}, Image{}).alike);
}

}  // namespace
}  // namespace bight::render
