#include "plan/toml.h"

#include <toml++/toml.h>

#include <algorithm>
#include <cmath>

#include "base/number.h"

namespace bight::plan {
namespace {

// toml++ 3.3 follows dotted keys and headers of any depth recursively when it destroys them, so a
// few hundred kilobytes of "a.a.a..." overflow the stack. Plans nest three tables and three lists.
constexpr int k_dots_limit = 32;
constexpr int k_brackets_limit = 32;

/// Byte position of the first byte that is not UTF-8 (overlong forms and surrogates included).
std::optional<std::size_t> first_bad_byte(std::string_view text) {
  std::size_t i = 0;
  while (i < text.size()) {
    const auto lead = static_cast<unsigned char>(text[i]);
    std::size_t more = 0;
    std::uint32_t code = lead;
    if (lead >= 0x80U) {
      if (lead >= 0xC2U && lead <= 0xDFU) {
        more = 1;
        code = lead & 0x1FU;
      } else if ((lead & 0xF0U) == 0xE0U) {
        more = 2;
        code = lead & 0x0FU;
      } else if (lead >= 0xF0U && lead <= 0xF4U) {
        more = 3;
        code = lead & 0x07U;
      } else {
        return i;
      }
    }
    if (text.size() - i <= more) return i;
    for (std::size_t k = 1; k <= more; ++k) {
      const auto next = static_cast<unsigned char>(text[i + k]);
      if ((next & 0xC0U) != 0x80U) return i;
      code = (code << 6U) | (next & 0x3FU);
    }
    const bool overlong = (more == 2 && code < 0x800U) || (more == 3 && code < 0x10000U);
    if (overlong || (code >= 0xD800U && code <= 0xDFFFU) || code > 0x10FFFFU) return i;
    i += more + 1;
  }
  return {};
}

/// Line and column (code points) of a byte position.
Place place_of(std::string_view text, std::size_t offset, const std::string& file) {
  Place place{file, 1, 1};
  for (std::size_t i = 0; i < offset && i < text.size(); ++i) {
    if (text[i] == '\n') {
      ++place.line;
      place.column = 1;
    } else if ((static_cast<unsigned char>(text[i]) & 0xC0U) != 0x80U) {
      ++place.column;
    }
  }
  return place;
}

/// Position behind the string or comment that starts at `i`, or `i` when none starts there. Stops
/// where the parser stops as well, so on broken text it never sees less depth than the parser.
std::size_t skip_string_or_comment(std::string_view text, std::size_t i) {
  const char c = text[i];
  if (c == '#') return std::min(text.find('\n', i), text.size());
  if (c != '"' && c != '\'') return i;
  const std::string fence(3, c);
  const bool long_string = text.substr(i, 3) == fence;
  i += long_string ? 3 : 1;
  while (i < text.size()) {
    if (c == '"' && text[i] == '\\') {
      i += 2;
    } else if (!long_string && (text[i] == c || text[i] == '\n')) {
      return text[i] == c ? i + 1 : i;
    } else if (long_string && text.substr(i, 3) == fence) {
      i += 3;
      while (i < text.size() && text[i] == c) ++i;  // quotes at the very end belong to the string
      return i;
    } else {
      ++i;
    }
  }
  return text.size();
}

/// Byte position at which dots or brackets nest deeper than allowed.
std::optional<std::size_t> first_too_deep(std::string_view text) {
  int dots = 0;
  int brackets = 0;
  std::size_t i = 0;
  while (i < text.size()) {
    const std::size_t after = skip_string_or_comment(text, i);
    if (after > i) {
      i = after;
      continue;
    }
    const char c = text[i];
    if (c == '.') {
      ++dots;
    } else if (c == '\n' || c == '=' || c == ',') {
      dots = 0;
    } else if (c == '[' || c == '{') {
      dots = 0;
      ++brackets;
    } else if (c == ']' || c == '}') {
      dots = 0;
      brackets = std::max(0, brackets - 1);
    }
    if (dots > k_dots_limit || brackets > k_brackets_limit) return i;
    ++i;
  }
  return {};
}

Region region_of(const toml::source_region& r) {
  return {static_cast<int>(r.begin.line), static_cast<int>(r.begin.column),
          static_cast<int>(r.end.line), static_cast<int>(r.end.column)};
}

Value convert(const toml::node& node) {
  Value value;
  value.region = region_of(node.source());
  if (const auto* s = node.as_string()) {
    value.kind = Value::Kind::text;
    value.text = s->get();
  } else if (const auto* i = node.as_integer()) {
    value.kind = Value::Kind::whole;
    value.whole = i->get();
  } else if (const auto* d = node.as_floating_point()) {
    value.kind = Value::Kind::real;
    value.real = d->get();
  } else if (const auto* b = node.as_boolean()) {
    value.kind = Value::Kind::boolean;
    value.boolean = b->get();
  } else if (const auto* list = node.as_array()) {
    value.kind = Value::Kind::list;
    value.items.reserve(list->size());
    for (const toml::node& item : *list) value.items.push_back(convert(item));
  } else if (const auto* table = node.as_table()) {
    value.kind = Value::Kind::table;
    value.braces = table->is_inline();
    value.entries.reserve(table->size());
    for (const auto& [key, item] : *table) {
      value.entries.push_back({std::string(key.str()), region_of(key.source()), convert(item)});
    }
    std::sort(value.entries.begin(), value.entries.end(), [](const Entry& a, const Entry& b) {
      return a.key_region.line != b.key_region.line ? a.key_region.line < b.key_region.line
                                                    : a.key_region.column < b.key_region.column;
    });
  } else {
    value.kind = Value::Kind::date;
  }
  return value;
}

std::string replaced(std::string text, std::string_view from, std::string_view to) {
  for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
  return text;
}

/// The library's words for a syntax error in those of a person who writes a plan.
void add_syntax_error(std::string_view text, const toml::parse_error& error,
                      const std::string& file, Diagnostics& diagnostics) {
  const Region at = region_of(error.source());
  const Place place{file, at.line, at.column};
  std::string detail(error.description());
  constexpr std::string_view k_prefix = "Error while parsing ";
  if (detail.rfind(k_prefix, 0) == 0) detail.erase(0, k_prefix.size());
  const auto says = [&detail](std::string_view words) {
    return detail.find(words) != std::string::npos;
  };
  std::string allowed;
  if (says("could not determine value type")) {
    detail = "there is no value of this kind";
    allowed = "a number, true, false, \"text in quotes\" or a [list]";
  } else if (says("expected a comment or whitespace")) {
    detail = "there is more on the line than one key and its value";
    allowed = "one key = value on a line; decimals after a point, not a comma";
  } else if (says("cannot redefine existing")) {
    detail = detail.substr(std::min(detail.find('\''), detail.size())) + " is there already";
    allowed = "each key once in a table; [[name]] in double brackets for a list of tables";
  } else if (says("unescaped control characters")) {
    detail = "a text does not end on its line, or has a control sign in it";
    allowed = "\"text in quotes\", closed on the same line";
  } else {
    detail =
        replaced(detail, "decimal integer: expected digit, saw ", "a number with this in it: ");
    detail = replaced(detail, "'\\n'", "the end of the line");
    detail = replaced(detail, "'\\r'", "the end of the line");
    detail = replaced(detail, "encountered end-of-file", "the file ends too early");
    detail = replaced(detail, "key-value pair: ", "");
    detail = replaced(detail, "array: ", "a list is not closed: ");
  }

  std::string line;
  if (at.line > 0) {
    const std::size_t begin = byte_offset(text, at.line, 1);
    line = text.substr(begin, std::min(text.find('\n', begin), text.size()) - begin);
    if (!line.empty() && line.back() == '\r') line.pop_back();
    if (line.size() > 80) line.erase(byte_offset(line, 1, 60)).append("...");
  }
  diagnostics.error(place, "this is not TOML: " + detail, line.empty() ? "" : "`" + line + "`",
                    allowed);
}

}  // namespace

const Entry* Value::find(std::string_view key) const {
  for (const Entry& entry : entries) {
    if (entry.key == key) return &entry;
  }
  return nullptr;
}

Entry* Value::find(std::string_view key) {
  return const_cast<Entry*>(static_cast<const Value*>(this)->find(key));
}

std::optional<Value> parse_toml(std::string_view text, const std::string& file,
                                Diagnostics& diagnostics) {
  if (const auto bad = first_bad_byte(text)) {
    diagnostics.error(place_of(text, *bad, file), "the file is not UTF-8 text",
                      "byte " + std::to_string(static_cast<unsigned char>(text[*bad])),
                      "text saved as UTF-8");
    return {};
  }
  if (const auto deep = first_too_deep(text)) {
    diagnostics.error(place_of(text, *deep, file), "keys or brackets are nested too deeply", {},
                      std::to_string(k_dots_limit) + " levels at most");
    return {};
  }
  try {
    return convert(toml::parse(text));
  } catch (const toml::parse_error& error) {
    add_syntax_error(text, error, file, diagnostics);
    return {};
  }
}

std::string toml_quoted(std::string_view text) {
  std::string quoted = "\"";
  for (const char c : text) {
    switch (c) {
      case '"':
        quoted += "\\\"";
        break;
      case '\\':
        quoted += "\\\\";
        break;
      case '\n':
        quoted += "\\n";
        break;
      case '\t':
        quoted += "\\t";
        break;
      case '\r':
        quoted += "\\r";
        break;
      default:
        if (static_cast<unsigned char>(c) < 0x20U || c == 0x7F) {
          constexpr std::string_view k_hex = "0123456789ABCDEF";
          const auto code = static_cast<unsigned char>(c);
          quoted += "\\u00";
          quoted += k_hex[code >> 4U];
          quoted += k_hex[code & 0xFU];
        } else {
          quoted += c;
        }
    }
  }
  return quoted + '"';
}

std::string to_toml(const Value& value) {
  switch (value.kind) {
    case Value::Kind::text:
      return toml_quoted(value.text);
    case Value::Kind::whole:
      return std::to_string(value.whole);
    case Value::Kind::boolean:
      return value.boolean ? "true" : "false";
    case Value::Kind::date:
      return "a date";
    case Value::Kind::real:
      if (std::isnan(value.real)) return "nan";
      if (std::isinf(value.real)) return value.real > 0.0 ? "inf" : "-inf";
      return shortest(value.real);
    case Value::Kind::list: {
      std::string text = "[";
      for (const Value& item : value.items) text += (text.size() > 1 ? ", " : "") + to_toml(item);
      return text + "]";
    }
    case Value::Kind::table:
      break;
  }
  std::string text = "{";
  for (const Entry& entry : value.entries) {
    text += (text.size() > 1 ? ", " : " ") + entry.key + " = " + to_toml(entry.value);
  }
  return text + " }";
}

std::string describe(const Value& value) {
  constexpr std::size_t k_shown = 60;
  switch (value.kind) {
    case Value::Kind::table:
      return "a table";
    case Value::Kind::date:
      return "a date or time";
    case Value::Kind::list:
      if (value.items.empty()) return "an empty list";
      if (value.items.size() > k_shown / 3 || to_toml(value).size() > k_shown) {
        return "a list of " + std::to_string(value.items.size()) + " values";
      }
      break;
    case Value::Kind::text: {
      std::string text = toml_quoted(value.text);
      if (text.size() > k_shown) text.erase(byte_offset(text, 1, 50)).append("...\"");
      return text;
    }
    default:
      break;
  }
  return to_toml(value);
}

std::size_t byte_offset(std::string_view text, int line, int column) {
  std::size_t i = text.substr(0, 3) == "\xEF\xBB\xBF" ? 3 : 0;
  for (int l = 1; l < line && i < text.size(); ++l) {
    i = std::min(text.find('\n', i), text.size() - 1) + 1;
  }
  for (int c = 1; c < column && i < text.size() && text[i] != '\n'; ++c) {
    ++i;
    while (i < text.size() && (static_cast<unsigned char>(text[i]) & 0xC0U) == 0x80U) ++i;
  }
  return i;
}

}  // namespace bight::plan
