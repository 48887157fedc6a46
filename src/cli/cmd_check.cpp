#include <fmt/core.h>

#include <memory>

#include "cli/command.h"
#include "cli/load.h"
#include "report/json.h"
#include "report/text.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  OptionChoice choice;
  bool json = false;
  bool brief = false;
  unsigned threads = 0;
};

int run(const Arguments& arguments) {
  const auto loaded = load(arguments.plan, arguments.choice);
  if (!loaded) return k_exit_bad_input;
  const auto results = study_all(*loaded, arguments.threads);
  if (arguments.json) {
    fmt::print("{}", report::check_json(loaded->front().plan, results));
    return exit_code_of(results);
  }
  const report::Detail detail =
      arguments.brief ? report::Detail::findings : report::Detail::figures;
  fmt::print("{} ({})\n\n", loaded->front().plan.name, arguments.plan);
  for (std::size_t i = 0; i < results.size(); ++i) {
    fmt::print("{}\n", report::option_text((*loaded)[i].plan, results[i], detail));
  }
  if (results.size() > 1) fmt::print("{}\n", report::summary_text(results));
  fmt::print("{}", report::cautions_text());
  return exit_code_of(results);
}

}  // namespace

void add_check(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand(
      "check", "Checks a plan: what reaches, collides, bends too tightly or hangs wrongly");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  add_option_choice(*command, arguments->choice);
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->add_flag("--brief", arguments->brief, "Findings only, without the tables of figures");
  command->add_option("--threads", arguments->threads, "Threads; the result does not depend on it");
  command->footer("Example: bight check assets/demo/plan.toml --option \"in the chains\"");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
