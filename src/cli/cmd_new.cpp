#include <fmt/core.h>
#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <map>
#include <memory>

#include "base/file.h"
#include "base/number.h"
#include "cli/command.h"
#include "plan/write.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string file;
  bool replace = false;
  plan::StarterAnswers answers;
};

/// Asks for one length; an empty line keeps what is there.
void ask(const char* question, double& value) {
  for (;;) {
    fmt::print(stderr, "{} [{} mm]: ", question, shortest(value));
    std::string line;
    if (!std::getline(std::cin, line) || line.empty()) return;
    if (const auto number = parse_number(line)) {
      value = *number;
      return;
    }
    fmt::print(stderr, "  a number in mm, please\n");
  }
}

void ask_all(plan::StarterAnswers& a) {
  fmt::print(stderr, "Lengths in mm; Enter keeps the value in brackets.\n");
  ask("Travel along X (to your right)", a.travel.x);
  ask("Travel along Y (away from you)", a.travel.y);
  ask("Travel along Z (up)", a.travel.z);
  ask("Bed along X", a.bed_size.x);
  ask("Bed along Y", a.bed_size.y);
  ask("Top of the bed above the floor", a.bed_height);
  ask("Underside of the beam above the bed", a.clear_height);
  ask("Diameter of the router", a.router_diameter);
  ask("Length of the router", a.router_length);
  ask("Diameter of the tool", a.tool_diameter);
  ask("Length of the tool below the router", a.tool_length);
  ask("Ceiling above the floor", a.ceiling_height);
}

int run(const Arguments& arguments) {
  if (std::filesystem::exists(arguments.file) && !arguments.replace) {
    fmt::print(stderr, "bight: {} is there already; add --replace to write over it\n",
               arguments.file);
    return k_exit_bad_input;
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
  command->callback([arguments, command, &exit_code] {
    // Only the file and perhaps --replace or --name were given: ask for the rest.
    const bool dimensions = command->count_all() > command->count("file") +
                                                       command->count("--replace") +
                                                       command->count("--name") + 1;
    if (!dimensions && ::isatty(STDIN_FILENO) != 0 && ::isatty(STDERR_FILENO) != 0)
      ask_all(arguments->answers);
    exit_code = run(*arguments);
  });
}

}  // namespace bight::cli
