#include "view/key_form.h"

#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/units.h"
#include "editor/handle.h"
#include "editor/key_value.h"
#include "view/element_words.h"
#include "view/fitted_text.h"
#include "view/number_field.h"
#include "view/text_field.h"

namespace bight::view {
namespace {

using plan::KeyType;

/// Numbers of a key side by side; 0: it has no numbers.
std::size_t columns(const plan::Key& key) {
  switch (key.type) {
    case KeyType::number:
    case KeyType::whole_number:
      return 1;
    case KeyType::interval:
    case KeyType::pair:
      return 2;
    case KeyType::vector:
    case KeyType::direction:
      return 3;
    default:
      return editor::columns_of(key);
  }
}

/// Where the key is the place of something that can be dragged: the same move as by dragging, which
/// takes the ends of clipped legs along.
std::optional<editor::Edit> move_of(const PanelContext& context, const plan::KeyState& state,
                                    const editor::KeyValue& value) {
  const editor::Editor& editor = context.editor;
  if (editor.broken() || !editor.model() || value.numbers.size() != 3) return {};
  for (const editor::Handle& handle : editor::make_handles(*editor.model())) {
    if (handle.path != state.path) continue;
    const double mm = editor.document().inches ? k_mm_per_inch : 1.0;
    const Vec3 to = mm * Vec3(value.numbers[0], value.numbers[1], value.numbers[2]);
    return editor::move_edit(*editor.model(), handle, to);
  }
  return {};
}

/// Puts a value into the plan when it may stand there.
void put(const PanelContext& context, const plan::KeyState& state, const editor::KeyValue& value) {
  const std::string problem =
      editor::problem_of(*state.key, value, context.editor.document().inches);
  if (!problem.empty()) {
    context.report(state.key->name + ": " + editor::format_value(*state.key, value) +
                   " is not taken; " + problem);
    return;
  }
  if (const auto move = move_of(context, state, value)) {
    context.report(context.editor.apply(*move));
    return;
  }
  context.report(
      context.editor.apply(editor::SetValue{state.path, editor::format_value(*state.key, value)}));
}

void number_fields(const PanelContext& context, const plan::KeyState& state,
                   const editor::KeyValue& value, std::size_t columns) {
  const bool inches = context.editor.document().inches;
  const LengthUnit unit = context.unit();
  const float spacing = ImGui::GetStyle().ItemSpacing.x;
  const std::size_t rows = std::max<std::size_t>(1, (value.numbers.size() + columns - 1) / columns);
  const bool list = state.key->type == KeyType::numbers || state.key->type == KeyType::pairs ||
                    state.key->type == KeyType::vectors;
  constexpr std::size_t k_rows_shown = 40;
  // Put into the plan once all fields are drawn: the next one takes the keyboard in this frame.
  std::optional<editor::KeyValue> changed;
  for (std::size_t row = 0; row < std::min(rows, k_rows_shown); ++row) {
    const float room = ImGui::GetContentRegionAvail().x - (list ? context.em * 1.9F : 0.0F);
    // The unit of a row stands behind its last field, unless the columns differ in it.
    const bool one_unit =
        editor::unit_word(*state.key, 0, unit) == editor::unit_word(*state.key, columns - 1, unit);
    for (std::size_t c = 0; c < columns; ++c) {
      const std::size_t index = row * columns + c;
      const double factor = editor::shown_factor(*state.key, c, inches, unit);
      const bool known = index < value.numbers.size();
      const std::string word =
          one_unit && c + 1 < columns ? std::string() : editor::unit_word(*state.key, c, unit);
      const float word_width =
          one_unit && columns > 1
              ? ImGui::CalcTextSize(editor::unit_word(*state.key, 0, unit).c_str()).x
              : 0.0F;
      const auto n = static_cast<float>(columns);
      const float base = std::floor((room - spacing * (n - 1.0F) - word_width) / n);
      const float width = c + 1 == columns ? base + word_width : base;
      ImGui::PushID(static_cast<int>(index));
      const auto typed = number_field(
          ("##" + state.key->name).c_str(), known ? value.numbers[index] * factor : std::nan(""),
          {.unit = word,
           .is_length = word == "mm" || word == "in" ||
                        (one_unit && editor::unit_word(*state.key, 0, unit) == word),
           .decimals = 4,
           .width = std::max(width, context.em * 2.6F)},
          context.palette, context.state.typed);
      ImGui::PopID();
      if (typed) {
        changed = value;
        changed->numbers.resize(std::max(value.numbers.size(), (row + 1) * columns), 0.0);
        changed->numbers[index] = *typed / factor;
      }
      if (c + 1 < columns) ImGui::SameLine();
    }
    if (list && row < value.numbers.size() / std::max<std::size_t>(1, columns)) {
      ImGui::SameLine();
      ImGui::PushID(static_cast<int>(row));
      if (ImGui::Button("\u2013##row", {context.em * 1.5F, 0.0F})) {
        changed = value;
        const auto from = changed->numbers.begin() + static_cast<std::ptrdiff_t>(row * columns);
        changed->numbers.erase(from, from + static_cast<std::ptrdiff_t>(columns));
      }
      ImGui::PopID();
    }
  }
  if (list && ImGui::Button("+##row", {context.em * 1.5F, 0.0F})) {
    changed = value;
    for (std::size_t c = 0; c < columns; ++c) {
      const std::size_t n = changed->numbers.size();
      changed->numbers.push_back(
          n >= columns ? changed->numbers[n - columns] + (c == 0 ? 10.0 : 0.0) : 0.0);
    }
  }
  if (changed) put(context, state, *changed);
}

/// Chooses one of several words.
bool word_choice(const char* id, std::string& word, const std::vector<std::string>& words,
                 float width) {
  bool changed = false;
  ImGui::SetNextItemWidth(width);
  const std::string shown =
      shortened(word.empty() ? "-" : word, width - ImGui::GetFontSize() * 2.6F);
  if (ImGui::BeginCombo(id, shown.c_str())) {
    for (const std::string& choice : words) {
      if (ImGui::Selectable(choice.c_str(), choice == word)) {
        word = choice;
        changed = true;
      }
    }
    ImGui::EndCombo();
  }
  return changed;
}

void word_fields(const PanelContext& context, const plan::KeyState& state, editor::KeyValue value) {
  const plan::Key& key = *state.key;
  const float width = ImGui::GetContentRegionAvail().x;
  const std::string id = "##" + key.name;
  if (key.type == KeyType::choice || key.type == KeyType::reference) {
    const auto words =
        key.type == KeyType::choice ? key.choices : plan::names_for(context.editor.document(), key);
    std::string word = value.words.empty() ? "" : value.words.front();
    if (word_choice(id.c_str(), word, words, width)) {
      value.words = {word};
      put(context, state, value);
    }
    return;
  }
  if (key.type == KeyType::references || key.type == KeyType::reference_pair) {
    const auto names = plan::names_for(context.editor.document(), key);
    const bool pair = key.type == KeyType::reference_pair;
    if (pair) value.words.resize(2);
    for (std::size_t i = 0; i < value.words.size(); ++i) {
      ImGui::PushID(static_cast<int>(i));
      const bool changed =
          word_choice(id.c_str(), value.words[i], names, width - (pair ? 0.0F : context.em * 1.9F));
      bool removed = false;
      if (!pair) {
        ImGui::SameLine();
        removed = ImGui::Button("\u2013", {context.em * 1.5F, 0.0F});
      }
      ImGui::PopID();
      if (removed) value.words.erase(value.words.begin() + static_cast<std::ptrdiff_t>(i));
      if (changed || removed) {
        put(context, state, value);
        return;
      }
    }
    if (!pair && ImGui::Button("+", {context.em * 1.5F, 0.0F}) && !names.empty()) {
      value.words.push_back(names.front());
      put(context, state, value);
    }
    return;
  }
  ImGui::SetNextItemWidth(width);
  const auto typed =
      text_field(id.c_str(), value.words.empty() ? "" : value.words.front(), context.state.typed);
  if (!typed) return;
  if (key.type == KeyType::name) {
    const std::string path = state.path.substr(0, state.path.rfind('.'));
    context.report(context.editor.apply(editor::RenameElement{path, *typed}));
    return;
  }
  value.words = {*typed};
  put(context, state, value);
}

void value_fields(const PanelContext& context, const plan::KeyState& state) {
  const plan::Key& key = *state.key;
  const std::string text = state.origin == plan::Origin::absent ? key.standard : state.value;
  editor::KeyValue value = editor::parse_value(key, text);
  if (state.origin == plan::Origin::absent && context.editor.document().inches) {
    // Defaults are mm in every plan.
    const std::size_t row = std::max<std::size_t>(1, columns(key));
    for (std::size_t i = 0; i < value.numbers.size(); ++i) {
      value.numbers[i] *= editor::shown_factor(key, i % row, false, LengthUnit::inch);
    }
  }
  if (key.type == KeyType::boolean) {
    bool flag = value.flag;
    if (ImGui::Checkbox(flag ? "yes##flag" : "no##flag", &flag)) {
      value.flag = flag;
      put(context, state, value);
    }
    return;
  }
  if (const std::size_t count = columns(key); count > 0) {
    number_fields(context, state, value, count);
    return;
  }
  if (key.type == KeyType::values_by_path) {
    wrapped_text("overrides of this option; edit the elements themselves", context.palette.faint);
    return;
  }
  word_fields(context, state, value);
}

/// The default in the unit that is shown; defaults are mm in every plan.
std::string standard_text(const plan::Key& key, LengthUnit unit) {
  const editor::KeyValue value = editor::parse_value(key, key.standard);
  const std::string word = editor::unit_word(key, 0, unit);
  if (value.numbers.size() != 1 || word.empty()) return key.standard;
  return trimmed(value.numbers[0] * editor::shown_factor(key, 0, false, unit), 4) + " " + word;
}

std::string help_text(const PanelContext& context, const plan::KeyState& state) {
  const plan::Key& key = *state.key;
  std::string text = key.meaning;
  if (!text.empty() && text.back() != '.') text += ".";
  text += " Allowed: " + plan::allowed_text(key, context.unit() == LengthUnit::inch) + ".";
  if (!key.standard.empty()) {
    text += " When absent: " + standard_text(key, context.unit());
    if (!key.source.empty()) text += " (" + key.source + ")";
    text += ".";
  }
  if (state.origin == plan::Origin::option) {
    text += " This option overrides it; the plan says " +
            (state.plan_value.empty() ? std::string("nothing") : state.plan_value) + ".";
  }
  return text;
}

void help_tooltip(const PanelContext& context, const plan::KeyState& state) {
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(context.em * 24.0F);
  ImGui::TextUnformatted(help_text(context, state).c_str());
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

/// One key: its name, its fields, and in the margin where the value comes from. Returns whether the
/// pointer is on it; `tooltip`: its name says what it means, where there is no other place for
/// that.
bool key_row(const PanelContext& context, const plan::KeyState& state, bool tooltip) {
  const plan::Key& key = *state.key;
  ImGui::PushID(key.name.c_str());
  // The margin at the left is for the bar.
  ImGui::SetCursorPosX(ImGui::GetCursorPosX() + context.em * 0.5F);
  const float start = ImGui::GetCursorPosX();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const bool set = state.origin != plan::Origin::absent;
  const bool overridden = state.origin == plan::Origin::option;
  const float width = ImGui::GetContentRegionAvail().x;
  const bool narrow = width < context.em * 20.0F;
  const float label_width = narrow ? width : std::floor(width * 0.37F);
  if (overridden) {
    ImGui::GetWindowDrawList()->AddRectFilled(
        {at.x - context.em * 0.5F, at.y},
        {at.x - context.em * 0.25F, at.y + ImGui::GetFrameHeight()}, context.palette.accent);
  }
  ImGui::AlignTextToFramePadding();
  std::string label = key.name;
  std::ranges::replace(label, '_', ' ');
  const bool can_reset = set && (overridden || !key.required) && key.type != KeyType::name;
  fitted_text(label, set ? context.palette.ink : context.palette.faint,
              label_width - (can_reset ? context.em * 1.8F : 0.0F) - context.em * 0.4F);
  bool focus = ImGui::IsItemHovered();
  if (focus && tooltip) help_tooltip(context, state);
  if (can_reset) {
    ImGui::SameLine(start + label_width - context.em * 1.0F);
    if (ImGui::Button("\u00d7", {context.em * 1.4F, 0.0F})) {
      context.report(context.editor.apply(editor::RemoveValue{state.path}));
    }
    if (ImGui::IsItemHovered()) {
      ImGui::SetTooltip(overridden ? "Take the plan's value again" : "Take the default again");
    }
  }
  if (narrow) {
    ImGui::SetCursorPosX(start);
  } else {
    ImGui::SameLine(start + label_width + ImGui::GetStyle().WindowPadding.x);
  }
  ImGui::BeginGroup();
  value_fields(context, state);
  ImGui::EndGroup();
  const ImVec2 low = at;
  const ImVec2 high{at.x + width, ImGui::GetCursorScreenPos().y};
  focus = focus || (ImGui::IsWindowHovered(ImGuiHoveredFlags_AllowWhenBlockedByActiveItem) &&
                    ImGui::IsMouseHoveringRect(low, high));
  ImGui::PopID();
  return focus;
}

}  // namespace

void key_form(const PanelContext& context, const plan::Element& shown) {
  const plan::Element element = shown;  // an edit replaces the document that it is of
  heading(element_title(context.editor.document(), element));
  const float help_height = ImGui::GetTextLineHeightWithSpacing() * 5.2F;
  const float room = ImGui::GetContentRegionAvail().y;
  const bool with_help = room > help_height * 3.0F;
  const plan::KeyState* helped = nullptr;
  ImGui::BeginChild("keys", {0.0F, with_help ? room - help_height : room});
  for (const plan::KeyState& state : element.keys) {
    if (state.applies && key_row(context, state, !with_help)) helped = &state;
  }
  ImGui::EndChild();
  if (!with_help) return;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::GetWindowDrawList()->AddLine({at.x, at.y - 2.5F},
                                      {at.x + ImGui::GetContentRegionAvail().x, at.y - 2.5F},
                                      context.palette.rule);
  ImGui::BeginChild("help");
  ImGui::PushFont(context.fonts.small);
  wrapped_text(helped != nullptr
                   ? help_text(context, *helped)
                   : element.table->meaning + " Point at a key to read what it means.",
               context.palette.faint);
  ImGui::PopFont();
  ImGui::EndChild();
}

}  // namespace bight::view
