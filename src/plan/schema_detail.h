#pragma once
// How the table of keys is written: one line a key, which holds its description, its checks and the
// member of the plan that it fills. Inside the plan module only.
//
//   TableOf<Anchor> anchor("anchor", "Where a free leg is held.");
//   anchor.key("at", &Anchor::at, {.unit = Unit::length, .range = k_position, .required = true,
//                                  .meaning = "Where it is."});

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "plan/keys.h"
#include "plan/plan.h"
#include "plan/read_value_detail.h"
#include "plan/reading_detail.h"

namespace bight::plan {

/// What a line of the table says about a key beyond its name and member. The type follows from the
/// member unless `type` is given.
struct Spec {
  std::optional<KeyType> type = {};
  Unit unit = Unit::none;
  std::optional<Range> range = {};
  bool required = false;
  std::size_t minimum_items = 0;
  std::vector<std::string> choices = {};    ///< in the order of the enumeration, or of false, true
  std::vector<double> choice_numbers = {};  ///< what the choices stand for, for a number
  std::vector<std::string> refers_to = {};
  std::optional<OnlyFor> only_for = {};
  std::string standard = {};  ///< words for a default that is not a value
  std::string meaning = {};
  std::string source = {};
};

/// The part of a table's schema that does not depend on what it fills.
class TableSchema {
 public:
  explicit TableSchema(KeyTable info) : info_(std::move(info)) {}

  const KeyTable& info() const { return info_; }

  /// This table and those inside it; all their keys, table after table.
  std::vector<KeyTable> tables() const;
  std::vector<Key> keys() const;

 protected:
  /// A key or, with `inner`, a table inside this one.
  struct Slot {
    KeyUse use;
    std::vector<KeyTable> inner_tables = {};
    std::vector<Key> inner_keys = {};
    bool is_table() const { return !inner_tables.empty(); }
  };

  Slot key_slot(std::string name, Spec spec, KeyType plain_type) const;
  static Slot table_slot(std::string name, const TableSchema& inner);

  /// For each slot the entry to read, or nullptr. Unknown keys, required ones that are missing and
  /// those that do not belong to this kind of element are reported and noted as flawed.
  std::vector<Entry*> entries_to_read(Reading& reading, Value& table) const;

  /// The value is a table; a list of tables.
  static bool is_table(Reading& reading, const KeyTable& info, const Value& value);
  static bool is_list_of_tables(Reading& reading, const KeyTable& info, const Value& value);

  KeyTable info_;
  std::vector<Slot> slots_;

 private:
  enum class Fit { fits, misplaced, unknown };
  Fit fit(const Slot& slot, const Value& table) const;
  std::string chosen(const OnlyFor& only_for, const Value& table) const;
  void report_unknown(Reading& reading, const Entry& entry) const;
};

/// A table of the plan file that fills a T.
template <typename T>
class TableOf : public TableSchema {
 public:
  /// `path` as in Key::table.
  TableOf(std::string path, std::string meaning)
      : TableSchema({std::move(path), false, false, std::move(meaning)}) {}

  /// A key that fills a member.
  template <typename M>
  TableOf& key(std::string name, M T::*member, Spec spec) {
    Slot slot = key_slot(std::move(name), std::move(spec), PlainType<M>::value);
    Key& key = slot.use.key;
    if (!key.required && key.standard.empty()) {
      key.standard = standard_text(slot.use, untouched_.*member);
    }
    info_.named = info_.named || key.type == KeyType::name;
    slots_.push_back(std::move(slot));
    readers_.push_back([member](Reading& reading, const KeyUse& use, Value& value, T& out) {
      return read_value(reading, use, value, out.*member);
    });
    return *this;
  }

  /// A key that is read elsewhere (format, units).
  TableOf& key_read_elsewhere(std::string name, KeyType type, Spec spec) {
    slots_.push_back(key_slot(std::move(name), std::move(spec), type));
    readers_.push_back([](Reading&, const KeyUse&, Value&, T&) { return true; });
    return *this;
  }

  /// A repeated table inside this one.
  template <typename Sub>
  TableOf& tables_of(const std::string& name, std::vector<Sub> T::*member, TableOf<Sub> inner) {
    inner.info_.repeated = true;
    slots_.push_back(table_slot(name, inner));
    readers_.push_back(
        [member, inner = std::move(inner)](Reading& reading, const KeyUse&, Value& list, T& out) {
          if (!is_list_of_tables(reading, inner.info(), list)) return false;
          std::vector<Sub>& elements = out.*member;
          // Elements with problems are kept, so that their numbers stay those of the file.
          elements.resize(list.items.size());
          for (std::size_t i = 0; i < elements.size(); ++i) {
            reading.enter(inner.info(), list.items[i], i + 1);
            inner.read(reading, list.items[i], elements[i]);
            reading.leave();
          }
          return true;
        });
    return *this;
  }

  /// A single table inside this one; when absent the member stays as it is.
  template <typename M, typename Sub>
  TableOf& table_of(const std::string& name, M T::*member, TableOf<Sub> inner) {
    slots_.push_back(table_slot(name, inner));
    readers_.push_back(
        [member, inner = std::move(inner)](Reading& reading, const KeyUse&, Value& table, T& out) {
          if (!is_table(reading, inner.info(), table)) return false;
          Sub element;
          reading.enter(inner.info(), table, 0);
          inner.read(reading, table, element);
          reading.leave();
          out.*member = std::move(element);
          return true;
        });
    return *this;
  }

  /// Reads one element; every problem is added to `reading`, wrong keys are noted as flawed.
  void read(Reading& reading, Value& table, T& out) const {
    if constexpr (requires { out.place; }) out.place = reading.place(table.region);
    const std::vector<Entry*> entries = entries_to_read(reading, table);
    for (std::size_t i = 0; i < slots_.size(); ++i) {
      if (entries[i] == nullptr) continue;
      if (!readers_[i](reading, slots_[i].use, entries[i]->value, out)) {
        table.flawed.push_back(entries[i]->key);
      }
    }
  }

 private:
  template <typename Other>
  friend class TableOf;

  using Reader = std::function<bool(Reading&, const KeyUse&, Value&, T&)>;
  std::vector<Reader> readers_;
  T untouched_;  ///< with the defaults of the members
};

/// The whole file.
const TableOf<Plan>& plan_schema();

// Ranges that several keys share, mm: a machine and its room are smaller than 100 m.
inline constexpr Range k_position{-1e5, 1e5};
inline constexpr Range k_size{0.0, 1e5, true};
inline constexpr Range k_size_or_none{0.0, 1e5};
inline constexpr Range k_percent{0.0, 100.0};

// The tables, by the part of a machine that they describe.
TableOf<Joint> joint_table();
TableOf<Body> body_table();
TableOf<Part> part_table();
TableOf<Touching> touching_table();
TableOf<Gap> gap_table();
TableOf<Switch> switch_table();
TableOf<Frame> frame_table();
TableOf<Tool> tool_table();
TableOf<WorkArea> work_area_table();
TableOf<WorkOffset> work_offset_table();
TableOf<Article> article_table();
TableOf<Line> line_table();
TableOf<Run> run_table();
TableOf<Anchor> anchor_table();
TableOf<Support> support_table();
TableOf<Chain> chain_table();
TableOf<Rules> rules_table();
TableOf<Option> option_table();

}  // namespace bight::plan
