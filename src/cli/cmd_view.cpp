#include <fmt/core.h>

#include <memory>

#include "cli/command.h"
#include "view/view.h"

namespace bight::cli {

int open_window(const std::string& plan, const std::string& option, unsigned threads,
                bool debug_context) {
  const view::ViewResult result = view::run_window(
      {.plan = plan, .option = option, .threads = threads, .debug_context = debug_context});
  if (result.end == view::ViewEnd::closed) return k_exit_clear;
  fmt::print(stderr, "bight: {}\n", result.problem);
  if (result.end == view::ViewEnd::no_display) {
    fmt::print(stderr, "bight: every answer can be had without a window: bight check PLAN\n");
  }
  return k_exit_bad_input;
}

void add_view(CLI::App& app, int& exit_code) {
  struct Arguments {
    std::string plan;
    std::string option;
    unsigned threads = 0;
    bool debug_context = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand(
      "view", "Opens the window on a plan: picture, findings, travel, edits (docs/window.md)");
  command->add_option("plan", arguments->plan, "The plan file; without it the start panel");
  command->add_option("--option", arguments->option, "Option to choose at the start");
  command->add_option("--threads", arguments->threads, "Threads of the checks");
  command->add_flag("--debug-context", arguments->debug_context,
                    "Stop at the first error that the graphics driver reports");
  command->footer("Example: bight view assets/demo/plan.toml");
  command->callback([arguments, &exit_code] {
    exit_code = open_window(arguments->plan, arguments->option, arguments->threads,
                            arguments->debug_context);
  });
}

}  // namespace bight::cli
