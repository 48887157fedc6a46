#include "plan/nearest.h"
#include "plan/plan.h"
#include "plan/reading_detail.h"

namespace bight::plan {
namespace {

std::string joined(const std::vector<std::string>& words, const std::string& last) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? last : ", ";
    text += words[i];
  }
  return text;
}

std::string spaced(std::string table) {
  for (char& c : table) {
    if (c == '_' || c == '.') c = ' ';
  }
  return table;
}

std::string with_article(const std::string& noun) {
  const bool vowel = std::string_view("aeiou").find(noun.front()) != std::string_view::npos;
  return (vowel ? "an " : "a ") + noun;
}

constexpr std::size_t k_names_listed = 12;

}  // namespace

std::vector<std::string> name_space(const std::string& table) {
  if (table == "part" || table == "body" || table == "chain") return {"part", "body", "chain"};
  if (table == "anchor" || table == "support") return {"anchor", "support"};
  return {table};
}

void Reading::enter(const KeyTable& table, const Value& value, std::size_t number) {
  elements_.push_back({&table, &value, number});
}

std::string Reading::label() const {
  std::string text;
  for (const Element& element : elements_) {
    if (element.table->path.empty()) continue;
    const std::string& path = element.table->path;
    if (!text.empty()) text += ", ";
    text += spaced(path.substr(path.rfind('.') + 1));
    const Entry* name = element.table->named ? element.value->find("name") : nullptr;
    if (name != nullptr && name->value.kind == Value::Kind::text && !name->value.text.empty()) {
      text += " " + describe(name->value);
    } else if (element.number > 0) {
      text += " " + std::to_string(element.number);
    }
  }
  return text;
}

void Reading::error(const Region& region, const std::string& message, std::string found,
                    std::string allowed) {
  if (full()) return;
  const std::string where = label();
  add(region, (where.empty() ? "" : where + ": ") + message, std::move(found), std::move(allowed));
}

void Reading::add(const Region& region, std::string message, std::string found,
                  std::string allowed) {
  if (full()) return;
  diagnostics_.error(place(region), std::move(message), std::move(found), std::move(allowed));
  if (++errors_ == k_errors_shown) {
    diagnostics_.error(place(region), "too many errors; the rest is left out");
  }
}

void Reading::value_error(const Key& key, const Value& value, const std::string& problem) {
  if (full()) return;
  error(value.region, "'" + key.name + "' " + problem, describe(value), allowed_text(key, inches_));
}

bool Reading::add_name(const std::string& table, const std::string& name, const Region& region) {
  const std::vector<std::string> space = name_space(table);
  if (name == k_ground && space.size() > 1 && space[1] == "body") {
    error(region, "the name \"ground\" is taken", "the body that stands still and is always there",
          "another name");
    return false;
  }
  for (const std::string& other : space) {
    const auto known = names_.find(other);
    if (known != names_.end()) {
      const auto taken = known->second.find(name);
      if (taken != known->second.end()) {
        error(region, "the name \"" + name + "\" is taken",
              with_article(spaced(other)) + " of that name in line " +
                  std::to_string(taken->second.line),
              "a name that no other " + joined(space, " or ") + " has");
        return false;
      }
    }
    const auto given = given_names_.find(other);
    // A frame's body or part may be replaced by one of the plan's of the same kind.
    if (given != given_names_.end() && other != table && given->second.count(name) > 0) {
      error(region, "the name \"" + name + "\" is taken",
            with_article(spaced(other)) + " of that name, made by [frame]", "another name");
      return false;
    }
  }
  names_[table].emplace(name, region);
  return true;
}

void Reading::add_given_name(const std::string& table, const std::string& name) {
  given_names_[table].insert(name);
}

void Reading::add_reference(const Key& key, const std::string& name, const Region& region) {
  references_.push_back({&key, name, region, label()});
}

bool Reading::exists(const Reference& reference) const {
  for (const std::string& table : reference.key->refers_to) {
    const auto given = given_names_.find(table);
    if (given != given_names_.end() && given->second.count(reference.name) > 0) return true;
    const auto names = names_.find(table);
    if (names != names_.end() && names->second.count(reference.name) > 0) return true;
  }
  return false;
}

void Reading::check_references() {
  for (const Reference& reference : references_) {
    if (exists(reference)) continue;
    if (full()) return;
    std::vector<std::string> existing;
    for (const std::string& table : reference.key->refers_to) {
      if (const auto given = given_names_.find(table); given != given_names_.end()) {
        existing.insert(existing.end(), given->second.begin(), given->second.end());
      }
      if (const auto names = names_.find(table); names != names_.end()) {
        for (const auto& [name, region] : names->second) existing.push_back(name);
      }
    }

    std::vector<std::string> kinds;
    for (const std::string& table : reference.key->refers_to) kinds.push_back(spaced(table));
    const std::string kind = joined(kinds, " or ");
    const std::string meant = nearest(reference.name, existing);
    std::string message = (reference.label.empty() ? "" : reference.label + ": ") + "'" +
                          reference.key->name + "' names " + with_article(kind) +
                          " that does not exist";
    if (!meant.empty()) message += ": did you mean " + toml_quoted(meant) + "?";
    std::string allowed;
    if (existing.empty()) {
      allowed = "the name of " + with_article(kind) + "; there is none yet";
    } else if (existing.size() <= k_names_listed) {
      std::vector<std::string> quoted;
      quoted.reserve(existing.size());
      for (const std::string& name : existing) quoted.push_back(toml_quoted(name));
      allowed = joined(quoted, " or ");
    } else {
      allowed = "the name of one of the " + std::to_string(existing.size()) + " there are";
    }
    add(reference.region, message, toml_quoted(reference.name), allowed);
  }
}

}  // namespace bight::plan
