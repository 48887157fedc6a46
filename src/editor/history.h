#pragma once
// Steps of a text that can be undone and done again. A step keeps only the stretch that changed, so
// the history of a long session stays small; undone to its start, the text has the same bytes.

#include <cstddef>
#include <string>
#include <vector>

namespace bight::editor {

class History {
 public:
  /// A step from one text to the next. Nothing is added when the texts are equal. `mark` is given
  /// back with the step (the option chosen before and after it).
  struct Mark {
    std::string before;
    std::string after;
  };
  void add(std::string name, const std::string& from, const std::string& to, Mark mark = {});

  bool can_undo() const { return done_ > 0; }
  bool can_redo() const { return done_ < steps_.size(); }
  const std::string& undo_name() const;  ///< empty when there is none
  const std::string& redo_name() const;

  /// The text before the last step, from the text after it; BIGHT_CHECKs that there is one.
  std::string undo(const std::string& text, Mark& mark);
  std::string redo(const std::string& text, Mark& mark);
  void clear();

 private:
  struct Step {
    std::string name;
    std::size_t at = 0;
    std::string removed;
    std::string inserted;
    Mark mark;
  };
  std::vector<Step> steps_;
  std::size_t done_ = 0;
};

}  // namespace bight::editor
