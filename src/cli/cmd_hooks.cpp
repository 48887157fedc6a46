#include <fmt/core.h>

#include <memory>

#include "cli/command.h"
#include "cli/load.h"
#include "cli/progress_line.h"
#include "report/hooks.h"
#include "study/hook_place.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  OptionChoice choice;
  std::string run;
  bool json = false;
};

int run(const Arguments& arguments) {
  const auto loaded = load(arguments.plan, arguments.choice);
  if (!loaded) return k_exit_bad_input;
  std::vector<plan::Plan> plans;
  std::vector<study::HookMaps> maps;
  bool found = false;
  for (const Loaded& one : *loaded) {
    Progress progress;
    const ProgressLine line("the places for hooks", progress);
    maps.push_back(study::map_hooks(one.plan, one.machine, {.run = arguments.run}, &progress));
    plans.push_back(one.plan);
    found = found || !maps.back().maps.empty();
  }
  if (!arguments.run.empty() && !found) {
    fmt::print(stderr, "bight: {}\n", maps.front().problem);
    return k_exit_bad_input;
  }
  if (arguments.json) {
    fmt::print("{}", report::hooks_json(plans, maps));
  } else {
    for (std::size_t i = 0; i < maps.size(); ++i) {
      fmt::print("{}{}", i > 0 ? "\n" : "", report::hooks_text(plans[i], maps[i]));
    }
  }
  return k_exit_clear;
}

}  // namespace

void add_hooks(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand(
      "hooks", "Where a hook or the post of a boom gives a hanging line a length that works");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  add_option_choice(*command, arguments->choice);
  command->add_option("--run", arguments->run, "Only this run");
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer("Example: bight hooks assets/demo/plan.toml --option \"hung from the rafter\"");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
