#include "cli/load.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/parallel.h"
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
  if (threads == 0) threads = default_threads();
  // Options first, since one of them alone does not keep several threads busy all the time.
  const auto at_once = static_cast<unsigned>(
      std::clamp<std::size_t>(threads, 1, std::max<std::size_t>(loaded.size(), 1)));
  Progress progress;
  const ProgressLine line(loaded.size() == 1 && !loaded.front().plan.chosen_option.empty()
                              ? loaded.front().plan.chosen_option
                              : "plan",
                          progress);
  std::vector<study::StudyResult> results(loaded.size());
  parallel_for(loaded.size(), at_once, [&](std::size_t i) {
    results[i] = study::run_study(loaded[i].plan, loaded[i].machine,
                                  {.threads = threads, .progress = &progress});
  });
  return results;
}

int exit_code_of(const std::vector<study::StudyResult>& results) {
  for (const study::StudyResult& result : results) {
    if (result.verdict == study::Verdict::stop) return k_exit_stop;
  }
  return k_exit_clear;
}

}  // namespace bight::cli
