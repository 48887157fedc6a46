#include <algorithm>

#include "base/check.h"
#include "plan/nearest.h"
#include "plan/schema_detail.h"

namespace bight::plan {
namespace {

std::string last_component(const std::string& path) {
  return path.substr(path.rfind('.') + 1);
}

/// A key as it is shown in a message.
std::string shown(const std::string& key) {
  constexpr int k_letters = 60;
  const std::size_t end = byte_offset(key, 1, k_letters + 1);
  return "'" + key.substr(0, end) + (end < key.size() ? "..." : "") + "'";
}

/// How the header of a table is written.
std::string header(const KeyTable& table) {
  return table.repeated ? "[[" + table.path + "]]" : "[" + table.path + "]";
}

}  // namespace

std::vector<KeyTable> TableSchema::tables() const {
  std::vector<KeyTable> all = {info_};
  for (const Slot& slot : slots_) {
    all.insert(all.end(), slot.inner_tables.begin(), slot.inner_tables.end());
  }
  return all;
}

std::vector<Key> TableSchema::keys() const {
  std::vector<Key> all;
  for (const Slot& slot : slots_) {
    if (!slot.is_table()) all.push_back(slot.use.key);
  }
  for (const Slot& slot : slots_) {
    all.insert(all.end(), slot.inner_keys.begin(), slot.inner_keys.end());
  }
  return all;
}

TableSchema::Slot TableSchema::key_slot(std::string name, Spec spec, KeyType plain_type) const {
  KeyType type = plain_type;
  if (!spec.choices.empty()) type = KeyType::choice;
  if (plain_type == KeyType::text && !spec.refers_to.empty()) type = KeyType::reference;
  Key key;
  key.table = info_.path;
  key.name = std::move(name);
  key.type = spec.type.value_or(type);
  key.unit = spec.unit;
  key.required = spec.required;
  key.standard = std::move(spec.standard);
  key.range = spec.range;
  key.minimum_items = spec.minimum_items;
  key.choices = std::move(spec.choices);
  key.refers_to = std::move(spec.refers_to);
  key.only_for = std::move(spec.only_for);
  key.meaning = std::move(spec.meaning);
  key.source = std::move(spec.source);
  return {{std::move(key), std::move(spec.choice_numbers)}};
}

TableSchema::Slot TableSchema::table_slot(std::string name, const TableSchema& inner) {
  Slot slot;
  slot.use.key.name = std::move(name);
  slot.inner_tables = inner.tables();
  slot.inner_keys = inner.keys();
  return slot;
}

/// The word that decides which keys an element has (its shape, its way); empty when it is missing
/// or not text.
std::string TableSchema::chosen(const OnlyFor& only_for, const Value& table) const {
  if (const Entry* entry = table.find(only_for.key)) {
    return entry->value.kind == Value::Kind::text ? entry->value.text : std::string();
  }
  const auto slot = std::find_if(slots_.begin(), slots_.end(),
                                 [&](const Slot& s) { return s.use.key.name == only_for.key; });
  BIGHT_CHECK(slot != slots_.end());
  const std::string& standard = slot->use.key.standard;
  return standard.size() > 2 ? standard.substr(1, standard.size() - 2) : std::string();
}

TableSchema::Fit TableSchema::fit(const Slot& slot, const Value& table) const {
  const std::optional<OnlyFor>& only_for = slot.use.key.only_for;
  if (slot.is_table() || !only_for) return Fit::fits;
  const std::string word = chosen(*only_for, table);
  const auto decider = std::find_if(slots_.begin(), slots_.end(),
                                    [&](const Slot& s) { return s.use.key.name == only_for->key; });
  const auto has = [&](const std::vector<std::string>& words) {
    return std::find(words.begin(), words.end(), word) != words.end();
  };
  if (has(only_for->values)) return Fit::fits;
  return has(decider->use.key.choices) ? Fit::misplaced : Fit::unknown;
}

void TableSchema::report_unknown(Reading& reading, const Entry& entry) const {
  if (reading.full()) return;
  std::vector<std::string> names;
  for (const Slot& slot : slots_) names.push_back(slot.use.key.name);
  const std::string what = info_.path.empty()
                               ? "there is no key or table " + shown(entry.key)
                               : "there is no key " + shown(entry.key) + " in " + header(info_);
  const std::string meant = nearest(entry.key, names);
  if (!meant.empty()) {
    reading.error(entry.key_region, what + ": did you mean '" + meant + "'?");
    return;
  }
  std::string all;
  for (const std::string& name : names) all += (all.empty() ? "" : ", ") + name;
  reading.error(entry.key_region, what, {}, all);
}

std::vector<Entry*> TableSchema::entries_to_read(Reading& reading, Value& table) const {
  std::vector<Entry*> entries(slots_.size(), nullptr);
  for (Entry& entry : table.entries) {
    const auto slot = std::find_if(slots_.begin(), slots_.end(),
                                   [&](const Slot& s) { return s.use.key.name == entry.key; });
    if (slot == slots_.end()) {
      report_unknown(reading, entry);
      continue;
    }
    if (fit(*slot, table) == Fit::misplaced) {
      const OnlyFor& only_for = *slot->use.key.only_for;
      std::string words;
      for (const std::string& word : only_for.values) {
        words += (words.empty() ? "" : " or ") + toml_quoted(word);
      }
      reading.error(entry.key_region, "'" + entry.key + "' does not belong here",
                    only_for.key + " = " + toml_quoted(chosen(only_for, table)),
                    "'" + entry.key + "' with " + only_for.key + " = " + words);
      table.flawed.push_back(entry.key);
      continue;
    }
    entries[static_cast<std::size_t>(slot - slots_.begin())] = &entry;
  }
  for (std::size_t i = 0; i < slots_.size(); ++i) {
    const Key& key = slots_[i].use.key;
    if (entries[i] != nullptr || !key.required || fit(slots_[i], table) != Fit::fits) continue;
    if (std::find(table.flawed.begin(), table.flawed.end(), key.name) != table.flawed.end()) {
      continue;
    }
    reading.error(table.region, "'" + key.name + "' is missing", {},
                  key.name + " = " + allowed_text(key, reading.inches()));
    table.flawed.push_back(key.name);
  }
  return entries;
}

bool TableSchema::is_table(Reading& reading, const KeyTable& info, const Value& value) {
  if (value.kind == Value::Kind::table) return true;
  reading.error(value.region, "'" + last_component(info.path) + "' must be a single table",
                value.kind == Value::Kind::list ? "a list, as [[" + info.path + "]] makes one"
                                                : describe(value),
                header(info));
  return false;
}

bool TableSchema::is_list_of_tables(Reading& reading, const KeyTable& info, const Value& value) {
  if (value.kind == Value::Kind::list) {
    const auto other = std::find_if(value.items.begin(), value.items.end(), [](const Value& item) {
      return item.kind != Value::Kind::table;
    });
    if (other == value.items.end()) return true;
    reading.error(other->region, "'" + last_component(info.path) + "' must be a list of tables",
                  describe(*other), header(info));
    return false;
  }
  reading.error(value.region, "'" + last_component(info.path) + "' must be a list of tables",
                value.kind == Value::Kind::table ? "[" + info.path + "] with single brackets"
                                                 : describe(value),
                header(info) + " with double brackets, once for each");
  return false;
}

}  // namespace bight::plan
