#include <fmt/core.h>

#include <memory>

#include "cli/command.h"
#include "cli/load.h"
#include "report/compare.h"
#include "report/text.h"
#include "study/compare.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  OptionChoice choice;
  bool json = false;
  unsigned threads = 0;
};

int run(const Arguments& arguments) {
  const auto loaded = load(arguments.plan, arguments.choice);
  if (!loaded) return k_exit_bad_input;
  const auto results = study_all(*loaded, arguments.threads);
  std::vector<study::OptionFigures> figures;
  for (std::size_t i = 0; i < results.size(); ++i) {
    figures.push_back(study::option_figures((*loaded)[i].plan, (*loaded)[i].machine, results[i]));
  }
  const study::Comparison comparison = study::compare_options(std::move(figures));
  const plan::Plan& plan = loaded->front().plan;
  if (arguments.json) {
    fmt::print("{}", report::compare_json(plan, comparison));
    return exit_code_of(results);
  }
  fmt::print("{} ({})\n\n{}\n{}", plan.name, arguments.plan, report::compare_text(plan, comparison),
             report::cautions_text());
  return exit_code_of(results);
}

}  // namespace

void add_compare(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand(
      "compare", "Puts the options of a plan side by side and ranks them by a stated rule");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  command->add_flag("--all-options", arguments->choice.all_options,
                    "The plan as written as well, as \"base\"");
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->add_option("--threads", arguments->threads, "Threads; the result does not depend on it");
  command->footer("Example: bight compare assets/demo/plan.toml");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
