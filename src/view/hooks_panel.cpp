#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "base/units.h"
#include "editor/handle.h"
#include "view/fitted_text.h"
#include "view/hook_map_job.h"
#include "view/panels.h"

namespace bight::view {
namespace {

std::string label_of(const MovableHold& hold) {
  return hold.hold + " to " + hold.other;
}

void choices(const PanelContext& context, const std::vector<MovableHold>& holds) {
  ViewState& state = context.state;
  state.hook_index = std::min(state.hook_index, holds.size() - 1);
  const float width = ImGui::GetContentRegionAvail().x;
  ImGui::SetNextItemWidth(width);
  const std::string shown = shortened(label_of(holds[state.hook_index]), width - context.em * 2.6F);
  if (ImGui::BeginCombo("##hold", shown.c_str())) {
    for (std::size_t i = 0; i < holds.size(); ++i) {
      ImGui::PushID(static_cast<int>(i));
      if (ImGui::Selectable(label_of(holds[i]).c_str(), i == state.hook_index)) {
        state.hook_index = i;
        context.editor.select_thing(holds[i].hold);
      }
      ImGui::PopID();
    }
    ImGui::EndCombo();
  }
  constexpr const char* k_planes[] = {"level, at its height", "upright, along X",
                                      "upright, along Y"};
  ImGui::SetNextItemWidth(width);
  if (ImGui::BeginCombo("##plane", k_planes[state.hook_plane])) {
    for (int i = 0; i < 3; ++i) {
      if (ImGui::Selectable(k_planes[i], i == state.hook_plane)) state.hook_plane = i;
    }
    ImGui::EndCombo();
  }
}

void best_place(const PanelContext& context, const ShownHookMap& shown, const MovableHold& hold) {
  const LengthUnit unit = context.unit();
  const free::HookMap& map = shown.map;
  wrapped_text("A length works over " + fixed(100.0 * map.works_share, 1) + " % of the area" +
                   (map.border_share > 0.0
                        ? ", and within " + fixed(100.0 * map.border_share, 1) + " % at its border"
                        : "") +
                   ". Sampled every " + length_text(map.step_mm, unit, 0) + ".",
               context.palette.ink);
  if (!map.best) {
    wrapped_text("No place in this plane has a length that works.", context.palette.stop);
    return;
  }
  const free::HookPlaceWindow& best = map.places[*map.best];
  wrapped_text("Best place: " + point_text(best.place, unit), context.palette.ink);
  std::string window = "Window of length: from " + length_text_at_least(best.min_mm, unit, 0);
  window += std::isfinite(best.max_mm) ? " to " + length_text_at_most(best.max_mm, unit, 0)
                                       : ", no limit from above";
  wrapped_text(window + "; take " + length_text(best.recommended_mm, unit, 0) + ".",
               context.palette.ink);
  if (ImGui::Button("Move it there")) {
    const auto handles = editor::make_handles(*context.editor.model());
    const auto handle = std::ranges::find(handles, hold.hold, &editor::Handle::thing);
    if (handle == handles.end()) {
      context.report("This hold cannot be moved.");
      return;
    }
    context.report(
        context.editor.apply(editor::move_edit(*context.editor.model(), *handle, best.place)));
  }
}

}  // namespace

void hooks_panel(const PanelContext& context, const Area& area, HookMapJob& job) {
  if (area.empty()) return;
  begin_sheet("Hooks", context, area);
  const auto& model = context.editor.model();
  const auto holds = model ? movable_holds(*model) : std::vector<MovableHold>();
  if (holds.empty()) {
    wrapped_text("No line of this option hangs from a hook or bracket that stands still.",
                 context.palette.faint);
    end_sheet();
    return;
  }
  ImGui::PushFont(context.fonts.small);
  wrapped_text("Where a hook could be so that its line has a length that works at every pose.",
               context.palette.faint);
  ImGui::PopFont();
  choices(context, holds);
  const MovableHold& hold = holds[context.state.hook_index];
  const auto plane = static_cast<MapPlane>(context.state.hook_plane);
  if (!context.editor.dragging()) job.ask(model, hold, plane);
  ImGui::Checkbox("show in the picture", &context.state.hook_map_shown);
  if (job.running()) {
    ImGui::ProgressBar(static_cast<float>(std::clamp(job.share(), 0.0, 1.0)),
                       {ImGui::GetContentRegionAvail().x, context.em * 0.5F}, "");
    if (ImGui::Button("Stop")) job.cancel();
  }
  const auto shown = job.map();
  if (!shown) {
    if (!job.running()) wrapped_text("There is no map of it.", context.palette.faint);
  } else if (!job.is_of(model, hold, plane)) {
    wrapped_text("Out of date: the map is being computed again.", context.palette.act);
  } else {
    best_place(context, *shown, hold);
  }
  end_sheet();
}

}  // namespace bight::view
