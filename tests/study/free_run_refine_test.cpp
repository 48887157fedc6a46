// The grid of poses of a hanging line: closer where margins are small or change fast.

#include "study/free_run_refine.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include "study/free_run.h"
#include "support_fixture.h"

namespace bight::study {
namespace {

/// A mesh of boxes, each given by two opposite corners.
void write_boxes(const std::string& file, const std::vector<std::array<Vec3, 2>>& boxes) {
  std::ofstream out(file);
  out << "solid boxes\n";
  for (const auto& box : boxes) {
    const auto corner = [&box](int i) {
      return Vec3(box[static_cast<std::size_t>(i & 1)].x,
                  box[static_cast<std::size_t>(i >> 1 & 1)].y,
                  box[static_cast<std::size_t>(i >> 2 & 1)].z);
    };
    constexpr std::array<std::array<int, 4>, 6> k_faces{
        {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}}};
    for (const auto& f : k_faces) {
      for (const std::array<int, 3>& triangle :
           {std::array{f[0], f[1], f[2]}, std::array{f[0], f[2], f[3]}}) {
        out << "facet normal 0 0 0\nouter loop\n";
        for (const int i : triangle) {
          const Vec3 v = corner(i);
          out << "vertex " << v.x << " " << v.y << " " << v.z << "\n";
        }
        out << "endloop\nendfacet\n";
      }
    }
  }
  out << "endsolid boxes\n";
}

/// A cord from a hook to the head, whose anchor runs along a rail 30 mm away; and a pin on that
/// rail, 4 mm thick, in the way of the cord.
std::string along_a_rail(double pin_x) {
  const std::string file = (std::filesystem::path(testing::TempDir()) / "rail.stl").string();
  std::vector<std::array<Vec3, 2>> boxes{{Vec3(-50, 0, 450), Vec3(1050, 16, 650)}};
  if (pin_x > 0.0) boxes.push_back({Vec3(pin_x, 10, 556), Vec3(pin_x + 4.0, 200, 560)});
  write_boxes(file, boxes);
  return hung("at = [500, 450, 1500]\n", "length = 1300\n",
              "[[part]]\nname = \"rail\"\nrole = \"surroundings\"\nshape = \"mesh\"\nfile = \"" +
                  file + "\"\nfile_unit = \"mm\"\n");
}

// The nearest poses of the grid are beside the rail: nothing leads from there to the pin, which is
// met between two others, at each of these places.
TEST(FreeRunRefine, WhatIsTouchedBetweenThePosesOfTheGridIsFound) {
  const FreeRunFigures alone =
      study_text(along_a_rail(0.0), "", {.free_run_poses = 60}).free_runs.at(0);
  EXPECT_NEAR(alone.clearance_mm, 30.0, 0.1);
  EXPECT_LE(alone.poses, 60U);  // a margin that is small but does not change asks for no more
  bool closer = false;
  for (double x = 100.0; x < 900.0; x += 37.0) {
    const StudyResult result = study_text(along_a_rail(x), "", {.free_run_poses = 60});
    const FreeRunFigures& run = result.free_runs.at(0);
    EXPECT_EQ(run.clearance_to, "rail");
    EXPECT_EQ(run.clearance_mm, 0.0) << x;
    EXPECT_NE(find(result, "free line clearance"), nullptr) << x;
    EXPECT_TRUE(run.settled.value_or(false)) << x;
    EXPECT_LE(run.poses, 120U);
    EXPECT_NEAR(run.step_mm, alone.step_mm, 1e-9);  // the largest, away from the pin
    closer = closer || run.poses > alone.poses;
  }
  EXPECT_TRUE(closer);
}

// With poses for all of it the grid is close everywhere: the same is found by force.
TEST(FreeRunRefine, AsByAGridThatIsCloseEverywhere) {
  const std::string plan = along_a_rail(581.0);
  const FreeRunFigures few = study_text(plan, "", {.free_run_poses = 60}).free_runs.at(0);
  const FreeRunFigures many = study_text(plan, "", {.free_run_poses = 6000}).free_runs.at(0);
  EXPECT_LT(many.step_mm, 10.0);
  EXPECT_EQ(few.clearance_mm, many.clearance_mm);
  EXPECT_NEAR(few.radius_mm, many.radius_mm, 0.01 * many.radius_mm);
  EXPECT_NEAR(few.lowest_mm, many.lowest_mm, 1.0);
}

// The tip of a boom goes round within some 10 mm of the travel, when the line's end passes close by
// its post. Between neighbours that are nearer than that the line may be anywhere: it is not said
// to be settled, with a rod beside that way or without one that it could touch.
TEST(FreeRunRefine, WhereTheSupportGoesRoundInAMomentNothingIsSettled) {
  const auto boom = [](const std::string& rod_at) {
    return study_text(hung("kind = \"boom\"\nat = [500, 48, 1500]\narm = 300\n", "length = 1180\n",
                           "[[part]]\nname = \"rod\"\nrole = \"surroundings\"\nshape = "
                           "\"cylinder\"\nat = " +
                               rod_at + "\nlength = 1500\ndiameter = 10\n"),
                      "", {.free_run_poses = 60})
        .free_runs.at(0);
  };
  const FreeRunFigures near = boom("[500, 330, 200]");
  ASSERT_TRUE(near.settled.has_value());
  EXPECT_FALSE(*near.settled && near.clearance_mm > 25.0);
  const FreeRunFigures far = boom("[500, -900, 200]");
  ASSERT_TRUE(far.settled.has_value());
  EXPECT_TRUE(*far.settled);
}

// A margin that runs out between two poses of an even grid: how high the line's middle is when its
// end passes below its hook.
TEST(FreeRunRefine, StepsAreHalvedWhereAMarginCouldRunOut) {
  const std::string text = hung("at = [520, 450, 1500]\n", "length = 1300\n");
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(text, "test.toml", "", diagnostics);
  ASSERT_TRUE(plan.has_value());
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  const StudyOptions options{.free_run_poses = 24};
  const Context context{*plan, machine, options};
  const std::vector<FreeRun> runs = make_free_runs(context);
  ASSERT_EQ(runs.size(), 1U);
  const FreeRunRod line = make_rod(runs[0], {1300.0, 0.1, 0.002}, home_pose(context));
  const auto refined = [&](double limit_mm) {
    return refined_shapes(context, runs[0], line, 8.0, {},
                          {[limit_mm](const RodShape& s) { return s.lowest.z - limit_mm; }});
  };
  const RefinedShapes even = refined(-1e4);
  EXPECT_TRUE(even.settled);
  double lowest = 1e9;
  for (const RodShape& s : even.shapes.shapes) lowest = std::min(lowest, s.lowest.z);
  // A tenth of a millimetre below the lowest of these poses: it may well be there between them.
  const RefinedShapes close = refined(lowest - 0.1);
  EXPECT_GT(close.grid.size(), even.grid.size());
  EXPECT_LE(close.grid.size(), 48U);
  double least = 1e9;
  for (std::size_t i = 1; i < close.grid.values[0].size(); ++i) {
    least = std::min(least, std::abs(close.grid.values[0][i] - close.grid.values[0][i - 1]));
  }
  EXPECT_LT(least, 0.6 * even.grid.step_mm);
  EXPECT_NEAR(close.grid.step_mm, even.grid.step_mm, 1e-9);  // elsewhere
  // Where the limit is not kept at some pose there is nothing to look for.
  EXPECT_EQ(refined(lowest + 5.0).grid.size(), even.grid.size());
}

// x (1 - x) on five places from 0 to 1: its greatest value is at the middle one, so a limit just
// above that could only be met beside it. A limit far above is met nowhere, one below at a pose.
TEST(FreeRunRefine, AGridIsHalvedBesideTheLeastMarginOnly) {
  PoseGrid grid;
  grid.values = {{0.0, 250.0, 500.0, 750.0, 1000.0}, {7.0}};
  grid.step_mm = 250.0;
  const auto margins = [](double limit) {
    std::vector<double> left;
    for (const double x : {0.0, 0.25, 0.5, 0.75, 1.0}) left.push_back(limit - x * (1.0 - x));
    return std::vector<std::vector<double>>{left};
  };
  const std::vector<double> closer{0.0, 250.0, 375.0, 500.0, 625.0, 750.0, 1000.0};
  EXPECT_EQ(closer_grid(grid, margins(0.2501), 100).grid.values[0], closer);
  EXPECT_FALSE(closer_grid(grid, margins(0.2501), 100).settled);
  EXPECT_EQ(closer_grid(grid, margins(0.2501), 6).grid.size(), 6U);  // poses run out
  for (const double known : {0.5, 0.2}) {
    EXPECT_EQ(closer_grid(grid, margins(known), 100).grid.size(), 5U);
    EXPECT_TRUE(closer_grid(grid, margins(known), 100).settled);
  }
}

// A pin of 2 mm between two poses of the tow: the loops meet it all the same.
TEST(FreeRunRefine, WhatTheLoopsOfAFestoonTouchBetweenThePosesIsFound) {
  int closer = 0;
  for (double x = -250.0; x < 900.0; x += 90.0) {
    const std::string plan =
        with_festoon("at = [-400, 50, 600]\nloops = 4\nstacked_pitch = 60\nsaddle = 40\n") +
        "[[part]]\nname = \"pin\"\nrole = \"surroundings\"\nat = [" + std::to_string(x) +
        ", 49, 530]\nsize = [2, 2, 2]\n";
    const FreeRunFigures few = study_text(plan, "", {.free_run_poses = 12}).free_runs.at(0);
    const FreeRunFigures many = study_text(plan, "", {.free_run_poses = 2000}).free_runs.at(0);
    EXPECT_EQ(few.clearance_to, "pin");
    EXPECT_NEAR(few.clearance_mm, many.clearance_mm, 0.5) << x;
    closer += few.poses > 12 ? 1 : 0;
  }
  EXPECT_GT(closer, 0);
}

}  // namespace
}  // namespace bight::study
