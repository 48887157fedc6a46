// Direct manipulation: handles that are dragged, followed live, one step for undo.

#include "editor/editor_state_detail.h"

namespace bight::editor {

std::vector<Handle> Editor::handles() const {
  const State& s = *state_;
  if (!s.model) return {};
  std::vector<Handle> handles = make_handles(*s.model);
  for (Handle& handle : handles) handle.at = handle_at(*s.model, handle, s.pose);
  return handles;
}

std::string Editor::begin_drag(const std::string& handle_id) {
  State& s = *state_;
  if (s.broken || !s.model) return "the plan has errors: mend them first";
  if (s.drag) cancel_drag();
  for (const Handle& handle : make_handles(*s.model)) {
    if (handle.id != handle_id) continue;
    s.drag = State::Drag{handle_id, s.text, s.model};
    s.playing = false;
    if (s.worker) s.worker->cancel();
    s.series_task.cancel();
    ++s.revision;
    return {};
  }
  return "there is nothing to drag at " + handle_id;
}

SnappedPlace Editor::drag_to(const Vec3& to, const std::optional<Vec3>& along,
                             const SnapOptions& snap) {
  State& s = *state_;
  if (!s.drag) return {to, {}};
  const std::vector<Handle> handles = make_handles(*s.drag->model);
  for (const Handle& handle : handles) {
    if (handle.id != s.drag->handle) continue;
    const Vec3 shift = handle_at(*s.drag->model, handle, s.pose) - handle.at;
    SnappedPlace place = snapped(*s.drag->model, handles, handle, to - shift, along, snap);
    // Always from where the drag began, so that a step back is a step back to the byte.
    const bool moved = place.at != handle.at;
    plan::Patched patched{s.drag->text, {}};
    if (moved) {
      patched = edited_text(s.drag->text, s.option, move_edit(*s.drag->model, handle, place.at));
    }
    if (patched.problem.empty() && patched.text != s.text) {
      s.take_text(std::move(patched.text), s.option);
    }
    place.at += shift;
    return place;
  }
  return {to, {}};
}

std::string Editor::end_drag() {
  State& s = *state_;
  if (!s.drag) return "nothing is being dragged";
  const State::Drag drag = std::move(*s.drag);
  s.drag.reset();
  if (s.text != drag.text) {
    const std::size_t dot = drag.handle.find('.');
    s.history.add("move " + drag.handle.substr(dot + 1), drag.text, s.text, {s.option, s.option});
    s.renew_tour();
    s.keep_recovery();
  }
  s.request_check();
  ++s.revision;
  return {};
}

void Editor::cancel_drag() {
  State& s = *state_;
  if (!s.drag) return;
  const std::string text = std::move(s.drag->text);
  s.drag.reset();
  s.take_text(text, s.option);
  s.request_check();
}

bool Editor::dragging() const {
  return state_->drag.has_value();
}

}  // namespace bight::editor
