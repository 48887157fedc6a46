// bight: the command line. Printing and exit codes live in this module only.

#include <fmt/core.h>

#include <exception>
#include <memory>
#include <utility>

#include "base/large_pages.h"
#include "cli/command.h"
#include "report/table.h"
#include "view/view.h"

namespace {

/// Help that keeps to the width of a page.
class PageFormatter : public CLI::Formatter {
 public:
  std::string make_help(const CLI::App* app, std::string name,
                        CLI::AppFormatMode mode) const override {
    return bight::report::fitted_lines(CLI::Formatter::make_help(app, std::move(name), mode));
  }
};

}  // namespace

int main(int argc, char** argv) {
  using namespace bight::cli;
  bight::use_large_pages();
  CLI::App app{
      "Plans the travel, chains and cables of a small gantry machine: what reaches, what "
      "collides,\n"
      "which bend is too tight, how long each line must be."};
  app.name("bight");
  app.formatter(std::make_shared<PageFormatter>());
  app.set_version_flag("--version", "bight " BIGHT_VERSION);
  app.require_subcommand(1);
  app.footer(
      "Example: bight check assets/demo/plan.toml\n"
      "Exit code: 0 no finding that stops, 1 findings that stop, 2 the input could not be used");
  int exit_code = k_exit_clear;
  add_check(app, exit_code);
  add_reach(app, exit_code);
  add_hooks(app, exit_code);
  add_lengths(app, exit_code);
  add_compare(app, exit_code);
  add_suggest(app, exit_code);
  add_new(app, exit_code);
  add_keys(app, exit_code);
  add_calc(app, exit_code);
  add_view(app, exit_code);
  // Started without words, as from a desktop: the window, where there is a display.
  if (argc == 1 && bight::view::display_is_named()) return open_window({}, {}, 0, false);
  add_picture(app, exit_code);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = app.exit(error);
    return code == 0 ? k_exit_clear : k_exit_bad_input;
  } catch (const std::exception& error) {
    fmt::print(stderr, "bight: {}\n", error.what());
    return k_exit_bad_input;
  }
  return exit_code;
}
