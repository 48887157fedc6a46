// Each kind of overhead support against a general library: SciPy minimises the sum of energies
// (support_energies.py, run by this test), which knows nothing of forces and balances.

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iomanip>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "free/support_boom.h"
#include "free/support_cord.h"
#include "free/support_festoon.h"
#include "free/support_pulley.h"
#include "free/support_trolley.h"

namespace bight::free {
namespace {

std::string text(double value) {
  std::ostringstream out;
  out << std::setprecision(17) << value;
  return out.str();
}
std::string text(const Vec3& v) {
  return "[" + text(v.x) + "," + text(v.y) + "," + text(v.z) + "]";
}
std::string text(const std::vector<SupportSpan>& spans) {
  std::string all;
  for (const SupportSpan& s : spans) {
    all += std::string(all.empty() ? "" : ",") + "{\"anchor\":" + text(s.anchor) +
           ",\"length\":" + text(s.length_mm) + ",\"mass\":" + text(s.mass_kg_m) + "}";
  }
  return "\"spans\":[" + all + "]";
}
std::string range(double lower, double upper) {
  return ",\"range\":[" + text(lower) + "," + text(upper) + "]";
}
std::string kind(const char* name, const Vec3& at) {
  return std::string("{\"kind\":\"") + name + "\",\"at\":" + text(at) + ",";
}

/// A problem for SciPy, what the code says, and how near they have to be.
struct Compared {
  std::string problem;
  std::vector<double> ours;
  double within = 0.0;  ///< energy is flat at its least: a minimiser sees half the digits
};

std::vector<std::vector<double>> minimised(const std::vector<Compared>& all) {
  const std::filesystem::path file =
      std::filesystem::path(testing::TempDir()) /
      ("support_energies_" + std::to_string(std::random_device{}()) + ".json");
  {
    std::ofstream out(file);
    for (std::size_t i = 0; i < all.size(); ++i) out << (i == 0 ? "[" : ",\n") << all[i].problem;
    out << "]\n";
  }
  const std::string command = "OPENBLAS_NUM_THREADS=1 /usr/bin/python3 " BIGHT_SOURCE_DIR
                              "/tests/free/support_energies.py < " +
                              file.string();
  std::vector<std::vector<double>> found;
  FILE* pipe = popen(command.c_str(), "r");
  EXPECT_NE(pipe, nullptr);
  char line[1000];
  while (pipe != nullptr && std::fgets(line, sizeof line, pipe) != nullptr) {
    std::istringstream values(line);
    std::vector<double> row;
    for (double v = 0.0; values >> v;) row.push_back(v);
    found.push_back(std::move(row));
  }
  EXPECT_EQ(pclose(pipe), 0) << "python3 with scipy is needed";
  std::filesystem::remove(file);
  return found;
}

TEST(SupportEnergies, ScipyFindsTheSameRestForEveryKindOfSupport) {
  const auto limp = limp_line();
  std::vector<Compared> all;
  const std::vector<SupportSpan> two = {{{-600.0, 100.0, 1900.0}, 1600.0, 0.3, {}},
                                        {{1200.0, -300.0, 900.0}, 1700.0, 0.3, {}}};
  const Vec3 at(0.0, 0.0, 2000.0);

  const Vec3 along = glm::normalize(Vec3(1.0, 0.2, 0.05));
  const SupportResult trolley = rest_of_trolley({at, along, -500.0, 1500.0, 0.5, 0.0, two}, *limp);
  ASSERT_EQ(trolley.status, SupportStatus::rests);
  all.push_back({kind("trolley", at) + text(two) + ",\"along\":" + text(along) + ",\"mass\":0.5" +
                     range(-500.0, 1500.0) + "}",
                 {trolley.rest.coordinate},
                 1e-2});

  for (const bool both : {true, false}) {
    const std::vector<SupportSpan> spans(two.begin() + (both ? 0 : 1), two.end());
    const SupportResult boom = rest_of_boom({at, 700.0, -170.0, 170.0, 0.0, spans}, *limp);
    ASSERT_EQ(boom.status, SupportStatus::rests);
    all.push_back({kind("boom", at) + text(spans) + ",\"arm\":700" + range(-170.0, 170.0) + "}",
                   {boom.rest.coordinate},
                   1e-3});
  }

  const SupportSpan run{{1000.0, 400.0, 1200.0}, 1.0, 0.25, {}};
  const SupportResult weighted =
      rest_of_pulley(WeightedPulleyProblem{at, run, 3000.0, 1.2, 50.0, 2000.0, 0.0}, *limp);
  ASSERT_EQ(weighted.status, SupportStatus::rests);
  all.push_back({kind("weighted", at) + text(std::vector{run}) + ",\"line\":3000,\"weight\":1.2" +
                     range(1300.0, 1700.0) + "}",
                 {weighted.rest.coordinate},
                 1e-3});

  const Vec3 tie(-500.0, 0.0, 1900.0);
  const SupportResult tied = rest_of_pulley(TiedPulleyProblem{at, run, tie, 2000.0, 0.0}, *limp);
  ASSERT_EQ(tied.status, SupportStatus::rests);
  all.push_back({kind("tied", at) + text(std::vector{run}) + ",\"tie\":" + text(tie) +
                     ",\"line\":2000" + range(1100.0, 1600.0) + "}",
                 {tied.rest.coordinate},
                 1e-3});

  const SupportResult reel = rest_of_retractor({at, run, 8.0, 0.0, 300.0, 3000.0}, *limp);
  ASSERT_EQ(reel.status, SupportStatus::rests);
  all.push_back({kind("retractor", at) + text(std::vector{run}) + ",\"line\":3000,\"pull\":8" +
                     range(1100.0, 1700.0) + "}",
                 {reel.rest.coordinate},
                 1e-3});

  const CordResult cord = rest_of_cord({at, 200.0, 0.03, 0.0, two}, *limp);
  ASSERT_EQ(cord.status, SupportStatus::rests);
  all.push_back({kind("cord", at) + text(two) + ",\"free\":200,\"stiffness\":0.03,\"guess\":" +
                     text(Vec3(100.0, -50.0, 1700.0)) + "}",
                 {cord.hold.x, cord.hold.y, cord.hold.z},
                 2e-2});

  FestoonProblem row;
  row.loops = 4;
  row.loop_mm = 900.0;
  row.mass_kg_m = 0.4;
  row.pitch_stacked_mm = 60.0;
  row.saddle_mm = 40.0;
  row.nearest_mm = 400.0;
  row.farthest_mm = 3000.0;
  const FestoonAt loops = festoon_at(row, 2000.0);
  all.push_back(
      {kind("festoon", at) + "\"loops\":4,\"loop\":900,\"mass\":0.4,\"saddle\":40,\"tow\":2000}",
       {loops.pitch_mm, 2.0 * loops.pitch_mm, 3.0 * loops.pitch_mm},
       5e-2});

  const auto found = minimised(all);
  ASSERT_EQ(found.size(), all.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    SCOPED_TRACE(all[i].problem);
    ASSERT_EQ(found[i].size(), all[i].ours.size());
    for (std::size_t k = 0; k < found[i].size(); ++k) {
      EXPECT_NEAR(found[i][k], all[i].ours[k], all[i].within);
    }
  }
}

}  // namespace
}  // namespace bight::free
