#include <fmt/core.h>
#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <map>
#include <memory>

#include "base/file.h"
#include "cli/command.h"
#include "cli/starter_questions.h"
#include "plan/write.h"
#include "report/table.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string file;
  bool replace = false;
  bool ask = false;
  std::vector<StarterDimension> known;  ///< given on the command line
  plan::StarterAnswers answers;
};

int run(Arguments arguments) {
  if (std::filesystem::exists(arguments.file) && !arguments.replace) {
    fmt::print(stderr, "bight: {} is there already; add --replace to write over it\n",
               arguments.file);
    return k_exit_bad_input;
  }
  if (arguments.ask) {
    if (!ask_dimensions(std::cin, arguments.answers, arguments.known)) {
      fmt::print(stderr, "bight: stopped; nothing was written\n");
      return k_exit_bad_input;
    }
  } else {
    arguments.answers = with_assumptions(arguments.answers, arguments.known);
  }
  const plan::StarterPlan starter = plan::starter_plan(arguments.answers);
  if (!starter.problem.empty()) {
    fmt::print(stderr, "bight: {}\n", starter.problem);
    return k_exit_bad_input;
  }
  const std::string problem = save_file(arguments.file, starter.text);
  if (!problem.empty()) {
    fmt::print(stderr, "bight: {}\n", problem);
    return k_exit_bad_input;
  }
  const std::string assumed = arguments.ask ? "" : assumed_text(arguments.answers, arguments.known);
  if (!assumed.empty()) {
    fmt::print("{}\n", report::wrapped("assumed, since not given: " + assumed, 100, 2));
  }
  fmt::print("wrote {}; now measure your machine into it, then: bight check {}\n", arguments.file,
             arguments.file);
  return k_exit_clear;
}

}  // namespace

void add_new(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  plan::StarterAnswers& a = arguments->answers;
  CLI::App* command = app.add_subcommand("new", "Writes a commented starter plan");
  command->add_option("file", arguments->file, "The plan file to write")->required();
  command->add_option("--name", a.name, "Name of the machine");
  command
      ->add_option_function<std::vector<double>>(
          "--travel",
          [&a](const std::vector<double>& v) {
            a.travel = {v[0], v[1], v[2]};
          },
          "Travel along X, Y, Z, mm")
      ->expected(3);
  command
      ->add_option_function<std::vector<double>>(
          "--bed",
          [&a](const std::vector<double>& v) {
            a.bed_size = {v[0], v[1]};
          },
          "Size of the bed along X, Y, mm")
      ->expected(2);
  command->add_flag("--moving-table", a.moving_table,
                    "The bed moves along Y instead of the gantry");
  command->add_option("--bed-height", a.bed_height, "Top of the bed above the floor, mm");
  command->add_option("--clear-height", a.clear_height, "Underside of the beam above the bed, mm");
  command
      ->add_option_function<std::vector<double>>(
          "--router",
          [&a](const std::vector<double>& v) {
            a.router_diameter = v[0];
            a.router_length = v[1];
          },
          "Diameter and length of the router, mm")
      ->expected(2);
  command
      ->add_option_function<std::vector<double>>(
          "--tool",
          [&a](const std::vector<double>& v) {
            a.tool_diameter = v[0];
            a.tool_length = v[1];
          },
          "Diameter and length of the tool, mm")
      ->expected(2);
  command->add_option("--ceiling", a.ceiling_height, "Ceiling above the floor, mm");
  command->add_option("--supply", a.supply, "How the router's supply reaches the head")
      ->transform(CLI::CheckedTransformer(std::map<std::string, plan::SupplyWay>{
          {"chains", plan::SupplyWay::chains}, {"hook", plan::SupplyWay::hook}}))
      ->type_name("chains|hook");
  command->add_flag("--replace", arguments->replace, "Write over a file that is there already");
  command->footer(
      "On a terminal, without dimensions, it asks for them.\n"
      "Example: bight new shed.toml --travel 1200 800 120 --bed 1400 1100 --supply hook");
  CLI::Option* ask = command->add_flag("--ask", arguments->ask,
                                       "Ask for the dimensions, also when this is not a terminal");
  command->callback([arguments, command, ask, &exit_code] {
    using Dimension = StarterDimension;
    const struct {
      const char* option;
      std::vector<Dimension> dimensions;
    } options[] = {
        {"--travel", {Dimension::travel_x, Dimension::travel_y, Dimension::travel_z}},
        {"--bed", {Dimension::bed_x, Dimension::bed_y}},
        {"--bed-height", {Dimension::bed_height}},
        {"--clear-height", {Dimension::clear_height}},
        {"--router", {Dimension::router_diameter, Dimension::router_length}},
        {"--tool", {Dimension::tool_diameter, Dimension::tool_length}},
        {"--ceiling", {Dimension::ceiling_height}},
    };
    for (const auto& [option, dimensions] : options) {
      if (command->count(option) == 0) continue;
      arguments->known.insert(arguments->known.end(), dimensions.begin(), dimensions.end());
    }
    const bool terminal = ::isatty(STDIN_FILENO) != 0 && ::isatty(STDERR_FILENO) != 0;
    if (ask->count() == 0) arguments->ask = arguments->known.empty() && terminal;
    exit_code = run(*arguments);
  });
}

}  // namespace bight::cli
