#include "study/suggest_variant.h"

#include <utility>

#include "plan/read.h"

namespace bight::study {
namespace {

std::optional<Variant> checked(std::string text, const std::string& file, const std::string& option,
                               machine::MeshCache& cache, const StudyOptions& options,
                               Diagnostics& diagnostics) {
  auto plan = plan::read_plan(text, file, option, diagnostics);
  if (!plan) return {};
  machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  if (diagnostics.has_errors()) return {};
  StudyResult result = run_study(*plan, machine, options);
  return Variant{std::move(text), std::move(*plan), std::move(machine), std::move(result)};
}

}  // namespace

std::optional<Variant> make_variant(const VariantSource& source,
                                    const std::vector<plan::PathValue>& overrides,
                                    machine::MeshCache& cache, const StudyOptions& options) {
  plan::Patched patched = plan::append_option(source.text, source.name, source.about, overrides);
  if (!patched.problem.empty()) return {};
  Diagnostics diagnostics;
  return checked(std::move(patched.text), source.file, source.name, cache, options, diagnostics);
}

std::optional<Variant> read_variant(const VariantSource& source, const std::string& option,
                                    machine::MeshCache& cache, const StudyOptions& options,
                                    Diagnostics& diagnostics) {
  return checked(std::string(source.text), source.file, option, cache, options, diagnostics);
}

}  // namespace bight::study
