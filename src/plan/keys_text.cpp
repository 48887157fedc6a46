// The table of keys for people: on a terminal and as docs/plan-file.md.

#include <algorithm>
#include <cctype>

#include "plan/keys.h"

namespace bight::plan {
namespace {

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

std::string header(const KeyTable& table) {
  if (table.path.empty()) return "Top of the file";
  return table.repeated ? "[[" + table.path + "]]" : "[" + table.path + "]";
}

/// "required", "default 5 (common practice)" or "optional", with the elements that it is for.
std::string need_text(const Key& key) {
  std::string text = key.required           ? "required"
                     : key.standard.empty() ? "optional"
                                            : "default " + key.standard;
  if (!key.source.empty() && !key.required) text += " (" + key.source + ")";
  if (key.only_for) {
    std::string words;
    for (const std::string& value : key.only_for->values) {
      words += (words.empty() ? "" : ", ") + value;
    }
    text += "; only with " + key.only_for->key + " = " + words;
  }
  return text;
}

bool matches(const Key& key, const std::string& filter) {
  const std::string path = key.table.empty() ? key.name : key.table + "." + key.name;
  return lower(path).find(filter) != std::string::npos ||
         lower(key.meaning).find(filter) != std::string::npos;
}

std::string table_cell(std::string text) {
  for (auto at = text.find('|'); at != std::string::npos; at = text.find('|', at + 2)) {
    text.replace(at, 1, "\\|");
  }
  return text;
}

constexpr std::string_view k_introduction = R"(# The plan file

This page is printed by `bight keys --markdown` from the table that the reader checks against
(src/plan/keys_*.cpp); edit that table, not this page.

A plan is a [TOML 1.0](https://toml.io/en/v1.0.0) text file in UTF-8. It starts with `format = 1`.

- **Frame.** Right-handed: X to the operator's right, Y away, Z up. Every position is the one with
  all joints at zero.
- **Units.** Lengths in mm, speeds in mm/min, accelerations in mm/s^2. With `units = "in"` all of
  them are inches, in/min and in/s^2, in the whole file (spans of `load_span` too). Angles are
  degrees, mass is kg/m, force N, bending stiffness N m^2, conductor area mm^2, price per metre in
  either case.
- **Names.** Elements refer to each other by name. A name is not empty and has no dots. Names are
  unique in their table; parts, bodies and chains share one space, and so do anchors and supports,
  because they are referred to together. The body `ground` is always there.
- **Errors.** A key that is not known, a value of the wrong type or out of its range, a required key
  that is missing, a name that does not exist or is used twice: each is an error with file, line and
  column, what was found and what is allowed. All errors of a file come in one go, except that a
  text which is not TOML is reported alone.
- **Options.** An option is a variant of the plan. Its overrides replace values by path:
  `"table.name.key"` for elements with names, `"table.number.key"`, counted from 1, for those
  without (`"gap.1.limb"`), `"table.key"` for single tables (`"rules.spare_percent"`), and the same
  inside (`"run.overhead.leg.2.length"`, `"line.router.circuit.current"`). Names, the option tables
  and the top of the file cannot be overridden.

```toml
[[option]]
name = "higher hook"
about = "Hook 300 mm higher, chain away."
[option.set]
"support.ceiling hook.at" = [600, 400, 2100]
"chain.X chain.present" = false
```
)";

}  // namespace

std::string keys_text(std::string_view filter) {
  const std::string wanted = lower(filter);
  std::string text;
  for (const KeyTable& table : all_key_tables()) {
    std::string lines;
    for (const Key& key : all_keys()) {
      if (key.table != table.path || !matches(key, wanted)) continue;
      lines += "  " + key.name + "\n      " + key.meaning + "\n      " + allowed_text(key) + "; " +
               need_text(key) + "\n";
    }
    if (lines.empty()) continue;
    text += (text.empty() ? "" : "\n") + header(table) + "  " + table.meaning + "\n" + lines;
  }
  return text;
}

std::string keys_markdown() {
  std::string text(k_introduction);
  for (const KeyTable& table : all_key_tables()) {
    text += "\n## " + (table.path.empty() ? header(table) : "`" + header(table) + "`") + "\n\n" +
            table.meaning + "\n\n| key | meaning | what may stand there | default |\n" +
            "|---|---|---|---|\n";
    for (const Key& key : all_keys()) {
      if (key.table != table.path) continue;
      text += "| `" + key.name + "` | " + table_cell(key.meaning) + " | " +
              table_cell(allowed_text(key)) + " | " + table_cell(need_text(key)) + " |\n";
    }
  }
  return text;
}

}  // namespace bight::plan
