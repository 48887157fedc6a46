#include "editor/history.h"

#include <algorithm>

#include "base/check.h"

namespace bight::editor {
namespace {

/// Steps kept; older ones are forgotten.
constexpr std::size_t k_steps_limit = 5000;

const std::string k_no_name;

std::string swapped(const std::string& text, std::size_t at, std::size_t length,
                    const std::string& by) {
  BIGHT_CHECK(at + length <= text.size());
  std::string out = text.substr(0, at);
  return out.append(by).append(text, at + length, std::string::npos);
}

}  // namespace

void History::add(std::string name, const std::string& from, const std::string& to, Mark mark) {
  if (from == to && mark.before == mark.after) return;
  steps_.resize(done_);
  const std::size_t most = std::min(from.size(), to.size());
  std::size_t head = 0;
  while (head < most && from[head] == to[head]) ++head;
  std::size_t tail = 0;
  while (tail < most - head && from[from.size() - 1 - tail] == to[to.size() - 1 - tail]) ++tail;
  steps_.push_back({std::move(name), head, from.substr(head, from.size() - head - tail),
                    to.substr(head, to.size() - head - tail), std::move(mark)});
  if (steps_.size() > k_steps_limit) steps_.erase(steps_.begin());
  done_ = steps_.size();
}

const std::string& History::undo_name() const {
  return can_undo() ? steps_[done_ - 1].name : k_no_name;
}

const std::string& History::redo_name() const {
  return can_redo() ? steps_[done_].name : k_no_name;
}

std::string History::undo(const std::string& text, Mark& mark) {
  BIGHT_CHECK(can_undo());
  const Step& step = steps_[--done_];
  mark = step.mark;
  return swapped(text, step.at, step.inserted.size(), step.removed);
}

std::string History::redo(const std::string& text, Mark& mark) {
  BIGHT_CHECK(can_redo());
  const Step& step = steps_[done_++];
  mark = step.mark;
  return swapped(text, step.at, step.removed.size(), step.inserted);
}

void History::clear() {
  steps_.clear();
  done_ = 0;
}

}  // namespace bight::editor
