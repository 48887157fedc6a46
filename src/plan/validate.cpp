#include "plan/validate.h"

#include <algorithm>

#include "base/check.h"
#include "base/number.h"
#include "plan/read_value_detail.h"
#include "plan/validate_detail.h"

namespace bight::plan {
namespace {

const KeyTable& table_info(const std::string& path) {
  const auto& tables = all_key_tables();
  const auto found = std::find_if(tables.begin(), tables.end(),
                                  [&](const KeyTable& table) { return table.path == path; });
  BIGHT_CHECK(found != tables.end());
  return *found;
}

const Value& element_of(const Value& table, const std::string& path, const char* name,
                        std::size_t index) {
  const Entry* entry = table.find(name);
  BIGHT_CHECK(entry != nullptr);
  if (!table_info(path).repeated) return entry->value;
  BIGHT_CHECK(index < entry->value.items.size());
  return entry->value.items[index];
}

}  // namespace

CheckedElement::CheckedElement(Reading& reading, const Value& root, const char* table,
                               std::size_t index)
    : reading_(reading), value_(element_of(root, table, table, index)), path_(table) {
  const KeyTable& info = table_info(path_);
  reading_.enter(info, value_, info.repeated ? index + 1 : 0);
}

CheckedElement::CheckedElement(Reading& reading, const CheckedElement& outer, const char* table,
                               std::size_t index)
    : reading_(reading),
      value_(element_of(outer.value_, outer.path_ + "." + table, table, index)),
      path_(outer.path_ + "." + table) {
  reading_.enter(table_info(path_), value_, index + 1);
}

bool CheckedElement::good(std::initializer_list<std::string_view> keys) const {
  return std::all_of(keys.begin(), keys.end(), [this](std::string_view key) {
    return std::find(value_.flawed.begin(), value_.flawed.end(), key) == value_.flawed.end();
  });
}

void CheckedElement::error(std::string_view key, const std::string& message, std::string found,
                           std::string allowed) const {
  const Entry* entry = value_.find(key);
  reading_.error(entry != nullptr ? entry->value.region : value_.region, message, std::move(found),
                 std::move(allowed));
}

std::string CheckedElement::written(std::string_view key) const {
  const Entry* entry = value_.find(key);
  return entry != nullptr ? describe(entry->value) : std::string();
}

std::string CheckedElement::length(double mm) const {
  return reading_.inches() ? shortest(mm / k_mm_per_inch) + " in" : shortest(mm) + " mm";
}

void validate_plan(const Plan& plan, const Value& root, Reading& reading) {
  const BodyMotion motion(plan);
  validate_machine(plan, root, motion, reading);
  validate_lines(plan, root, motion, reading);
  validate_supports(plan, root, motion, reading);
  validate_chains(plan, root, motion, reading);
  for (std::size_t i = 0; i < plan.options.size(); ++i) {
    if (plan.options[i].name != k_base_option) continue;
    const CheckedElement option(reading, root, "option", i);
    option.error("name", "\"base\" is the name of the plan as written", "\"base\"", "another name");
  }
  if (plan.options.size() > k_options_limit) {
    const CheckedElement option(reading, root, "option", k_options_limit);
    option.error("name", "there are too many options", std::to_string(plan.options.size()),
                 std::to_string(k_options_limit) + " at most");
  }
}

}  // namespace bight::plan
