#include "editor/drawn_things.h"

#include <algorithm>

namespace bight::editor {

std::vector<std::string> drawn_things(const plan::Plan& plan,
                                      const std::vector<std::string>& names) {
  std::vector<std::string> things;
  const auto add = [&things](const std::string& name) {
    if (std::find(things.begin(), things.end(), name) == things.end()) things.push_back(name);
  };
  for (const std::string& name : names) {
    add(name);
    for (const plan::Line& line : plan.lines) {
      if (line.present && (line.run == name || line.article == name)) add(line.name);
    }
    for (const plan::Part& part : plan.parts) {
      if (part.present && part.body == name) add(part.name);
    }
    for (const plan::Switch& one : plan.switches) {
      if (one.body == name) add(one.name);
    }
  }
  return things;
}

}  // namespace bight::editor
