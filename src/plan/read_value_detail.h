#pragma once
// From a TOML value to a member of the plan: type, number of components, finiteness, range, choice,
// conversion from inches. Inside the plan module only.
//
// Each read_value returns false after adding an error; `out` is unchanged then.

#include <array>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

#include "plan/keys.h"
#include "plan/plan.h"
#include "plan/reading_detail.h"

namespace bight::plan {

inline constexpr double k_mm_per_inch = 25.4;  // International yard and pound agreement, 1959

/// mm per written unit: 25.4 for lengths of a plan in inches, else 1.
double unit_factor(Unit unit, bool inches);

/// A key and what its choices stand for: a number, or the value of the enumeration; empty: the
/// choices are those of the enumeration in order.
struct KeyUse {
  Key key;
  std::vector<double> choice_numbers;
};

/// Index of the chosen word.
std::optional<std::size_t> read_choice(Reading& reading, const Key& key, const Value& value);

bool read_value(Reading& reading, const KeyUse& use, const Value& value, double& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, int& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, bool& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::string& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, Vec2& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, Vec3& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::array<double, 2>& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::array<std::string, 2>& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::vector<double>& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::vector<Vec2>& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::vector<Vec3>& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::vector<std::string>& out);
bool read_value(Reading& reading, const KeyUse& use, const Value& value,
                std::vector<Override>& out);

template <typename M>
bool read_value(Reading& reading, const KeyUse& use, const Value& value, std::optional<M>& out) {
  M read{};
  if (!read_value(reading, use, value, read)) return false;
  out = read;
  return true;
}

template <typename E>
requires std::is_enum_v<E>
bool read_value(Reading& reading, const KeyUse& use, const Value& value, E& out) {
  const auto index = read_choice(reading, use.key, value);
  if (!index) return false;
  out = static_cast<E>(use.choice_numbers.empty() ? static_cast<int>(*index)
                                                  : static_cast<int>(use.choice_numbers[*index]));
  return true;
}

/// A default as it would be written in a plan; empty when absence means "not set".
std::string standard_text(const KeyUse& use, double value);
std::string standard_text(const KeyUse& use, int value);
std::string standard_text(const KeyUse& use, bool value);
std::string standard_text(const KeyUse& use, const std::string& value);
std::string standard_text(const KeyUse& use, const Vec2& value);
std::string standard_text(const KeyUse& use, const Vec3& value);

template <typename E>
requires std::is_enum_v<E> std::string standard_text(const KeyUse& use, E value) {
  if (!use.choice_numbers.empty()) {
    return standard_text(use, static_cast<double>(static_cast<int>(value)));
  }
  return toml_quoted(use.key.choices[static_cast<std::size_t>(value)]);
}

/// Lists, pairs and optional members are empty unless they are written.
template <typename M>
requires(!std::is_enum_v<M>) std::string standard_text(const KeyUse& /*use*/, const M& /*value*/) {
  return {};
}

/// Type of a key from the member that it fills; names, choices, references, paths and directions
/// are told apart by what the key says.
template <typename M>
constexpr KeyType plain_type() {
  if constexpr (std::is_same_v<M, bool>)
    return KeyType::boolean;
  else if constexpr (std::is_same_v<M, int>)
    return KeyType::whole_number;
  else if constexpr (std::is_same_v<M, double>)
    return KeyType::number;
  else if constexpr (std::is_same_v<M, std::array<double, 2>>)
    return KeyType::interval;
  else if constexpr (std::is_same_v<M, Vec2>)
    return KeyType::pair;
  else if constexpr (std::is_same_v<M, Vec3>)
    return KeyType::vector;
  else if constexpr (std::is_same_v<M, std::vector<double>>)
    return KeyType::numbers;
  else if constexpr (std::is_same_v<M, std::vector<Vec2>>)
    return KeyType::pairs;
  else if constexpr (std::is_same_v<M, std::vector<Vec3>>)
    return KeyType::vectors;
  else if constexpr (std::is_same_v<M, std::vector<std::string>>)
    return KeyType::references;
  else if constexpr (std::is_same_v<M, std::array<std::string, 2>>)
    return KeyType::reference_pair;
  else if constexpr (std::is_same_v<M, std::vector<Override>>)
    return KeyType::values_by_path;
  else
    return KeyType::text;
}

template <typename M>
struct PlainType {
  static constexpr KeyType value = plain_type<M>();
};
template <typename M>
struct PlainType<std::optional<M>> : PlainType<M> {};

}  // namespace bight::plan
