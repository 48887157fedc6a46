#include "cli/load.h"

#include <fmt/core.h>

#include "cli/command.h"
#include "cli/progress_line.h"
#include "plan/read.h"

namespace bight::cli {
namespace {

void print_diagnostics(const Diagnostics& diagnostics) {
  for (const Diagnostic& d : diagnostics.items()) fmt::print(stderr, "{}\n", to_text(d));
}

bool chosen(const plan::Plan& plan, bool has_options, const OptionChoice& choice) {
  if (choice.all_options) return true;
  if (!choice.option.empty()) {
    return plan.chosen_option == (choice.option == "base" ? "" : choice.option);
  }
  return has_options != plan.chosen_option.empty();
}

}  // namespace

void add_option_choice(CLI::App& command, OptionChoice& choice) {
  CLI::Option* one = command.add_option("--option", choice.option,
                                        "Only this option; \"base\" is the plan as written");
  command
      .add_flag("--all-options", choice.all_options,
                "The plan as written and every option (without either: every option)")
      ->excludes(one);
}

std::optional<std::vector<Loaded>> load(const std::string& file, const OptionChoice& choice) {
  Diagnostics diagnostics;
  auto plans = plan::load_plan_and_options(file, diagnostics);
  std::vector<Loaded> loaded;
  if (plans) {
    const bool has_options = plans->size() > 1;
    machine::MeshCache cache;
    for (plan::Plan& plan : *plans) {
      if (!chosen(plan, has_options, choice)) continue;
      machine::Machine machine = machine::build_machine(plan, cache, diagnostics);
      loaded.push_back({std::move(plan), std::move(machine)});
    }
    if (loaded.empty()) {
      std::string names = "base";
      for (const plan::Option& option : plans->front().options) names += ", " + option.name;
      diagnostics.error({file, 0, 0}, "there is no such option", choice.option, names);
    }
  }
  print_diagnostics(diagnostics);
  if (diagnostics.has_errors()) return {};
  return loaded;
}

std::vector<study::StudyResult> study_all(const std::vector<Loaded>& loaded, unsigned threads) {
  std::vector<study::StudyResult> results;
  for (const Loaded& one : loaded) {
    Progress progress;
    const ProgressLine line(one.plan.chosen_option.empty() ? "plan" : one.plan.chosen_option,
                            progress);
    results.push_back(
        study::run_study(one.plan, one.machine, {.threads = threads, .progress = &progress}));
  }
  return results;
}

int exit_code_of(const std::vector<study::StudyResult>& results) {
  for (const study::StudyResult& result : results) {
    if (result.verdict == study::Verdict::stop) return k_exit_stop;
  }
  return k_exit_clear;
}

}  // namespace bight::cli
