// Pictures of the demo plans by the program itself, held against stored ones (tests/golden). A new
// look is taken over by running this test with BIGHT_WRITE_GOLDEN=1 and looking at what changed.

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "render/image.h"

namespace bight::render {
namespace {

namespace fs = std::filesystem;

struct Golden {
  const char* name;
  const char* arguments;  ///< the plan first, in assets/demo
};

constexpr Golden k_golden[] = {
    {"corner", "plan.toml --option \"in the chains\" --pose X=600,Y=400"},
    {"front", "plan.toml --option \"hung from the rafter\" --view front"},
    {"above", "plan.toml --option \"plug at the head\" --view above --pose Y=400"},
    {"right-dark", "moving-table.toml --view right --pose X=150,Y=100 --scheme dark"},
    {"meshes-dark", "meshes.toml --view left-corner --pose X=300,Y=200,Z=-40 --scheme dark"},
    {"inch-cut", "inch.toml --view back-corner --cut Z=8 --plain"},
};

fs::path folder_of_new() {
  fs::create_directories(BIGHT_PICTURES_DIR);
  return BIGHT_PICTURES_DIR;
}

/// Draws by software, so that the driver of the machine does not matter. Returns the exit code.
int draw(const std::string& arguments, const fs::path& out) {
  const std::string command = std::string("LIBGL_ALWAYS_SOFTWARE=1 GALLIUM_DRIVER=llvmpipe \"") +
                              BIGHT_PROGRAM + "\" picture \"" + BIGHT_SOURCE_DIR +
                              "/assets/demo/\"" + arguments + " --size 480x320 -o \"" +
                              out.string() + "\"";
  const int status = std::system(command.c_str());
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

class GoldenPicture : public ::testing::TestWithParam<Golden> {};

TEST_P(GoldenPicture, LooksAsStored) {
  const Golden& golden = GetParam();
  const fs::path stored =
      fs::path(BIGHT_SOURCE_DIR) / "tests/golden" / (std::string(golden.name) + ".png");
  const fs::path fresh = folder_of_new() / (std::string(golden.name) + ".png");
  fs::remove(fresh);
  ASSERT_EQ(draw(golden.arguments, fresh), 0);
  if (std::getenv("BIGHT_WRITE_GOLDEN") != nullptr) {
    fs::create_directories(stored.parent_path());
    fs::copy_file(fresh, stored, fs::copy_options::overwrite_existing);
    GTEST_SKIP() << "stored anew";
  }
  std::string problem;
  const auto expected = read_png(stored, problem);
  ASSERT_TRUE(expected) << problem;
  const auto drawn = read_png(fresh, problem);
  ASSERT_TRUE(drawn) << problem;
  const Comparison comparison = compare_images(*expected, *drawn);
  if (!comparison.alike && comparison.same_size) {
    write_png(folder_of_new() / (std::string(golden.name) + "-difference.png"),
              comparison.difference);
  }
  EXPECT_TRUE(comparison.alike) << comparison.wrong_per_million
                                << " of a million pixels differ; see " << fresh
                                << " and its difference beside it";
}

INSTANTIATE_TEST_SUITE_P(Demo, GoldenPicture, ::testing::ValuesIn(k_golden), [](const auto& info) {
  std::string name = info.param.name;
  std::erase(name, '-');
  return name;
});

TEST(PictureCommand, GivesTheSameBytesEachTime) {
  const fs::path first = folder_of_new() / "first.png";
  const fs::path second = folder_of_new() / "second.png";
  ASSERT_EQ(draw(k_golden[0].arguments, first), 0);
  ASSERT_EQ(draw(k_golden[0].arguments, second), 0);
  EXPECT_FALSE(bytes_of(first).empty());
  EXPECT_EQ(bytes_of(first), bytes_of(second));
}

TEST(PictureCommand, OldOpenGLDrawsTheSamePicture) {
  const fs::path now = folder_of_new() / "now.png";
  const fs::path old = folder_of_new() / "old.png";
  ASSERT_EQ(draw(k_golden[0].arguments, now), 0);
  ::setenv("MESA_GL_VERSION_OVERRIDE", "3.3", 1);
  ::setenv("MESA_GLSL_VERSION_OVERRIDE", "330", 1);
  ::setenv("MESA_EXTENSION_OVERRIDE", "-GL_ARB_direct_state_access", 1);
  const int code = draw(k_golden[0].arguments, old);
  ::unsetenv("MESA_GL_VERSION_OVERRIDE");
  ::unsetenv("MESA_GLSL_VERSION_OVERRIDE");
  ::unsetenv("MESA_EXTENSION_OVERRIDE");
  ASSERT_EQ(code, 0);
  std::string problem;
  EXPECT_TRUE(compare_images(*read_png(now, problem), *read_png(old, problem)).alike);
}

TEST(PictureCommand, APoseBeyondTheTravelIsBadInput) {
  const fs::path out = folder_of_new() / "beyond.png";
  fs::remove(out);
  EXPECT_EQ(draw("plan.toml --pose X=9999 2>/dev/null", out), 2);
  EXPECT_FALSE(fs::exists(out));
}

TEST(PictureCommand, WithoutOpenGLItSaysSoAndExitsWithTwo) {
  const fs::path out = folder_of_new() / "never.png";
  fs::remove(out);
  ::setenv("MESA_GL_VERSION_OVERRIDE", "2.1", 1);  // older than what is needed
  const int code = draw(std::string(k_golden[0].arguments) + " 2>/dev/null", out);
  ::unsetenv("MESA_GL_VERSION_OVERRIDE");
  EXPECT_EQ(code, 2);
  EXPECT_FALSE(fs::exists(out));
}

TEST(PictureCommand, RefusesWhatItCannotDraw) {
  const fs::path out = folder_of_new() / "never.png";
  for (const char* arguments :
       {"plan.toml --view sideways", "plan.toml --pose Q=1", "plan.toml --pose X=a",
        "plan.toml --cut W=1", "plan.toml --finding 999", "plan.toml --option nothing",
        "missing.toml"}) {
    EXPECT_EQ(draw(std::string(arguments) + " 2>/dev/null", out), 2) << arguments;
  }
}

}  // namespace
}  // namespace bight::render
