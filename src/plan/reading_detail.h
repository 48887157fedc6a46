#pragma once
// What the reader knows while it walks through a plan: the element it is in, names met so far,
// names referred to, and the diagnostics. Inside the plan module only.

#include <cstddef>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/diagnostic.h"
#include "plan/keys.h"
#include "plan/toml.h"

namespace bight::plan {

inline constexpr int k_errors_shown = 200;

class Reading {
 public:
  Reading(std::string file, bool inches, Diagnostics& diagnostics)
      : file_(std::move(file)), inches_(inches), diagnostics_(diagnostics) {}

  bool inches() const { return inches_; }
  /// True when so many errors have been added that more are left out: one slip repeated in a
  /// hostile file must cost neither memory nor time.
  bool full() const { return errors_ >= k_errors_shown; }
  Place place(const Region& region) const { return {file_, region.line, region.column}; }

  /// Enters an element of a table; errors until leave() name it. `number` counts from 1 in a
  /// repeated table, 0 for a single one.
  void enter(const KeyTable& table, const Value& value, std::size_t number);
  void leave() { elements_.pop_back(); }

  /// Adds "part 'bed': <message>".
  void error(const Region& region, const std::string& message, std::string found = {},
             std::string allowed = {});

  /// Adds an error about a key's value, with what is allowed there.
  void value_error(const Key& key, const Value& value, const std::string& problem);

  /// Notes the name of an element; a name that is taken is an error. Returns false then.
  bool add_name(const std::string& table, const std::string& name, const Region& region);

  /// Notes a name that the program itself gives (the ground, what a frame makes).
  void add_given_name(const std::string& table, const std::string& name);

  /// Notes that `key` refers to `name`.
  void add_reference(const Key& key, const std::string& name, const Region& region);

  /// Adds an error for each reference to a name that was never met.
  void check_references();

 private:
  struct Element {
    const KeyTable* table;
    const Value* value;
    std::size_t number;
  };
  struct Reference {
    const Key* key;
    std::string name;
    Region region;
    std::string label;  ///< of the element that refers
  };

  std::string label() const;
  void add(const Region& region, std::string message, std::string found, std::string allowed);
  bool exists(const Reference& reference) const;

  std::string file_;
  bool inches_;
  int errors_ = 0;
  Diagnostics& diagnostics_;
  std::vector<Element> elements_;
  std::map<std::string, std::map<std::string, Region, std::less<>>, std::less<>> names_;
  std::map<std::string, std::set<std::string, std::less<>>, std::less<>> given_names_;
  std::vector<Reference> references_;
};

/// Tables whose names must differ from each other because they are referred to together.
std::vector<std::string> name_space(const std::string& table);

}  // namespace bight::plan
