#include "editor/live.h"

#include <algorithm>
#include <chrono>

#include "editor/live_clearance.h"
#include "editor/live_runs.h"
#include "study/check_chain.h"
#include "study/check_line.h"
#include "study/context.h"
#include "study/mover.h"

namespace bight::editor {

struct LiveCheck::Kept {
  LiveClearance clearance;
  LiveRunCheck runs;
  std::optional<LengthUnit> unit;
};

LiveCheck::LiveCheck(std::optional<LengthUnit> unit) : kept_(std::make_unique<Kept>()) {
  kept_->unit = unit;
}
LiveCheck::LiveCheck(LiveCheck&&) noexcept = default;
LiveCheck& LiveCheck::operator=(LiveCheck&&) noexcept = default;
LiveCheck::~LiveCheck() = default;

namespace {

/// Lines whose length is not known are taken out, with what was said of them and of what to buy.
void leave_out(const plan::Plan& plan, const std::vector<std::string>& runs,
               study::LineCheck& check, std::vector<std::string>& names) {
  for (const plan::Line& line : plan.lines) {
    if (line.present && std::find(runs.begin(), runs.end(), line.run) != runs.end()) {
      names.push_back(line.name);
    }
  }
  if (names.empty()) return;
  const auto named = [&](const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  std::erase_if(check.lines, [&](const study::LineFigures& l) { return named(l.name); });
  std::erase_if(check.findings, [&](const study::Finding& f) {
    return std::any_of(f.things.begin(), f.things.end(), named);
  });
  std::erase_if(check.drums, [&](const line::Drum& d) {
    return std::any_of(d.lines.begin(), d.lines.end(), named);
  });
}

}  // namespace

LiveResult LiveCheck::check(const Model& model, unsigned threads, const study::StudyResult* last) {
  const auto start = std::chrono::steady_clock::now();
  const study::StudyOptions options{.threads = threads};
  const study::Context context{
      model.plan, model.machine, options,
      kept_->unit.value_or(model.plan.inches ? LengthUnit::inch : LengthUnit::mm)};
  LiveResult result;
  LivePairs pairs = kept_->clearance.check(context, study::make_movers(context));
  study::ChainCheck chains = study::check_chains(context);
  LiveRuns runs = kept_->runs.check(context, last);
  study::LineCheck lines = study::check_lines(context, chains.chains, runs.runs);

  leave_out(model.plan, runs.unknown_lengths, lines, result.unknown_lengths);
  std::erase_if(runs.runs, [](const study::FreeRunFigures& f) { return f.length_mm == 0.0; });

  study::append(result.findings, std::move(pairs.findings));
  study::append(result.findings, std::move(chains.findings));
  study::append(result.findings, std::move(runs.findings));
  study::append(result.findings, std::move(lines.findings));
  study::sort_by_severity(result.findings);
  for (study::Finding& finding : result.findings) {
    finding.advice.clear();
    if (finding.severity == study::Severity::stop) result.verdict = study::Verdict::stop;
    if (finding.severity == study::Severity::act && result.verdict == study::Verdict::clear) {
      result.verdict = study::Verdict::act;
    }
  }
  result.clearance = std::move(pairs.pairs);
  result.free_runs = std::move(runs.runs);
  result.chains = std::move(chains.chains);
  result.lines = std::move(lines.lines);
  result.drums = std::move(lines.drums);
  result.pairs_computed = pairs.computed;
  result.runs_computed = runs.computed;
  result.left_out = std::move(runs.left_out);
  result.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  return result;
}

}  // namespace bight::editor
