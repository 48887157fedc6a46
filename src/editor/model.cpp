#include "editor/model.h"

#include "plan/read.h"

namespace bight::editor {

Reading read_model(const std::string& text, const std::string& file, const std::string& option,
                   machine::MeshCache& cache) {
  Reading reading;
  Diagnostics diagnostics;
  auto model = std::make_shared<Model>();
  if (auto plan = plan::read_plan(text, file, option, diagnostics)) {
    model->option = option;
    model->machine = machine::build_machine(*plan, cache, diagnostics);
    model->plan = std::move(*plan);
  }
  if (!diagnostics.has_errors()) reading.model = std::move(model);
  reading.diagnostics = diagnostics.items();
  return reading;
}

}  // namespace bight::editor
