#include <fmt/core.h>

#include <memory>

#include "base/file.h"
#include "base/tolerance.h"
#include "cli/command.h"
#include "cli/progress_line.h"
#include "plan/read.h"
#include "report/page.h"
#include "report/suggest.h"
#include "report/text.h"
#include "study/suggest.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  std::string option;
  bool write = false;
  bool json = false;
  unsigned threads = 0;
};

struct Work {
  std::vector<std::string> options;
  LengthUnit unit = LengthUnit::mm;
};

/// The options to work on: the one asked for, else all of the plan, else the plan as written.
Work work_of(const Arguments& arguments, const std::string& text, Diagnostics& diagnostics) {
  const auto plans = plan::read_plan_and_options(text, arguments.plan, diagnostics);
  if (!plans) return {};
  Work work;
  if (plans->front().inches) work.unit = LengthUnit::inch;
  for (const plan::Option& option : plans->front().options) work.options.push_back(option.name);
  if (work.options.empty()) work.options.emplace_back(plan::k_base_option);
  if (!arguments.option.empty()) work.options = {arguments.option};
  return work;
}

/// Saves only over the file that was read. Returns a sentence when it did not.
std::string save(const std::string& file, const std::string& read, const std::string& text) {
  const FileText now = read_file(file, k_plan_bytes_limit);
  if (!now.text) return now.problem;
  if (*now.text != read) return file + " was changed meanwhile; nothing was written";
  return save_file(file, text);
}

int run(const Arguments& arguments) {
  const FileText read = read_file(arguments.plan, k_plan_bytes_limit);
  if (!read.text) {
    fmt::print(stderr, "bight: {}\n", read.problem);
    return k_exit_bad_input;
  }
  Diagnostics diagnostics;
  const Work work = work_of(arguments, *read.text, diagnostics);
  for (const Diagnostic& d : diagnostics.items()) fmt::print(stderr, "{}\n", to_text(d));
  if (diagnostics.has_errors()) return k_exit_bad_input;

  std::string text = *read.text;
  std::vector<study::Suggestion> suggestions;
  bool all_clear = true;
  for (const std::string& name : work.options) {
    Progress progress;
    const ProgressLine line("changes of " + report::option_label(name), progress);
    study::SuggestOptions options;
    options.study = {.threads = arguments.threads, .progress = &progress};
    suggestions.push_back(study::suggest(text, arguments.plan, name, options));
    const study::Suggestion& s = suggestions.back();
    if (s.status == study::SuggestStatus::unusable) {
      fmt::print(stderr, "{}\n", s.problem);
      return k_exit_bad_input;
    }
    // The next option starts from the file with this one in it.
    if (s.status == study::SuggestStatus::clear) text = s.text;
    all_clear = all_clear && s.after.verdict == study::Verdict::clear;
  }
  const bool wrote = arguments.write && text != *read.text;
  if (wrote) {
    const std::string problem = save(arguments.plan, *read.text, text);
    if (!problem.empty()) {
      fmt::print(stderr, "bight: {}\n", problem);
      return k_exit_bad_input;
    }
  }
  if (arguments.json) {
    fmt::print("{}", report::suggest_json(arguments.plan, suggestions));
  } else {
    for (const study::Suggestion& s : suggestions) {
      fmt::print("{}\n", report::suggest_text(s, work.unit));
    }
    if (wrote) fmt::print("wrote the clear ones to {}\n\n", arguments.plan);
    fmt::print("{}", report::cautions_text());
  }
  return all_clear ? k_exit_clear : k_exit_stop;
}

}  // namespace

void add_suggest(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = app.add_subcommand(
      "suggest", "Finds changes that make options clear, each verified by the full check");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  command->add_option("--option", arguments->option,
                      "Only this option of the plan; \"base\" is the plan as written");
  command->add_flag("--write", arguments->write,
                    "Append what is clear to the plan file as new options");
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->add_option("--threads", arguments->threads, "Threads; the result does not depend on it");
  command->footer(
      "Exit code: 0 every option is clear or has a clear suggestion, 1 one has not\n"
      "Example: bight suggest assets/demo/plan.toml --option \"plug at the head\"");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
