// The clearance query against an independent library on random scenes: FCL at single poses, a
// descent over the travel, and winding numbers for containment.

#include <gtest/gtest.h>

#include <vector>

#include "base/parallel.h"
#include "clearance/scene_check.h"

namespace bight::clearance {
namespace {

constexpr std::size_t k_scenes = 6000;

TEST(RandomTravel, BoundsAreTrueOnThousandsOfScenes) {
  std::vector<Verdict> verdicts(k_scenes);
  parallel_for(k_scenes, 0,
               [&](std::size_t i) { verdicts[i] = check_query(scenes::random_scene(i), i); });
  std::size_t contacts = 0;
  std::size_t failures = 0;
  for (const Verdict& v : verdicts) {
    if (v.contact) ++contacts;
    if (!v.problem.empty() && ++failures <= 25) ADD_FAILURE() << v.problem;
  }
  EXPECT_EQ(failures, 0U);
  // Both outcomes, so that the sample does not go vacuous.
  EXPECT_GT(contacts, k_scenes * 3 / 10);
  EXPECT_LT(contacts, k_scenes * 7 / 10);
}

}  // namespace
}  // namespace bight::clearance
