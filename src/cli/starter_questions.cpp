#include "cli/starter_questions.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <istream>
#include <optional>

#include "base/number.h"

namespace bight::cli {
namespace {

using plan::StarterAnswers;
using Dimension = StarterDimension;

struct Question {
  Dimension dimension = Dimension::travel_x;
  const char* text = "";
  double& (*value)(StarterAnswers&) = nullptr;
};

constexpr std::array<Question, 12> k_questions = {{
    {Dimension::travel_x, "Travel along X (to your right)",
     [](StarterAnswers& a) -> double& { return a.travel.x; }},
    {Dimension::travel_y, "Travel along Y (away from you)",
     [](StarterAnswers& a) -> double& { return a.travel.y; }},
    {Dimension::travel_z, "Travel along Z (up)",
     [](StarterAnswers& a) -> double& { return a.travel.z; }},
    {Dimension::bed_x, "Bed along X", [](StarterAnswers& a) -> double& { return a.bed_size.x; }},
    {Dimension::bed_y, "Bed along Y", [](StarterAnswers& a) -> double& { return a.bed_size.y; }},
    {Dimension::bed_height, "Top of the bed above the floor",
     [](StarterAnswers& a) -> double& { return a.bed_height; }},
    {Dimension::router_diameter, "Diameter of the router",
     [](StarterAnswers& a) -> double& { return a.router_diameter; }},
    {Dimension::router_length, "Length of the router",
     [](StarterAnswers& a) -> double& { return a.router_length; }},
    {Dimension::tool_diameter, "Diameter of the tool",
     [](StarterAnswers& a) -> double& { return a.tool_diameter; }},
    {Dimension::tool_length, "Length of the tool below the router",
     [](StarterAnswers& a) -> double& { return a.tool_length; }},
    {Dimension::clear_height, "Underside of the beam above the bed",
     [](StarterAnswers& a) -> double& { return a.clear_height; }},
    {Dimension::ceiling_height, "Ceiling above the floor",
     [](StarterAnswers& a) -> double& { return a.ceiling_height; }},
}};

bool contains(const std::vector<Dimension>& known, Dimension dimension) {
  return std::find(known.begin(), known.end(), dimension) != known.end();
}

/// To 5 mm, as people choose lengths.
double rounded(double mm) {
  return 5.0 * std::ceil(mm / 5.0 - 1e-9);
}

}  // namespace

StarterAnswers with_assumptions(StarterAnswers a, const std::vector<Dimension>& known) {
  const StarterAnswers common;
  const auto assume = [&](Dimension dimension, double& value, double suits) {
    if (!contains(known, dimension)) value = suits;
  };
  // Margins of the common hobby router: it stays so when nothing is known.
  assume(Dimension::bed_x, a.bed_size.x, a.travel.x + common.bed_size.x - common.travel.x);
  assume(Dimension::bed_y, a.bed_size.y, a.travel.y + common.bed_size.y - common.travel.y);
  // A long way along Z needs a long head to stay on its guide, hence a long router.
  assume(Dimension::router_length, a.router_length,
         std::max(common.router_length, rounded(a.travel.z - 2.0 * a.tool_length)));
  // The beam at the middle of the head's way.
  assume(Dimension::clear_height, a.clear_height,
         std::max(50.0, rounded(common.clear_height + 0.5 * (a.travel.z - common.travel.z) +
                                a.tool_length - common.tool_length +
                                0.5 * (a.router_length - common.router_length))));
  if (contains(known, Dimension::ceiling_height)) return a;
  // The first ceiling, in steps of 100 mm, under which the machine fits.
  for (a.ceiling_height = common.ceiling_height; a.ceiling_height < 10000.0;
       a.ceiling_height += 100.0) {
    if (plan::starter_plan(a).problem.empty()) return a;
  }
  a.ceiling_height = common.ceiling_height;
  return a;
}

bool ask_dimensions(std::istream& in, StarterAnswers& answers, std::vector<Dimension> known) {
  fmt::print(stderr,
             "Lengths in mm; Enter keeps the value in brackets; Ctrl-D stops, nothing is written "
             "then.\n");
  for (const Question& question : k_questions) {
    if (contains(known, question.dimension)) continue;
    answers = with_assumptions(answers, known);
    known.push_back(question.dimension);
    for (bool asked = true; asked;) {
      fmt::print(stderr, "{} [{} mm]: ", question.text, shortest(question.value(answers)));
      std::string line;
      if (!std::getline(in, line)) {
        fmt::print(stderr, "\n");
        return false;
      }
      StarterAnswers changed = answers;
      if (!line.empty()) {
        const std::optional<double> number = parse_number(line);
        if (!number) {
          fmt::print(stderr, "  a number in mm, please\n");
          continue;
        }
        question.value(changed) = *number;
      }
      const std::string problem = plan::starter_plan(with_assumptions(changed, known)).problem;
      if (problem.empty()) {
        answers = changed;
        asked = false;
      } else {
        fmt::print(stderr, "  that does not work: {}\n", problem);
      }
    }
  }
  return true;
}

std::string assumed_text(const StarterAnswers& a, const std::vector<Dimension>& known) {
  std::string text;
  const auto add = [&](Dimension dimension, const std::string& what) {
    if (!contains(known, dimension)) text += (text.empty() ? "" : ", ") + what;
  };
  const auto size = [](double x, double y) { return shortest(x) + " x " + shortest(y) + " mm"; };
  add(Dimension::travel_x,
      "travel " + shortest(a.travel.x) + " x " + size(a.travel.y, a.travel.z) + " (--travel)");
  add(Dimension::bed_x, "bed " + size(a.bed_size.x, a.bed_size.y) + " (--bed)");
  add(Dimension::bed_height,
      "bed " + shortest(a.bed_height) + " mm above the floor (--bed-height)");
  add(Dimension::router_length,
      "router " + size(a.router_diameter, a.router_length) + " (--router)");
  add(Dimension::tool_length, "tool " + size(a.tool_diameter, a.tool_length) + " (--tool)");
  add(Dimension::clear_height,
      "beam " + shortest(a.clear_height) + " mm above the bed (--clear-height)");
  add(Dimension::ceiling_height,
      "ceiling " + shortest(a.ceiling_height) + " mm above the floor (--ceiling)");
  return text;
}

}  // namespace bight::cli
