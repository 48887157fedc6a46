#include <fmt/core.h>

#include <cmath>
#include <memory>

#include "base/units.h"
#include "cli/command.h"
#include "cli/load.h"
#include "cli/progress_line.h"
#include "report/reach.h"
#include "study/reach_map.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  OptionChoice choice;
  double cell_mm = 50.0;
  bool json = false;
};

int run(const Arguments& arguments) {
  const auto loaded = load(arguments.plan, arguments.choice);
  if (!loaded) return k_exit_bad_input;
  const auto results = study_all(*loaded, 0);
  std::vector<study::ReachMap> maps;
  for (const Loaded& one : *loaded) {
    Progress progress;
    const ProgressLine line("the bed map", progress);
    maps.push_back(
        study::make_reach_map(one.plan, one.machine, arguments.cell_mm, {.progress = &progress}));
  }
  if (arguments.json) {
    fmt::print("{}", report::reach_json(loaded->front().plan, results, maps));
    return exit_code_of(results);
  }
  for (std::size_t i = 0; i < results.size(); ++i) {
    fmt::print("{}\n", report::reach_text((*loaded)[i].plan, results[i], maps[i]));
  }
  return exit_code_of(results);
}

}  // namespace

void add_reach(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      app.add_subcommand("reach", "Where the tool gets, and how low it gets over the bed");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  add_option_choice(*command, arguments->choice);
  command->add_option("--cell", arguments->cell_mm, "Size of the cells of the bed map, mm")
      ->check(CLI::Range(1.0, 10000.0))
      ->capture_default_str();
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer(
      "Example: bight reach assets/demo/plan.toml --option \"in the chains\" --cell 100");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
