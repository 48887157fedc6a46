#include "base/diagnostic.h"

#include <algorithm>

namespace bight {

bool Diagnostics::has_errors() const {
  return std::any_of(items_.begin(), items_.end(),
                     [](const Diagnostic& d) { return d.severity == Severity::error; });
}

std::string to_text(const Diagnostic& d) {
  std::string text = d.place.file;
  if (d.place.line > 0) {
    text += ':' + std::to_string(d.place.line) + ':' + std::to_string(d.place.column);
  }
  if (!text.empty()) text += ": ";
  text += d.severity == Severity::error     ? "error: "
          : d.severity == Severity::warning ? "warning: "
                                            : "note: ";
  text += d.message;
  if (!d.found.empty()) text += "; found " + d.found;
  if (!d.allowed.empty()) text += "; allowed: " + d.allowed;
  return text;
}

}  // namespace bight
