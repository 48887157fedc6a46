#pragma once
// A field for a number with its unit.

#include <imgui.h>

#include <optional>
#include <string>

#include "base/units.h"
#include "view/text_field.h"
#include "view/theme.h"

namespace bight::view {

/// What was typed, once Enter or leaving the field ends it and it differs; a number may be followed
/// by its own unit where `is_length` ("2.5 in" in a field of mm, "1.2 m").
struct NumberField {
  std::string unit;  ///< written behind the field; empty: none
  bool is_length = false;
  int decimals = 1;    ///< zeros at the end are left out
  float width = 0.0F;  ///< of field and unit; 0: what is left of the line
};
std::optional<double> number_field(const char* id, double value, const NumberField& field,
                                   const Palette& palette, TypedText& typed);

/// The number in a text in the unit wanted ("mm" or "in" for lengths); nothing when it is none.
std::optional<double> typed_number(const std::string& text, const std::string& unit,
                                   bool is_length);

/// A number as short as its decimals allow: "12.5", "12".
std::string trimmed(double value, int decimals);

}  // namespace bight::view
