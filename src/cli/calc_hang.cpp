#include <fmt/core.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "cli/calc.h"
#include "cli/command.h"
#include "rod/catenary.h"

namespace bight::cli {
namespace {

const char* status_text(rod::CatenaryStatus status) {
  switch (status) {
    case rod::CatenaryStatus::hangs:
      return "hangs";
    case rod::CatenaryStatus::vertical:
      return "vertical";
    case rod::CatenaryStatus::straight:
      return "straight";
    case rod::CatenaryStatus::too_short:
      return "too short";
    case rod::CatenaryStatus::invalid:
      break;
  }
  return "invalid";
}

int run(const rod::CatenaryProblem& problem, bool json) {
  const rod::Catenary line = rod::solve_catenary(problem);
  const bool forces =
      line.status == rod::CatenaryStatus::hangs || line.status == rod::CatenaryStatus::vertical;
  if (json) {
    nlohmann::ordered_json out = {{"status", status_text(line.status)},
                                  {"length_mm", problem.length_mm}};
    if (line.status == rod::CatenaryStatus::too_short) out["short_by_mm"] = line.short_by_mm;
    if (line.has_shape()) {
      out["sag_mm"] = line.sag_mm;
      out["lowest_mm"] = {line.lowest.x, line.lowest.y};
      out["slope_start_deg"] = line.slope_start_deg;
      out["slope_end_deg"] = line.slope_end_deg;
    }
    if (forces) {
      out["horizontal_N"] = line.horizontal_force_N;
      out["vertical_start_N"] = line.vertical_start_N;
      out["vertical_end_N"] = line.vertical_end_N;
      out["tension_start_N"] = line.tension_start_N;
      out["tension_end_N"] = line.tension_end_N;
    }
    fmt::print("{}\n", out.dump(2));
  } else if (line.status == rod::CatenaryStatus::too_short) {
    fmt::print("does not reach: {:.1f} mm too short\n", line.short_by_mm);
  } else if (line.has_shape()) {
    fmt::print("sag below the straight line  {:.1f} mm\n", line.sag_mm);
    fmt::print("lowest point                 {:.1f} mm across, {:.1f} mm up from the start\n",
               line.lowest.x, line.lowest.y);
    fmt::print("slope at start and end       {:.2f}, {:.2f} deg\n", line.slope_start_deg,
               line.slope_end_deg);
    if (forces) {
      fmt::print("horizontal force             {:.3f} N\n", line.horizontal_force_N);
      fmt::print("pull at start and end        {:.3f}, {:.3f} N\n", line.tension_start_N,
                 line.tension_end_N);
    } else {
      fmt::print("stretched straight: the pull has no bound\n");
    }
    fmt::print("a limp line at rest, by formula (catenary)\n");
  }
  if (line.status == rod::CatenaryStatus::invalid) {
    fmt::print(stderr, "bight: dx must be 0 or more, length and mass more than 0\n");
    return k_exit_bad_input;
  }
  return line.status == rod::CatenaryStatus::too_short ? k_exit_stop : k_exit_clear;
}

}  // namespace

void add_calc_hang(CLI::App& calc, int& exit_code) {
  struct Arguments {
    rod::CatenaryProblem problem;
    bool json = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = calc.add_subcommand("hang", "A line that hangs between two points");
  command->add_option("--dx", arguments->problem.dx_mm, "Horizontal distance of the ends, mm")
      ->required();
  command->add_option("--dz", arguments->problem.dz_mm, "Height of the end above the start, mm")
      ->required();
  command->add_option("--length", arguments->problem.length_mm, "Length of the line, mm")
      ->required();
  command->add_option("--mass", arguments->problem.mass_kg_m, "Mass of the line, kg/m")->required();
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer("Example: bight calc hang --dx 2000 --dz 0 --length 2200 --mass 0.1 --json");
  command->callback(
      [arguments, &exit_code] { exit_code = run(arguments->problem, arguments->json); });
}

}  // namespace bight::cli
