#include "view/view_bar.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "view/fitted_text.h"
#include "view/number_field.h"

namespace bight::view {
namespace {

void cut_fields(const PanelContext& context, const Box& drawn) {
  Layers& layers = context.state.layers;
  fitted_text("cut away the front along", context.palette.faint);
  constexpr const char* k_axes[] = {"none", "X", "Y", "Z"};
  for (int i = 0; i < 4; ++i) {
    if (i > 0) ImGui::SameLine();
    if (ImGui::RadioButton(k_axes[i], layers.cut_axis == i - 1)) {
      layers.cut_axis = i - 1;
      if (i > 0 && !drawn.empty()) layers.cut_at_mm = drawn.center()[i - 1];
    }
  }
  if (layers.cut_axis < 0 || drawn.empty()) return;
  const bool inch = context.unit() == LengthUnit::inch;
  const double factor = inch ? 1.0 / k_mm_per_inch : 1.0;
  const double low = drawn.lower[layers.cut_axis];
  const double high = drawn.upper[layers.cut_axis];
  auto share = static_cast<float>(high > low ? (layers.cut_at_mm - low) / (high - low) : 0.0);
  ImGui::SetNextItemWidth(context.em * 8.0F);
  if (ImGui::SliderFloat("##cut", &share, 0.0F, 1.0F, "", ImGuiSliderFlags_NoInput)) {
    layers.cut_at_mm = std::round(low + static_cast<double>(share) * (high - low));
  }
  ImGui::SameLine();
  const auto typed = number_field("##cut at", layers.cut_at_mm * factor,
                                  {.unit = inch ? "in" : "mm",
                                   .is_length = true,
                                   .decimals = inch ? 3 : 1,
                                   .width = context.em * 7.0F},
                                  context.palette, context.state.typed);
  if (typed) layers.cut_at_mm = *typed / factor;
}

void shown_popup(const PanelContext& context, Stage& stage) {
  if (!ImGui::BeginPopup("shown")) return;
  ViewState& state = context.state;
  ImGui::Checkbox("names", &state.show_names);
  ImGui::Checkbox("handles to drag", &state.show_handles);
  ImGui::Checkbox("travel of the tool tip", &state.layers.travel);
  ImGui::Checkbox("way of the tip on the tour", &state.layers.path);
  ImGui::Checkbox("reach over the bed", &state.layers.reach);
  ImGui::Checkbox("where the tip cannot go", &state.layers.blocked);
  bool straight = stage.camera().straight;
  if (ImGui::Checkbox("without perspective", &straight)) {
    scene::Camera camera = stage.camera();
    camera.straight = straight;
    stage.set_camera(camera);
  }
  cut_fields(context, stage.scene().bounds);
  ImGui::EndPopup();
}

}  // namespace

void view_bar(const PanelContext& context, Stage& stage) {
  struct Direction {
    const char* label;
    const char* view;
  };
  constexpr Direction k_directions[] = {
      {"corner", "corner"}, {"front", "front"}, {"right", "right"}, {"above", "above"}};
  const Area& area = context.layout.picture;
  if (area.width < context.em * 9.0F) return;
  const bool roomy = area.width >= context.em * 22.0F;
  ImGui::PushFont(context.fonts.small);
  ImGui::SetCursorScreenPos({area.x + context.em * 0.5F, area.y + context.em * 0.4F});
  for (const Direction& d : k_directions) {
    if (!roomy) break;
    if (ImGui::Button(d.label)) context.state.view_asked = d.view;
    ImGui::SameLine();
  }
  if (ImGui::Button("all")) context.state.all_asked = true;
  ImGui::SameLine();
  if (ImGui::Button("show")) ImGui::OpenPopup("shown");
  if (area.width >= context.em * 26.0F && !context.editor.highlighted().empty()) {
    ImGui::SameLine();
    if (ImGui::Button("chosen")) context.state.chosen_asked = true;
  }
  ImGui::PopFont();
  shown_popup(context, stage);
}

void step_cut(Layers& layers, const Box& drawn) {
  layers.cut_axis = layers.cut_axis >= 2 ? -1 : layers.cut_axis + 1;
  if (layers.cut_axis >= 0 && !drawn.empty()) layers.cut_at_mm = drawn.center()[layers.cut_axis];
}

}  // namespace bight::view
