#include "plan/patch.h"

#include <algorithm>
#include <optional>

#include "base/number.h"
#include "plan/locate_detail.h"
#include "plan/option.h"
#include "plan/patch_text_detail.h"
#include "plan/read_value_detail.h"
#include "plan/toml.h"

namespace bight::plan {
namespace {

/// As resolve_path, and also keys at the top of the file and of options, which overrides cannot
/// reach.
PathTarget target_of(Value& root, std::string_view path, Diagnostics& diagnostics) {
  const std::size_t dot = path.rfind('.');
  const bool top = dot == std::string_view::npos;
  if (!top && path.rfind("option.", 0) != 0) return resolve_path(root, path, {}, diagnostics);
  const Located at = locate(root, top ? std::string_view() : path.substr(0, dot));
  const std::string key(top ? path : path.substr(dot + 1));
  const Key* known = at.found() ? key_of(at.table->path, key) : nullptr;
  if (known == nullptr || known->type == KeyType::name || known->type == KeyType::values_by_path) {
    diagnostics.error({}, "the path " + toml_quoted(path) + " leads to no value of this file");
    return {};
  }
  return {at.element, {}, at.table->path, key};
}

}  // namespace

Patched set_value(std::string_view text, std::string_view path, std::string_view value) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  const std::optional<Value> new_value = parse_value(value);
  if (!new_value) return refused("`" + std::string(value) + "` is not a TOML value");
  const PathTarget target = target_of(*root, path, diagnostics);
  if (target.table == nullptr) return refused(first_problem(diagnostics));

  const Source source(text);
  const std::string value_text(value);
  if (Entry* entry = target.missing.empty() ? target.table->find(target.key) : nullptr) {
    std::string edited = source.replaced(source.begin(entry->value.region),
                                         source.end(entry->value.region), value_text);
    entry->value = *new_value;
    return checked(std::move(edited), *root);
  }
  std::string edited = with_entry(source, *root, target, value_text);
  Value* table = target.table;
  for (const std::string& name : target.missing) {
    table->entries.push_back({name, {}, {}});
    table = &table->entries.back().value;
  }
  table->entries.push_back({target.key, {}, *new_value});
  return checked(std::move(edited), *root);
}

Patched remove_value(std::string_view text, std::string_view path) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  const PathTarget target = target_of(*root, path, diagnostics);
  if (target.table == nullptr) return refused(first_problem(diagnostics));
  const Entry* entry = target.missing.empty() ? target.table->find(target.key) : nullptr;
  if (entry == nullptr) return refused("the key is not in the file; its default holds already");
  std::string edited = without_entry(Source(text), *target.table, *entry);
  target.table->entries.erase(target.table->entries.begin() +
                              (entry - target.table->entries.data()));
  return checked(std::move(edited), *root);
}

Patched append_block(std::string_view text, std::string_view block) {
  Diagnostics diagnostics;
  if (!parse_toml(text, {}, diagnostics)) return refused(first_problem(diagnostics));
  const std::string line_break = Source(text).line_break();
  std::string out(text);
  if (!out.empty() && out.back() != '\n') out += line_break;
  if (!out.empty()) out += line_break;
  for (const char c : block) {
    if (c == '\n') {
      out += line_break;
    } else if (c != '\r') {
      out += c;
    }
  }
  if (out.empty() || out.back() != '\n') out += line_break;
  if (!parse_toml(out, {}, diagnostics)) return refused(first_problem(diagnostics));
  return {std::move(out), {}};
}

Patched append_option(std::string_view text, std::string_view name, std::string_view about,
                      const std::vector<PathValue>& overrides) {
  std::string block = "[[option]]\nname = " + toml_text(name) + "\n";
  if (!about.empty()) block += "about = " + toml_text(about) + "\n";
  block += "[option.set]\n";
  for (const PathValue& o : overrides) {
    if (!parse_value(o.value)) return refused("`" + o.value + "` is not a TOML value");
    block += toml_text(o.path) + " = " + o.value + "\n";
  }
  Patched patched = append_block(text, block);
  if (!patched.problem.empty()) return patched;
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(patched.text, {}, diagnostics);
  if (root) check_option_paths(*root, {}, diagnostics);
  if (diagnostics.has_errors()) return refused(first_problem(diagnostics));
  const Entry* options = root->find("option");
  const auto named = [&](const Value& option) {
    const Entry* entry = option.find("name");
    return entry != nullptr && entry->value.text == name;
  };
  if (options != nullptr &&
      std::count_if(options->value.items.begin(), options->value.items.end(), named) > 1) {
    return refused("there is an option " + toml_text(name) + " already");
  }
  return patched;
}

std::string toml_length(double mm, bool inches) {
  return shortest(mm / unit_factor(Unit::length, inches));
}

std::string toml_vector(const Vec3& mm, bool inches) {
  return "[" + toml_length(mm.x, inches) + ", " + toml_length(mm.y, inches) + ", " +
         toml_length(mm.z, inches) + "]";
}

std::string toml_text(std::string_view text) {
  return toml_quoted(text);
}

}  // namespace bight::plan
