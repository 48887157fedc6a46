#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cmath>

#include "base/counted.h"
#include "base/number.h"
#include "base/units.h"
#include "editor/plan_problem.h"
#include "view/commands.h"
#include "view/fitted_text.h"
#include "view/panels.h"
#include "view/severity_mark.h"

namespace bight::view {
namespace {

std::string amount(double value, const std::string& unit, LengthUnit shown) {
  if (!std::isfinite(value)) return value > 0.0 ? "no limit" : "none";
  if (unit == "mm") return length_text(value, shown);
  const double size = std::abs(value);
  const int decimals = size >= 100.0 ? 0 : size >= 10.0 ? 1 : 2;
  return fixed(value, decimals) + (unit.empty() ? "" : " " + unit);
}

std::string value_text(const study::Finding& finding, LengthUnit unit) {
  if (finding.unit.empty() && finding.value == 0.0 && finding.limit == 0.0) return {};
  const std::string value = amount(finding.value, finding.unit, unit);
  const std::string limit = amount(finding.limit, finding.unit, unit);
  return value == limit ? value + ", at its limit" : value + ", limit " + limit;
}

std::string certainty_text(const study::Finding& finding, LengthUnit unit) {
  std::string text = study::to_text(finding.certainty);
  if (finding.certainty == study::Certainty::sampled && finding.poses > 0) {
    text += " at " + counted(finding.poses, "pose", "poses");
    if (finding.step_mm > 0.0) text += ", step " + length_text(finding.step_mm, unit);
  }
  return text;
}

/// A count with its mark; pressed, it takes that kind out of the list or back.
void kind_toggle(const PanelContext& context, study::Severity severity, std::size_t count,
                 bool& shown) {
  const std::string label = std::to_string(count);
  const float height = ImGui::GetFrameHeight();
  const float width = ImGui::CalcTextSize(label.c_str()).x + context.em * 2.3F;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  if (ImGui::InvisibleButton((std::string("show ") + study::to_text(severity)).c_str(),
                             {width, height})) {
    shown = !shown;
  }
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const bool hovered = ImGui::IsItemHovered();
  draw->AddRectFilled(at, {at.x + width, at.y + height},
                      hovered ? context.palette.accent_soft
                      : shown ? context.palette.well
                              : with_alpha(context.palette.well, 0.0F),
                      2.0F);
  draw->AddRect(at, {at.x + width, at.y + height}, context.palette.rule, 2.0F);
  draw_mark(draw, context.palette, {at.x + context.em * 0.9F, at.y + height * 0.5F},
            context.em * 0.4F, severity);
  draw->AddText({at.x + context.em * 1.6F, at.y + ImGui::GetStyle().FramePadding.y},
                shown ? context.palette.ink : context.palette.faint, label.c_str());
  if (hovered) {
    ImGui::SetTooltip("%s: %s", study::to_text(severity), shown ? "shown" : "left out");
  }
}

void filter_bar(const PanelContext& context) {
  ViewState& state = context.state;
  const auto counts = editor::count_findings(context.editor.findings());
  kind_toggle(context, study::Severity::stop, counts.stops, state.filter.stops);
  ImGui::SameLine();
  kind_toggle(context, study::Severity::act, counts.acts, state.filter.acts);
  ImGui::SameLine();
  kind_toggle(context, study::Severity::note, counts.notes, state.filter.notes);
  ImGui::SameLine();
  ImGui::SetNextItemWidth(std::max(context.em * 3.0F, ImGui::GetContentRegionAvail().x));
  constexpr const char* k_orders[] = {"worst first", "by check", "by thing", "by margin"};
  int order = static_cast<int>(state.order);
  if (ImGui::BeginCombo(
          "##order",
          shortened(k_orders[order], ImGui::CalcItemWidth() - context.em * 2.6F).c_str())) {
    for (int i = 0; i < 4; ++i) {
      if (ImGui::Selectable(k_orders[i], i == order)) {
        state.order = static_cast<editor::FindingOrder>(i);
      }
    }
    ImGui::EndCombo();
  }
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  ImGui::InputTextWithHint("##search", "search", &state.filter.text);
}

std::string what_is_left(const editor::Remedy& remedy) {
  const std::string acts = std::to_string(remedy.acts) + " to act on";
  if (remedy.stops > 0) return "leaves " + counted(remedy.stops, "stop", "stops") + ", " + acts;
  return remedy.acts > 0 ? "then " + acts : "then nothing is left to do";
}

void remedy_list(const PanelContext& context, const std::string& id) {
  editor::Editor& editor = context.editor;
  const editor::Remedies& remedies = editor.remedies();
  const bool mine = remedies.finding == id;
  if (editor.looking_for_remedies()) {
    wrapped_text("Looking for changes that mend it; each is checked in full\u2026",
                 context.palette.faint);
    return;
  }
  if (!mine) {
    if (ImGui::Button("Find a remedy")) context.report(editor.look_for_remedies(id));
    return;
  }
  if (!remedies.problem.empty()) wrapped_text(remedies.problem, context.palette.stop);
  if (remedies.remedies.empty()) {
    wrapped_text("No change that was tried mends it (" + std::to_string(remedies.tried) +
                     " tried). Edit the plan by hand.",
                 context.palette.faint);
    return;
  }
  for (std::size_t i = 0; i < remedies.remedies.size(); ++i) {
    const editor::Remedy& remedy = remedies.remedies[i];
    ImGui::PushID(static_cast<int>(i));
    const ImVec2 at = ImGui::GetCursorScreenPos();
    draw_mark(ImGui::GetWindowDrawList(), context.palette,
              {at.x + context.em * 0.5F, at.y + context.em * 0.5F}, context.em * 0.36F,
              remedy.verdict);
    ImGui::SetCursorPosX(ImGui::GetCursorPosX() + context.em * 1.3F);
    wrapped_text(remedy.what, context.palette.ink);
    ImGui::SetCursorPosX(ImGui::GetCursorPosX() + context.em * 1.3F);
    const bool pressed = ImGui::Button(remedy.stops > 0 ? "Apply all the same" : "Apply");
    ImGui::SameLine();
    ImGui::AlignTextToFramePadding();
    fitted_text(what_is_left(remedy),
                remedy.stops > 0 ? context.palette.stop : context.palette.faint);
    ImGui::PopID();
    if (pressed) {
      context.report(editor.apply_remedy(i));
      return;
    }
  }
}

void details(const PanelContext& context, const study::Finding& finding, const std::string& id) {
  if (!finding.advice.empty()) {
    ImGui::PushFont(context.fonts.small);
    fitted_text("Advice", context.palette.faint);
    ImGui::PopFont();
    std::string advice = finding.advice;
    advice.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(advice.front())));
    wrapped_text(advice, context.palette.ink);
  }
  if (finding.severity != study::Severity::note) remedy_list(context, id);
}

/// Found for the plan as it is now, by the full check or by what follows an edit at once.
bool is_current(const editor::Editor& editor, const study::Finding& finding,
                const std::string& id) {
  if (editor.findings_freshness() == editor::Freshness::current) return true;
  if (editor.broken() || !editor.live()) return false;
  return std::ranges::any_of(editor.live()->findings, [&](const study::Finding& live) {
    return live.what == finding.what && editor::finding_id(live) == id;
  });
}

/// One finding; its whole area is one item, named by its sentence, so that it can be pressed
/// anywhere.
void row(const PanelContext& context, const study::Finding& finding, std::size_t number) {
  const std::string id = editor::finding_id(finding);
  const bool chosen = id == context.editor.selected_finding();
  const bool stale = !is_current(context.editor, finding, id);
  ImGui::PushID(static_cast<int>(number));
  const float indent = context.em * 1.7F;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const float pad = std::round(context.em * 0.3F);
  const float text_width = width - indent;
  const std::string what = broken_into_lines(tied(finding.what), text_width);
  const float sentence = ImGui::CalcTextSize(what.c_str()).y;
  ImGui::PushFont(context.fonts.small);
  const float small = ImGui::GetTextLineHeight();
  ImGui::PopFont();
  const std::string values = value_text(finding, context.unit());
  const float height = sentence + (values.empty() ? 1.0F : 2.0F) * small + 3.0F * pad;
  if (ImGui::InvisibleButton(("finding " + finding.what).c_str(), {width, height})) {
    context.editor.select_finding(chosen ? "" : id);
    context.state.frame_asked = true;
  }
  const bool hovered = ImGui::IsItemHovered();
  if (hovered) {
    for (const std::string& thing : finding.things) context.point_at(thing);
  }
  ImDrawList* draw = ImGui::GetWindowDrawList();
  if (chosen || hovered) {
    draw->AddRectFilled({at.x - pad, at.y}, {at.x + width + pad, at.y + height},
                        chosen ? context.palette.accent_soft : context.palette.well);
  }
  draw_mark(draw, context.palette, {at.x + context.em * 0.75F, at.y + pad + context.em * 0.5F},
            context.em * 0.45F, finding.severity);
  const ImVec2 after = ImGui::GetCursorPos();
  ImGui::SetCursorScreenPos({at.x + indent, at.y + pad});
  ImGui::PushStyleColor(ImGuiCol_Text, stale ? context.palette.faint : context.palette.ink);
  ImGui::TextUnformatted(what.c_str());
  ImGui::PopStyleColor();
  ImGui::PushFont(context.fonts.small);
  float y = at.y + pad + sentence + pad * 0.5F;
  if (!values.empty()) {
    ImGui::SetCursorScreenPos({at.x + indent, y});
    fitted_text(values, context.palette.faint, text_width);
    y += small;
  }
  const float sign = draw_certainty(draw, context.palette, {at.x + indent, y + small * 0.5F}, small,
                                    finding.certainty);
  ImGui::SetCursorScreenPos({at.x + indent + sign + pad, y});
  fitted_text(certainty_text(finding, context.unit()) + (stale ? ", out of date" : ""),
              context.palette.faint, text_width - sign - pad);
  ImGui::PopFont();
  ImGui::SetCursorPos(after);
  if (chosen && context.state.scroll_to_finding) {
    ImGui::SetScrollHereY(0.3F);
    context.state.scroll_to_finding = false;
  }
  if (chosen) {
    ImGui::Indent(indent);
    details(context, finding, id);
    ImGui::Unindent(indent);
  }
  ImGui::PopID();
  const ImVec2 rule = ImGui::GetCursorScreenPos();
  draw->AddLine({rule.x, rule.y - 2.5F}, {rule.x + width, rule.y - 2.5F},
                with_alpha(context.palette.rule, 0.6F));
}

/// An error of the plan; pressed, it leads to the element that it stands in.
void problem_row(const PanelContext& context, const Diagnostic& problem) {
  const plan::Element* element = editor::element_of(problem, context.editor.document());
  const std::string text = editor::problem_sentence(problem);
  if (element == nullptr) {
    wrapped_text(text, context.palette.ink);
    return;
  }
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const float height = ImGui::CalcTextSize(broken_into_lines(tied(text), width).c_str()).y;
  const bool pressed = ImGui::InvisibleButton(("error " + text).c_str(), {width, height});
  if (ImGui::IsItemHovered()) {
    ImGui::GetWindowDrawList()->AddRectFilled(at, {at.x + width, at.y + height},
                                              context.palette.well);
    ImGui::SetTooltip("Go to it in the plan");
  }
  const ImVec2 after = ImGui::GetCursorPos();
  ImGui::SetCursorScreenPos(at);
  wrapped_text(text, context.palette.ink);
  ImGui::SetCursorPos(after);
  if (!pressed) return;
  context.editor.select(element->path);
  context.state.top_chosen = element->path.empty();
  context.state.page = Page::plan;
}

void problems(const PanelContext& context) {
  wrapped_text(context.editor.model()
                   ? "The plan has errors. What is shown is the last state without them."
                   : "The plan has errors. Nothing is shown before they are mended.",
               context.palette.stop);
  for (const Diagnostic& d : context.editor.diagnostics()) {
    if (d.severity == Severity::error) problem_row(context, d);
  }
}

}  // namespace

void findings_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Findings", context, area);
  if (context.editor.text().empty()) {
    wrapped_text("Open a plan to see what it says.", context.palette.faint);
    end_sheet();
    return;
  }
  filter_bar(context);
  if (context.editor.broken()) problems(context);
  ImGui::BeginChild("list");
  const auto& findings = context.editor.findings();
  const auto listed = editor::listed_findings(findings, context.state.filter, context.state.order);
  const std::uint64_t text = context.editor.text_revision();
  for (const std::size_t index : listed) {
    row(context, findings[index], index);
    if (context.editor.text_revision() != text) break;  // a remedy was applied: other findings now
  }
  // With errors there is nothing to wait for: they are named above.
  if (listed.empty() && !(context.editor.broken() && findings.empty())) {
    const bool known = context.editor.findings_freshness() == editor::Freshness::current;
    wrapped_text(!findings.empty() ? "All findings are filtered out."
                 : known           ? "Nothing to act on: clear over the whole travel."
                                   : "Checking\u2026",
                 context.palette.faint);
  }
  ImGui::EndChild();
  end_sheet();
}

}  // namespace bight::view
