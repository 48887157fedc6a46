#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "base/units.h"
#include "view/fitted_text.h"
#include "view/number_field.h"
#include "view/panels.h"

namespace bight::view {
namespace {

double shown(double mm, LengthUnit unit) {
  return unit == LengthUnit::inch ? mm / k_mm_per_inch : mm;
}

const char* word(LengthUnit unit) {
  return unit == LengthUnit::inch ? "in" : "mm";
}

/// A slider drawn as a scale with ticks and a needle.
void joint_scale(const PanelContext& context, std::size_t index, const editor::JointValue& joint,
                 float width) {
  const float height = ImGui::GetFrameHeight();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::InvisibleButton(("scale " + joint.name).c_str(), {width, height});
  const float inset = context.em * 0.4F;
  const float left = at.x + inset;
  const float right = at.x + width - inset;
  const bool active = ImGui::IsItemActive();
  if (active) {
    context.state.joint = index;
    const float t = std::clamp((ImGui::GetIO().MousePos.x - left) / (right - left), 0.0F, 1.0F);
    const double value = joint.low + static_cast<double>(t) * (joint.high - joint.low);
    context.editor.set_joint(index, std::round(value));
  }
  if (ImGui::IsItemHovered() && ImGui::GetIO().MouseWheel != 0.0F) {
    context.editor.set_joint(index,
                             joint.value + 10.0 * static_cast<double>(ImGui::GetIO().MouseWheel));
  }
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const float base = std::floor(at.y + height * 0.66F) + 0.5F;
  draw->AddLine({left, base}, {right, base}, context.palette.faint, 1.0F);
  constexpr int k_tenths = 10;
  for (int i = 0; i <= k_tenths; ++i) {
    const float x = std::floor(left + (right - left) * static_cast<float>(i) / k_tenths) + 0.5F;
    const float tall = i % 5 == 0 ? 0.34F : 0.2F;
    draw->AddLine({x, base}, {x, base - height * tall}, context.palette.faint, 1.0F);
  }
  const double span = joint.high - joint.low;
  const float t = span > 0.0 ? static_cast<float>((joint.value - joint.low) / span) : 0.0F;
  const float x = left + (right - left) * t;
  const float r = context.em * (active || ImGui::IsItemHovered() ? 0.42F : 0.36F);
  draw->AddTriangleFilled({x, base - r * 0.4F}, {x + r, base + r * 1.3F}, {x - r, base + r * 1.3F},
                          context.palette.accent);
  draw->AddLine({x, at.y + height * 0.12F}, {x, base}, context.palette.accent,
                std::max(1.5F, context.em * 0.11F));
}

void joint_row(const PanelContext& context, std::size_t index, const editor::JointValue& joint) {
  const LengthUnit unit = context.unit();
  ImGui::AlignTextToFramePadding();
  fitted_text(joint.name, context.palette.ink, context.em);
  ImGui::SameLine(context.em * 1.9F);
  const float field = context.em * 6.6F;
  const float room = ImGui::GetContentRegionAvail().x - field - ImGui::GetStyle().ItemSpacing.x;
  if (room > context.em * 4.0F) {
    joint_scale(context, index, joint, room);
    ImGui::SameLine();
  }
  const auto typed = number_field(("##joint " + joint.name).c_str(), shown(joint.value, unit),
                                  {.unit = word(unit),
                                   .is_length = true,
                                   .decimals = unit == LengthUnit::inch ? 3 : 1,
                                   .width = field},
                                  context.palette, context.state.typed);
  if (ImGui::IsItemHovered()) {
    ImGui::SetTooltip("%s from %s to %s", joint.name.c_str(), length_text(joint.low, unit).c_str(),
                      length_text(joint.high, unit).c_str());
  }
  if (typed) {
    context.state.joint = index;
    context.editor.set_joint(index, unit == LengthUnit::inch ? *typed * k_mm_per_inch : *typed);
  }
}

/// The corners as the signs of each joint's end, the first joint first.
void corners(const PanelContext& context, const std::vector<editor::JointValue>& joints) {
  if (ImGui::Button("Home")) context.editor.go_home();
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
  std::string names;
  for (std::size_t j = 0; j < std::min<std::size_t>(3, joints.size()); ++j) {
    names += (j == 0 ? "" : " ") + joints[j].name;
  }
  fitted_text("or a corner: " + names, context.palette.faint);
  const std::size_t count = std::size_t{1} << std::min<std::size_t>(3, joints.size());
  const float gap = ImGui::GetStyle().ItemSpacing.x;
  const float width = std::floor((ImGui::GetContentRegionAvail().x - 3.0F * gap) / 4.0F);
  for (std::size_t corner = 0; corner < count; ++corner) {
    std::string named;
    std::string signs;
    std::string places;
    bool here = true;
    for (std::size_t j = 0; j < std::min<std::size_t>(3, joints.size()); ++j) {
      const bool high = (corner >> j & 1U) != 0;
      const std::string gap_before = j == 0 ? "" : " ";
      const std::string sign = high ? "+" : "\u2013";
      named += gap_before + joints[j].name + sign;
      signs += gap_before + sign;
      places += std::string(j == 0 ? "" : ", ") + joints[j].name + " at " +
                length_text(high ? joints[j].high : joints[j].low, context.unit());
      here = here && joints[j].value == (high ? joints[j].high : joints[j].low);
    }
    if (here) ImGui::PushStyleColor(ImGuiCol_Button, context.palette.accent_soft);
    const bool fits = ImGui::CalcTextSize(named.c_str()).x + context.em * 0.4F <= width;
    const std::string id = (fits ? named : signs) + "###corner " + std::to_string(corner + 1);
    if (ImGui::Button(id.c_str(), {width, 0.0F})) context.editor.go_corner(corner);
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", places.c_str());
    if (here) ImGui::PopStyleColor();
    if (corner % 4 != 3) ImGui::SameLine();
  }
}

}  // namespace

void travel_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Travel", context, area);
  const auto joints = context.editor.joints();
  if (joints.empty()) {
    wrapped_text(context.editor.broken() ? "Nothing can move before the plan's errors are mended."
                                         : "Without a plan there is nothing to move.",
                 context.palette.faint);
    end_sheet();
    return;
  }
  for (std::size_t j = 0; j < joints.size(); ++j) joint_row(context, j, joints[j]);
  ImGui::Dummy({0.0F, 1.0F});
  corners(context, joints);
  // Where there is no strip under the picture, the curves are here.
  if (context.layout.strip.empty() && context.state.page != Page::curves) {
    const float rest = ImGui::GetContentRegionAvail().y;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    if (rest > context.em * 6.0F) {
      end_sheet();
      tour_strip(context, {area.x, at.y, area.width, rest + ImGui::GetStyle().WindowPadding.y});
      return;
    }
  }
  end_sheet();
}

}  // namespace bight::view
