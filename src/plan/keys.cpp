#include "plan/keys.h"

#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "plan/schema_detail.h"

namespace bight::plan {
namespace {

std::string unit_text(Unit unit, bool inches) {
  switch (unit) {
    case Unit::length:
      return inches ? "inches" : "mm";
    case Unit::speed:
      return inches ? "inches/min" : "mm/min";
    case Unit::acceleration:
      return inches ? "inches/s^2" : "mm/s^2";
    case Unit::none:
      return "";
    case Unit::degree:
      return "degrees";
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
      return "outside diameters";
    case Unit::per_metre:
      return "per metre";
    case Unit::load_span:
      return inches ? "kg/m and inches" : "kg/m and mm";
  }
  return "";
}

/// A limit in the file's unit; inches are rounded to what a person reads, the check is exact.
std::string limit_text(double limit, Unit unit, bool inches) {
  const double factor = unit_factor(unit, inches);
  if (factor == 1.0 && limit != std::trunc(limit)) return shortest(limit);
  if (factor == 1.0) return fixed(limit, 0);  // "100000", not "1e+05"
  return shortest(std::trunc(limit / factor * 100.0) / 100.0);
}

std::string range_text(const Key& key, bool inches) {
  if (!key.range) return {};
  const std::string low = limit_text(key.range->low, key.unit, inches);
  const std::string high = limit_text(key.range->high, key.unit, inches);
  if (key.range->without_low) return "more than " + low + ", at most " + high;
  return "from " + low + " to " + high;
}

std::string choice_text(const Key& key) {
  std::string text;
  for (std::size_t i = 0; i < key.choices.size(); ++i) {
    if (i > 0) text += i + 1 == key.choices.size() ? " or " : ", ";
    text += toml_quoted(key.choices[i]);
  }
  return text;
}

std::string kind_text(const Key& key) {
  std::string kinds;
  for (const std::string& table : key.refers_to) kinds += (kinds.empty() ? "" : " or ") + table;
  return kinds;
}

/// "[a, b, c] in mm, each from 0 to 100".
std::string numbers_text(const Key& key, const std::string& shape, bool inches) {
  const std::string unit = unit_text(key.unit, inches);
  const std::string range = range_text(key, inches);
  return shape + (unit.empty() ? "" : " in " + unit) + (range.empty() ? "" : ", each " + range);
}

}  // namespace

const std::vector<KeyTable>& all_key_tables() {
  static const std::vector<KeyTable> tables = plan_schema().tables();
  return tables;
}

const std::vector<Key>& all_keys() {
  static const std::vector<Key> keys = plan_schema().keys();
  return keys;
}

std::string allowed_text(const Key& key, bool inches) {
  const std::string unit = unit_text(key.unit, inches);
  const std::string range = range_text(key, inches);
  const std::string at_least =
      key.minimum_items > 0 ? "at least " + std::to_string(key.minimum_items) + " " : "";
  switch (key.type) {
    case KeyType::text:
      return "\"text in quotes\"";
    case KeyType::name:
      return key.choices.empty() ? "a \"name\" without dots that no other has"
                                 : choice_text(key) + ", each once";
    case KeyType::reference:
      return "the \"name\" of a " + kind_text(key);
    case KeyType::references:
      return "a list of \"names\", each of a " + kind_text(key);
    case KeyType::reference_pair:
      return "[\"name\", \"name\"] of two things, each a " + kind_text(key);
    case KeyType::choice:
      return choice_text(key);
    case KeyType::path:
      return "the \"path\" of a file";
    case KeyType::boolean:
      return "true or false";
    case KeyType::whole_number:
      return key.range && key.range->low == key.range->high
                 ? limit_text(key.range->low, key.unit, false)
                 : "a whole number" + (range.empty() ? "" : " " + range);
    case KeyType::number:
      return "a number" + (unit.empty() ? "" : " in " + unit) + (range.empty() ? "" : ", " + range);
    case KeyType::numbers:
      return numbers_text(key, "a list of numbers", inches);
    case KeyType::interval:
      return numbers_text(key, "2 numbers [low, high]", inches);
    case KeyType::pair:
      return numbers_text(key, "2 numbers [a, b]", inches);
    case KeyType::vector:
      return numbers_text(key, "3 numbers [x, y, z]", inches);
    case KeyType::direction:
      return "3 numbers [x, y, z], not all 0";
    case KeyType::pairs:
      return numbers_text(key, "a list of " + at_least + "pairs [a, b]", inches);
    case KeyType::vectors:
      return numbers_text(key, "a list of " + at_least + "points [x, y, z]", inches);
    case KeyType::values_by_path:
      return "\"table.name.key\" = value, once for each replaced value";
  }
  return {};
}

}  // namespace bight::plan
