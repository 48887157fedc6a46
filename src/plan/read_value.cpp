#include <cmath>

#include "base/number.h"
#include "plan/nearest.h"
#include "plan/option.h"
#include "plan/read_value_detail.h"

namespace bight::plan {
namespace {

/// One component in the file's unit to one in the plan's; adds an error unless it is a finite
/// number in the range. `whole` is what stands at the key, for the message.
std::optional<double> read_component(Reading& reading, const Key& key, Unit unit,
                                     const Value& whole, const Value& value) {
  if (!value.is_number()) {
    reading.value_error(key, whole, "has the wrong type");
    return {};
  }
  if (!std::isfinite(value.number())) {
    reading.value_error(key, whole, "is not a finite number");
    return {};
  }
  const double number = value.number() * unit_factor(unit, reading.inches());
  if (key.range) {
    const Range& range = *key.range;
    const bool inside =
        number >= range.low && number <= range.high && !(range.without_low && number == range.low);
    if (!inside) {
      reading.value_error(key, whole, "is out of range");
      return {};
    }
  }
  return number;
}

/// The numbers of a list with exactly `out.size()` components.
template <std::size_t N>
bool read_components(Reading& reading, const Key& key, const Value& whole, const Value& value,
                     std::array<double, N>& out) {
  if (value.kind != Value::Kind::list) {
    reading.value_error(key, whole, "has the wrong type");
    return false;
  }
  if (value.items.size() != N) {
    reading.value_error(key, whole, "has the wrong number of values");
    return false;
  }
  for (std::size_t i = 0; i < N; ++i) {
    const bool is_mass = key.unit == Unit::load_span && i == 0;
    const Unit unit = is_mass                       ? Unit::kg_per_m
                      : key.unit == Unit::load_span ? Unit::length
                                                    : key.unit;
    const auto component = read_component(reading, key, unit, whole, value.items[i]);
    if (!component) return false;
    out[i] = *component;
  }
  return true;
}

/// True when the value is a list with enough items.
bool is_list(Reading& reading, const Key& key, const Value& value) {
  if (value.kind != Value::Kind::list) {
    reading.value_error(key, value, "has the wrong type");
    return false;
  }
  if (value.items.size() < key.minimum_items) {
    reading.value_error(key, value, "has too few values");
    return false;
  }
  return true;
}

bool is_text(Reading& reading, const Key& key, const Value& whole, const Value& value) {
  if (value.kind != Value::Kind::text) {
    reading.value_error(key, whole, "has the wrong type");
    return false;
  }
  return true;
}

constexpr std::size_t k_name_bytes = 100;

/// Why a text cannot be a name, or nothing: names are printed in tables and stand in paths with
/// dots between them.
const char* name_problem(const std::string& name) {
  if (name.empty()) return "is empty";
  if (name.size() > k_name_bytes) return "is a name of more than 100 bytes";
  if (name.front() == ' ' || name.back() == ' ') return "is a name with a blank at its end";
  for (const char c : name) {
    if (c == '.') return "is a name with a dot, and paths of options have dots between names";
    if (static_cast<unsigned char>(c) < 0x20U || c == 0x7F) return "is a name with a control sign";
  }
  return nullptr;
}

}  // namespace

double unit_factor(Unit unit, bool inches) {
  const bool is_length = unit == Unit::length || unit == Unit::speed || unit == Unit::acceleration;
  return is_length && inches ? k_mm_per_inch : 1.0;
}

std::optional<std::size_t> read_choice(Reading& reading, const Key& key, const Value& value) {
  if (!is_text(reading, key, value, value)) return {};
  for (std::size_t i = 0; i < key.choices.size(); ++i) {
    if (key.choices[i] == value.text) return i;
  }
  const std::string meant = nearest(value.text, key.choices);
  reading.value_error(key, value,
                      meant.empty()
                          ? "is none of its choices"
                          : "is none of its choices: did you mean " + toml_quoted(meant) + "?");
  return {};
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, double& out) {
  if (!use.choice_numbers.empty()) {
    const auto index = read_choice(reading, use.key, value);
    if (index) out = use.choice_numbers[*index];
    return index.has_value();
  }
  const auto number = read_component(reading, use.key, use.key.unit, value, value);
  if (number) out = *number;
  return number.has_value();
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, int& out) {
  if (value.kind != Value::Kind::whole) {
    reading.value_error(
        use.key, value,
        value.kind == Value::Kind::real ? "is not a whole number" : "has the wrong type");
    return false;
  }
  const auto number = read_component(reading, use.key, use.key.unit, value, value);
  if (number) out = static_cast<int>(*number);  // the range keeps it small
  return number.has_value();
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, bool& out) {
  if (!use.key.choices.empty()) {
    const auto index = read_choice(reading, use.key, value);
    if (index) out = *index == 1;
    return index.has_value();
  }
  if (value.kind != Value::Kind::boolean) {
    reading.value_error(use.key, value, "has the wrong type");
    return false;
  }
  out = value.boolean;
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::string& out) {
  const Key& key = use.key;
  if (!key.choices.empty()) {
    const auto index = read_choice(reading, key, value);
    if (!index) return false;
    out = key.choices[*index];
    return key.type != KeyType::name || reading.add_name(key.table, out, value.region);
  }
  if (!is_text(reading, key, value, value)) return false;
  if (key.type == KeyType::name) {
    if (const char* problem = name_problem(value.text)) {
      reading.value_error(key, value, problem);
      return false;
    }
    if (!reading.add_name(key.table, value.text, value.region)) return false;
  } else if (key.type == KeyType::reference) {
    reading.add_reference(key, value.text, value.region);
  } else if (key.type == KeyType::path &&
             (value.text.empty() || value.text.find('\0') != std::string::npos)) {
    reading.value_error(key, value, "is no path");
    return false;
  }
  out = value.text;
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, Vec2& out) {
  std::array<double, 2> xy{};
  if (!read_components(reading, use.key, value, value, xy)) return false;
  out = {xy[0], xy[1]};
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, Vec3& out) {
  std::array<double, 3> xyz{};
  if (!read_components(reading, use.key, value, value, xyz)) return false;
  const Vec3 v{xyz[0], xyz[1], xyz[2]};
  if (use.key.type != KeyType::direction) {
    out = v;
    return true;
  }
  const double length = glm::length(v);
  if (!(length > 0.0)) {
    reading.value_error(use.key, value, "points nowhere");
    return false;
  }
  out = v / length;
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::array<double, 2>& out) {
  std::array<double, 2> pair{};
  if (!read_components(reading, use.key, value, value, pair)) return false;
  out = pair;
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::array<std::string, 2>& out) {
  if (!is_list(reading, use.key, value)) return false;
  if (value.items.size() != 2) {
    reading.value_error(use.key, value, "has the wrong number of values");
    return false;
  }
  std::vector<std::string> names;
  if (!read_value(reading, use, value, names)) return false;
  if (names[0] == names[1]) {
    reading.value_error(use.key, value, "names the same thing twice");
    return false;
  }
  out = {names[0], names[1]};
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::vector<double>& out) {
  if (!is_list(reading, use.key, value)) return false;
  std::vector<double> numbers;
  for (const Value& item : value.items) {
    const auto number = read_component(reading, use.key, use.key.unit, value, item);
    if (!number) return false;
    numbers.push_back(*number);
  }
  out = std::move(numbers);
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::vector<Vec2>& out) {
  if (!is_list(reading, use.key, value)) return false;
  std::vector<Vec2> pairs;
  for (const Value& item : value.items) {
    std::array<double, 2> xy{};
    if (!read_components(reading, use.key, item, item, xy)) return false;
    pairs.emplace_back(xy[0], xy[1]);
  }
  out = std::move(pairs);
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::vector<Vec3>& out) {
  if (!is_list(reading, use.key, value)) return false;
  std::vector<Vec3> vectors;
  for (const Value& item : value.items) {
    std::array<double, 3> xyz{};
    if (!read_components(reading, use.key, item, item, xyz)) return false;
    vectors.emplace_back(xyz[0], xyz[1], xyz[2]);
  }
  out = std::move(vectors);
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::vector<std::string>& out) {
  if (!is_list(reading, use.key, value)) return false;
  std::vector<std::string> names;
  for (const Value& item : value.items) {
    if (!is_text(reading, use.key, value, item)) return false;
    names.push_back(item.text);
  }
  for (const Value& item : value.items) reading.add_reference(use.key, item.text, item.region);
  out = std::move(names);
  return true;
}

bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::vector<Override>& out) {
  if (value.kind != Value::Kind::table) {
    reading.value_error(use.key, value, "has the wrong type");
    return false;
  }
  for (const WrittenOverride& written : written_overrides(value)) {
    out.push_back({reading.place(written.path_region), written.path, to_toml(*written.value)});
  }
  return true;
}

std::string standard_text(const KeyUse& use, double value) {
  for (std::size_t i = 0; i < use.choice_numbers.size(); ++i) {
    if (use.choice_numbers[i] == value) return toml_quoted(use.key.choices[i]);
  }
  return shortest(value);
}

std::string standard_text(const KeyUse& /*use*/, int value) {
  return std::to_string(value);
}

std::string standard_text(const KeyUse& use, bool value) {
  if (!use.key.choices.empty()) return toml_quoted(use.key.choices[value ? 1 : 0]);
  return value ? "true" : "false";
}

std::string standard_text(const KeyUse& /*use*/, const std::string& value) {
  return value.empty() ? std::string() : toml_quoted(value);
}

std::string standard_text(const KeyUse& /*use*/, const Vec2& value) {
  return "[" + shortest(value.x) + ", " + shortest(value.y) + "]";
}

std::string standard_text(const KeyUse& /*use*/, const Vec3& value) {
  return "[" + shortest(value.x) + ", " + shortest(value.y) + ", " + shortest(value.z) + "]";
}

}  // namespace bight::plan
