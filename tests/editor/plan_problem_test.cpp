#include "editor/plan_problem.h"

#include <gtest/gtest.h>

namespace bight::editor {
namespace {

constexpr const char* k_text =
    "format = 1\n"
    "\n"
    "[[joint]]\n"
    "name = \"X\"\n"
    "travel = [0, 900]\n"
    "\n"
    "[[joint]]\n"
    "name = \"Y\"\n"
    "travel = [0, 600]\n";

std::string path_at(int line) {
  const plan::Document document = plan::read_document(k_text);
  const plan::Element* element = element_of({.place = {.line = line}}, document);
  return element == nullptr ? "none" : element->path;
}

TEST(PlanProblem, LeadsToTheElementThatItsLineIsIn) {
  EXPECT_EQ(path_at(5), "joint.X");
  EXPECT_EQ(path_at(6), "joint.X");
  EXPECT_EQ(path_at(7), "joint.Y");
  EXPECT_EQ(path_at(1), "");
  EXPECT_EQ(path_at(0), "none");
}

TEST(PlanProblem, IsSaidWithItsLine) {
  EXPECT_EQ(problem_sentence({.place = {.line = 5},
                              .message = "travel: too short",
                              .found = "0 mm",
                              .allowed = "more than 0 mm"}),
            "Line 5: travel: too short; found 0 mm; allowed: more than 0 mm");
  EXPECT_EQ(problem_sentence({.message = "the plan has no joint"}), "the plan has no joint");
}

TEST(PlanProblem, OfATextThatIsNotTomlNamesItsLine) {
  const std::string problem = plan::read_document("format = 1\ntravel = [O, 900]\n").problem;
  EXPECT_TRUE(problem.starts_with("Line 2: ")) << problem;
}

}  // namespace
}  // namespace bight::editor
