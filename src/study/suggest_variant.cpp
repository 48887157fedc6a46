#include "study/suggest_variant.h"

#include <utility>

#include "plan/read.h"

namespace bight::study {
namespace {

std::optional<Draft> read(std::string text, const std::string& file, const std::string& option,
                          machine::MeshCache& cache, Diagnostics& diagnostics) {
  auto plan = plan::read_plan(text, file, option, diagnostics);
  if (!plan) return {};
  machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  if (diagnostics.has_errors()) return {};
  return Draft{std::move(text), std::move(*plan), std::move(machine)};
}

}  // namespace

std::optional<Draft> make_draft(const VariantSource& source,
                                const std::vector<plan::PathValue>& overrides,
                                machine::MeshCache& cache) {
  plan::Patched patched = plan::append_option(source.text, source.name, source.about, overrides);
  if (!patched.problem.empty()) return {};
  Diagnostics diagnostics;
  return read(std::move(patched.text), source.file, source.name, cache, diagnostics);
}

std::optional<Draft> read_draft(const VariantSource& source, const std::string& option,
                                machine::MeshCache& cache, Diagnostics& diagnostics) {
  return read(std::string(source.text), source.file, option, cache, diagnostics);
}

Variant checked(Draft draft, StudyOptions options) {
  options.findings_only = true;
  StudyResult result = run_study(draft.plan, draft.machine, options);
  return {std::move(draft), std::move(result)};
}

}  // namespace bight::study
