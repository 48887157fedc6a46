#include <fmt/core.h>

#include <memory>

#include "cli/command.h"
#include "cli/load.h"
#include "report/json.h"
#include "report/page.h"
#include "report/text.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  OptionChoice choice;
  bool json = false;
  bool csv = false;
};

int run(const Arguments& arguments) {
  const auto loaded = load(arguments.plan, arguments.choice);
  if (!loaded) return k_exit_bad_input;
  const auto results = study_all(*loaded, 0);
  if (arguments.json) {
    fmt::print("{}", report::lengths_json(loaded->front().plan, results));
  } else if (arguments.csv) {
    fmt::print("{}", report::lengths_csv(results));
  } else {
    for (std::size_t i = 0; i < results.size(); ++i) {
      fmt::print("{} ({})\n{}\n", report::option_label(results[i].option),
                 study::to_text(results[i].verdict),
                 report::lengths_text((*loaded)[i].plan, results[i]));
    }
    fmt::print("{}", report::cautions_text());
  }
  return exit_code_of(results);
}

}  // namespace

void add_lengths(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand("lengths", "How long to cut each line and what to buy");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  add_option_choice(*command, arguments->choice);
  auto* json = command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->add_flag("--csv", arguments->csv, "As comma-separated values")->excludes(json);
  command->footer("Example: bight lengths assets/demo/plan.toml --option \"in the chains\" --csv");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
