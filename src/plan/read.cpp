#include "plan/read.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "base/file.h"
#include "base/tolerance.h"
#include "plan/frame_names.h"
#include "plan/option.h"
#include "plan/schema_detail.h"
#include "plan/toml.h"
#include "plan/validate.h"

namespace bight::plan {
namespace {

constexpr std::int64_t k_format = 1;

/// Names of what the frame of the file makes, as far as its dimensions can be read.
void add_frame_names(const Value& root, bool inches, Reading& reading) {
  const Entry* entry = root.find("frame");
  if (entry == nullptr || entry->value.kind != Value::Kind::table) return;
  Frame frame;
  Value copy = entry->value;
  Diagnostics reported_later;
  Reading quiet({}, inches, reported_later);
  frame_table().read(quiet, copy, frame);
  for (const std::string& body : frame_body_names(frame)) reading.add_given_name("body", body);
  const std::set<std::string> left_out = [&frame] {
    std::set<std::string> names;
    if (!(frame.bed_height > 0.0)) names.insert("floor");
    if (!(frame.side_thickness > 0.0 && frame.side_depth > 0.0)) {
      names.insert({"side left", "side right"});
    }
    if (!(frame.router_diameter > 0.0 && frame.router_length > 0.0)) names.insert("router");
    if (!(frame.tool_diameter > 0.0 && frame.tool_length > 0.0)) names.insert("tool");
    return names;
  }();
  for (const char* part : k_frame_part_names) {
    if (left_out.count(part) == 0) reading.add_given_name("part", part);
  }
}

/// False when the file is of a format that this program does not know: nothing else in it can be
/// judged then.
bool is_known_format(const Value& root, const Reading& reading, Diagnostics& diagnostics) {
  const Entry* format = root.find("format");
  if (format == nullptr) return true;  // reported as missing with everything else
  if (format->value.kind == Value::Kind::whole && format->value.whole == k_format) return true;
  const bool newer = format->value.kind == Value::Kind::whole && format->value.whole > k_format;
  diagnostics.error(reading.place(format->value.region), "this file format is not known",
                    "format = " + describe(format->value),
                    "format = " + std::to_string(k_format) +
                        (newer ? "; the file may need a newer program" : ""));
  return false;
}

/// True for units = "in"; an unknown unit is an error.
bool reads_inches(const Value& root, const std::string& file, Diagnostics& diagnostics) {
  const Entry* units = root.find("units");
  if (units == nullptr) return false;
  const auto& keys = all_keys();
  const auto key = std::find_if(keys.begin(), keys.end(),
                                [](const Key& k) { return k.table.empty() && k.name == "units"; });
  Reading reading(file, false, diagnostics);
  const auto choice = read_choice(reading, *key, units->value);
  return choice && key->choices[*choice] == "in";
}

/// An axis letter says where its joint goes unless the plan says otherwise.
void complete_directions(Plan& plan) {
  for (Joint& joint : plan.joints) {
    if (joint.direction != Vec3(0.0)) continue;
    const bool x = joint.name == "X" || joint.name == "U";
    const bool y = joint.name == "Y" || joint.name == "V";
    joint.direction = x ? Vec3(1.0, 0.0, 0.0) : y ? Vec3(0.0, 1.0, 0.0) : Vec3(0.0, 0.0, 1.0);
  }
}

/// One variant of the file: the tree after an option's overrides, or as written.
Plan read_variant(Value root, const std::string& file, const std::string& option,
                  Diagnostics& diagnostics) {
  Plan plan;
  if (!option.empty()) {
    Diagnostics reported_with_the_paths;
    apply_option(root, option, file, reported_with_the_paths);
  }
  Reading reading(file, reads_inches(root, file, diagnostics), diagnostics);
  if (!is_known_format(root, reading, diagnostics)) return plan;
  reading.add_given_name("body", k_ground);
  add_frame_names(root, reading.inches(), reading);
  plan_schema().read(reading, root, plan);
  reading.check_references();

  plan.file = file;
  plan.inches = reading.inches();
  plan.chosen_option = option;
  if (plan.name.empty()) plan.name = std::filesystem::path(file).stem().string();
  complete_directions(plan);
  validate_plan(plan, root, reading);
  return plan;
}

/// Diagnostics from several readings of one file: each once, in the order of the file.
class Gathered {
 public:
  void take(const Diagnostics& diagnostics, const std::string& prefix) {
    for (const Diagnostic& d : diagnostics.items()) {
      if (!seen_.emplace(d.place.line, d.place.column, d.message).second) continue;
      items_.push_back(d);
      items_.back().message.insert(0, prefix);
    }
  }

  /// Returns whether there are errors.
  bool hand_over(Diagnostics& out) {
    std::stable_sort(items_.begin(), items_.end(), [](const Diagnostic& a, const Diagnostic& b) {
      return std::tie(a.place.line, a.place.column) < std::tie(b.place.line, b.place.column);
    });
    const bool errors = std::any_of(items_.begin(), items_.end(), [](const Diagnostic& d) {
      return d.severity == Severity::error;
    });
    for (Diagnostic& d : items_) out.add(std::move(d));
    items_.clear();
    return errors;
  }

 private:
  std::vector<Diagnostic> items_;
  std::set<std::tuple<int, int, std::string>> seen_;
};

std::string option_names(const Plan& plan) {
  std::string names;
  for (const Option& option : plan.options) {
    names += (names.empty() ? "" : " or ") + toml_quoted(option.name);
  }
  return names.empty() ? "the plan has no options" : names;
}

}  // namespace

std::optional<std::vector<Plan>> read_plan_and_options(std::string_view text,
                                                       const std::string& file,
                                                       Diagnostics& diagnostics) {
  if (text.size() > k_plan_bytes_limit) {
    diagnostics.error({file, 0, 0}, "the plan is too large", std::to_string(text.size()) + " bytes",
                      std::to_string(k_plan_bytes_limit) + " bytes at most");
    return {};
  }
  std::optional<Value> root = parse_toml(text, file, diagnostics);
  if (!root) return {};

  Gathered gathered;
  std::vector<Plan> plans;
  {
    Diagnostics found;
    plans.push_back(read_variant(*root, file, {}, found));
    check_option_paths(*root, file, found);
    gathered.take(found, {});
  }
  const std::vector<Option> options = plans.front().options;
  for (const Option& option : options) {
    if (option.name.empty() || options.size() > k_options_limit) continue;
    Diagnostics found;
    plans.push_back(read_variant(*root, file, option.name, found));
    gathered.take(found, "with option " + toml_quoted(option.name) + ": ");
  }
  if (gathered.hand_over(diagnostics)) return {};
  return plans;
}

std::optional<Plan> read_plan(std::string_view text, const std::string& file,
                              const std::string& option, Diagnostics& diagnostics) {
  auto plans = read_plan_and_options(text, file, diagnostics);
  if (!plans) return {};
  const auto chosen = std::find_if(plans->begin(), plans->end(),
                                   [&](const Plan& plan) { return plan.chosen_option == option; });
  if (chosen == plans->end()) {
    diagnostics.error({file, 0, 0}, "there is no option of this name", toml_quoted(option),
                      option_names(plans->front()));
    return {};
  }
  return std::move(*chosen);
}

std::optional<std::vector<Plan>> load_plan_and_options(const std::filesystem::path& path,
                                                       Diagnostics& diagnostics) {
  const FileText read = read_file(path, k_plan_bytes_limit);
  if (!read.text) {
    diagnostics.error({path.string(), 0, 0}, read.problem);
    return {};
  }
  return read_plan_and_options(*read.text, path.string(), diagnostics);
}

std::optional<Plan> load_plan(const std::filesystem::path& path, const std::string& option,
                              Diagnostics& diagnostics) {
  const FileText read = read_file(path, k_plan_bytes_limit);
  if (!read.text) {
    diagnostics.error({path.string(), 0, 0}, read.problem);
    return {};
  }
  return read_plan(*read.text, path.string(), option, diagnostics);
}

}  // namespace bight::plan
