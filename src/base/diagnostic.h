#pragma once
// Diagnostics: what is wrong with an input, where, what was found and what is allowed.
// Readers take a Diagnostics collector and go on after an error, so that all errors of a file come
// in one go.

#include <string>
#include <vector>

namespace bight {

enum class Severity { note, warning, error };

/// Place in a text file; line and column count from 1, 0 means "not known".
struct Place {
  std::string file;
  int line = 0;
  int column = 0;
};

struct Diagnostic {
  Severity severity = Severity::error;
  Place place;
  std::string message;  ///< one sentence: what is wrong
  std::string found;    ///< what stands there, empty when it adds nothing
  std::string allowed;  ///< what may stand there, empty when it adds nothing
};

/// Collects diagnostics in the order in which they are found.
class Diagnostics {
 public:
  void add(Diagnostic d) { items_.push_back(std::move(d)); }
  void error(Place place, std::string message, std::string found = {}, std::string allowed = {}) {
    add({Severity::error, std::move(place), std::move(message), std::move(found),
         std::move(allowed)});
  }
  void warning(Place place, std::string message, std::string found = {}, std::string allowed = {}) {
    add({Severity::warning, std::move(place), std::move(message), std::move(found),
         std::move(allowed)});
  }
  void note(Place place, std::string message, std::string found = {}, std::string allowed = {}) {
    add({Severity::note, std::move(place), std::move(message), std::move(found),
         std::move(allowed)});
  }

  const std::vector<Diagnostic>& items() const { return items_; }
  bool has_errors() const;

 private:
  std::vector<Diagnostic> items_;
};

/// "file:line:column: error: message; found X; allowed Y" (the form that editors make clickable).
std::string to_text(const Diagnostic& d);

}  // namespace bight
