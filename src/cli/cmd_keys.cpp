#include <fmt/core.h>

#include <memory>

#include "cli/command.h"
#include "plan/keys.h"
#include "report/table.h"

namespace bight::cli {

void add_keys(CLI::App& app, int& exit_code) {
  struct Arguments {
    std::string filter;
    bool markdown = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      app.add_subcommand("keys", "Every key of the plan file, with unit, range and meaning");
  command->add_option("word", arguments->filter, "Only keys whose name or meaning contains it");
  command->add_flag("--markdown", arguments->markdown, "The whole page docs/plan-file.md");
  command->footer("Example: bight keys bend_radius");
  command->callback([arguments, &exit_code] {
    const std::string text =
        arguments->markdown ? plan::keys_markdown() : plan::keys_text(arguments->filter);
    if (text.empty()) {
      fmt::print(stderr, "bight: no key has \"{}\" in its name or meaning\n", arguments->filter);
      exit_code = k_exit_bad_input;
      return;
    }
    fmt::print("{}", arguments->markdown ? text : report::fitted_lines(text));
  });
}

}  // namespace bight::cli
