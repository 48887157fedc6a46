#include "editor/key_value.h"

#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "plan/patch.h"
#include "plan/toml.h"

namespace bight::editor {
namespace {

using plan::KeyType;
using plan::Unit;

bool is_words(KeyType type) {
  return type == KeyType::text || type == KeyType::name || type == KeyType::reference ||
         type == KeyType::references || type == KeyType::reference_pair ||
         type == KeyType::choice || type == KeyType::path;
}

bool is_list(KeyType type) {
  return type == KeyType::references || type == KeyType::reference_pair;
}

void collect(const plan::Value& value, KeyValue& out) {
  if (value.kind == plan::Value::Kind::text) out.words.push_back(value.text);
  if (value.kind == plan::Value::Kind::boolean) out.flag = value.boolean;
  if (value.is_number()) out.numbers.push_back(value.number());
  for (const plan::Value& item : value.items) collect(item, out);
}

/// Unit of one component: the pairs of a load table have two.
Unit unit_of(const plan::Key& key, std::size_t component) {
  if (key.unit != Unit::load_span) return key.unit;
  return component % 2 == 0 ? Unit::kg_per_m : Unit::length;
}

bool is_length(Unit unit) {
  return unit == Unit::length || unit == Unit::speed || unit == Unit::acceleration;
}

std::string list_of(const std::vector<std::string>& items) {
  std::string text = "[";
  for (const std::string& item : items) text += (text.size() > 1 ? ", " : "") + item;
  return text + "]";
}

/// The words of a text that a person reads: without the plan's file they cannot be judged further.
std::string not_allowed(const plan::Key& key, bool inches) {
  return "allowed: " + plan::allowed_text(key, inches);
}

}  // namespace

std::size_t columns_of(const plan::Key& key) {
  switch (key.type) {
    case KeyType::numbers:
      return 1;
    case KeyType::pairs:
      return 2;
    case KeyType::vectors:
      return 3;
    default:
      return 0;
  }
}

KeyValue parse_value(const plan::Key& key, std::string_view toml) {
  KeyValue value;
  Diagnostics diagnostics;
  const auto root = plan::parse_toml("v = " + std::string(toml), {}, diagnostics);
  if (!root || root->entries.size() != 1) return value;
  collect(root->entries.front().value, value);
  const bool words = is_words(key.type);
  if (words ? !value.numbers.empty() : !value.words.empty()) return {};
  return value;
}

std::string format_value(const plan::Key& key, const KeyValue& value) {
  if (key.type == KeyType::boolean) return value.flag ? "true" : "false";
  if (is_words(key.type)) {
    std::vector<std::string> words;
    for (const std::string& word : value.words) words.push_back(plan::toml_text(word));
    if (is_list(key.type)) return list_of(words);
    return words.empty() ? "\"\"" : words.front();
  }
  std::vector<std::string> numbers;
  for (const double n : value.numbers) numbers.push_back(shortest(n));
  if (key.type == KeyType::number || key.type == KeyType::whole_number) {
    return numbers.empty() ? "0" : numbers.front();
  }
  const std::size_t columns = columns_of(key);
  if (columns <= 1) return list_of(numbers);
  std::vector<std::string> rows;
  for (std::size_t i = 0; i + columns <= numbers.size(); i += columns) {
    const auto begin = numbers.begin() + static_cast<std::ptrdiff_t>(i);
    rows.push_back(list_of({begin, begin + static_cast<std::ptrdiff_t>(columns)}));
  }
  return list_of(rows);
}

std::string problem_of(const plan::Key& key, const KeyValue& value, bool inches) {
  const auto bad = [&] { return not_allowed(key, inches); };
  const auto count = value.numbers.size();
  switch (key.type) {
    case KeyType::boolean:
    case KeyType::text:
    case KeyType::values_by_path:
      return {};
    case KeyType::name:
      if (value.words.size() != 1 || value.words[0].empty() ||
          value.words[0].find('.') != std::string::npos) {
        return bad();
      }
      break;
    case KeyType::reference:
    case KeyType::path:
    case KeyType::choice:
      if (value.words.size() != 1 || value.words[0].empty()) return bad();
      break;
    case KeyType::reference_pair:
      if (value.words.size() != 2) return bad();
      break;
    case KeyType::references:
      break;
    case KeyType::number:
    case KeyType::whole_number:
      if (count != 1) return bad();
      break;
    case KeyType::interval:
    case KeyType::pair:
      if (count != 2) return bad();
      break;
    case KeyType::vector:
    case KeyType::direction:
      if (count != 3) return bad();
      break;
    case KeyType::numbers:
    case KeyType::pairs:
    case KeyType::vectors:
      if (count % columns_of(key) != 0 || count / columns_of(key) < key.minimum_items) return bad();
      break;
  }
  if (!key.choices.empty()) {
    for (const std::string& word : value.words) {
      if (std::find(key.choices.begin(), key.choices.end(), word) == key.choices.end()) {
        return bad();
      }
    }
  }
  for (std::size_t i = 0; i < count; ++i) {
    const double n = value.numbers[i];
    if (!std::isfinite(n)) return bad();
    if (key.type == KeyType::whole_number && n != std::floor(n)) return bad();
    if (!key.range) continue;
    const double mm = inches && is_length(unit_of(key, i)) ? n * k_mm_per_inch : n;
    const bool above = key.range->without_low ? mm > key.range->low : mm >= key.range->low;
    if (!above || !(mm <= key.range->high)) return bad();
  }
  if (key.type == KeyType::interval && !(value.numbers[0] <= value.numbers[1])) return bad();
  if (key.type == KeyType::direction &&
      std::all_of(value.numbers.begin(), value.numbers.end(), [](double n) { return n == 0.0; })) {
    return bad();
  }
  return {};
}

double shown_factor(const plan::Key& key, std::size_t component, bool file_inches,
                    LengthUnit shown) {
  if (!is_length(unit_of(key, component))) return 1.0;
  const bool shown_inches = shown == LengthUnit::inch;
  if (file_inches == shown_inches) return 1.0;
  return file_inches ? k_mm_per_inch : 1.0 / k_mm_per_inch;
}

std::string unit_word(const plan::Key& key, std::size_t component, LengthUnit shown) {
  std::string length = shown == LengthUnit::inch ? "in" : "mm";
  switch (unit_of(key, component)) {
    case Unit::length:
      return length;
    case Unit::speed:
      return length + "/min";
    case Unit::acceleration:
      return length + "/s^2";
    case Unit::none:
    case Unit::load_span:
      return {};
    case Unit::degree:
      return "deg";
    case Unit::kg_per_m:
      return "kg/m";
    case Unit::newton:
      return "N";
    case Unit::newton_m2:
      return "N m^2";
    case Unit::newton_m:
      return "N m";
    case Unit::newton_per_m:
      return "N/m";
    case Unit::kilogram:
      return "kg";
    case Unit::volt:
      return "V";
    case Unit::ampere:
      return "A";
    case Unit::celsius:
      return "deg C";
    case Unit::percent:
      return "%";
    case Unit::square_mm:
      return "mm^2";
    case Unit::diameters:
      return "x diameter";
    case Unit::per_metre:
      return "per metre";
  }
  return {};
}

}  // namespace bight::editor
