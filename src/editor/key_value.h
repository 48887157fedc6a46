#pragma once
// The value of a key taken apart for the fields of a form, put together again, and checked before
// it goes into the plan. Numbers are those of the file; a form that shows another unit converts.

#include <string>
#include <string_view>
#include <vector>

#include "base/units.h"
#include "plan/keys.h"

namespace bight::editor {

/// What stands at a key: `numbers` for number, numbers, interval, pair, vector, direction, pairs
/// and vectors (flat, `columns` to a row); `words` for text, names, references and choices; `flag`
/// for a boolean.
struct KeyValue {
  std::vector<double> numbers;
  std::vector<std::string> words;
  bool flag = false;
};

/// Numbers in a row: 2 for pairs, 3 for vectors, 1 for a list of numbers; 0: no list of numbers.
std::size_t columns_of(const plan::Key& key);

/// Empty when the text is no value of this type.
KeyValue parse_value(const plan::Key& key, std::string_view toml);

/// TOML text of the value.
std::string format_value(const plan::Key& key, const KeyValue& value);

/// Why the value may not stand there: a sentence with what is allowed; empty when it may. Names
/// are looked up when the plan is read, not here.
std::string problem_of(const plan::Key& key, const KeyValue& value, bool inches);

/// Factor from the numbers of the file to those shown, for the given component of a row: 25.4 for
/// a length of a file in inches that is shown in mm. 1 for what is no length.
double shown_factor(const plan::Key& key, std::size_t component, bool file_inches,
                    LengthUnit shown);

/// "mm", "mm/min", "kg/m", "deg", ...: of a component, as shown; empty: a bare number.
std::string unit_word(const plan::Key& key, std::size_t component, LengthUnit shown);

}  // namespace bight::editor
