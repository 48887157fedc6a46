// What the window shows, for tests that look at it from outside: every item with its place, every
// text that is drawn, what is under the pointer. Linked into a second executable whose calls
// between the parts of Dear ImGui go through these functions (linker option --wrap), so that the
// program itself has not a line for it. Written as JSON after each frame to the file that
// BIGHT_PROBE names.

#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace {

struct Item {
  std::string path;
  ImRect box;
  ImRect seen;
  bool off = false;
  bool typed_into = false;
};

struct Text {
  std::string text;
  ImRect box;
  ImRect clip;
  std::string window;
  bool missing = false;
};

struct Seen {
  std::vector<Item> items;
  std::vector<Text> texts;
  std::unordered_map<ImGuiID, std::string> paths;
  std::unordered_map<ImGuiID, std::string> last_paths;
  std::string last_json;
  long frame = 0;
};

Seen& seen() {
  static Seen* all = new Seen;  // lives as long as the process: exit handlers may still draw
  return *all;
}

/// What is shown of a label, else its hidden part.
std::string visible(std::string_view label) {
  const auto hash = label.find("##");
  if (hash == std::string_view::npos) return std::string(label);
  if (hash > 0) return std::string(label.substr(0, hash));
  std::string_view rest = label.substr(2);
  while (!rest.empty() && rest.front() == '#') rest.remove_prefix(1);
  return std::string(rest);
}

/// Child windows are called "parent/name_1234ABCD".
std::string window_path(const ImGuiWindow& window) {
  std::string name = window.Name;
  if ((window.Flags & ImGuiWindowFlags_ChildWindow) != 0) {
    const auto cut = name.rfind('_');
    if (cut != std::string::npos && name.size() - cut == 9) name.erase(cut);
    return name;
  }
  return visible(name);
}

std::string scope_path(ImGuiID scope, const ImGuiWindow& window) {
  if (scope == window.ID) return window_path(window);
  const auto known = seen().paths.find(scope);
  return known != seen().paths.end() ? known->second : window_path(window);
}

void name_id(ImGuiID id, std::string_view label, const ImGuiWindow& window) {
  const ImGuiID scope = window.IDStack.back();
  if (label.empty() || id == scope) return;
  const std::string name = visible(label);
  if (!name.empty()) seen().paths[id] = scope_path(scope, window) + "/" + name;
}

std::string_view text_of(const char* begin, const char* end) {
  return end != nullptr ? std::string_view(begin, static_cast<std::size_t>(end - begin))
                        : std::string_view(begin);
}

bool hidden(const ImGuiWindow* window) {
  return window == nullptr || window->HiddenFramesCannotSkipItems > 0 || window->Hidden ||
         window->IsFallbackWindow;
}

void note_text(const ImDrawList* list, const ImFont* font, float size, const ImVec2& at,
               ImU32 colour, std::string_view text, float wrap, const ImVec4* fine_clip) {
  if (text.empty() || (colour & IM_COL32_A_MASK) == 0 || ImGui::GetCurrentContext() == nullptr)
    return;
  ImGuiContext& g = *ImGui::GetCurrentContext();
  const ImGuiWindow* owner = nullptr;
  for (const ImGuiWindow* window : g.Windows) {
    if (window->DrawList == list) owner = window;
  }
  if (owner != nullptr && hidden(owner)) return;
  if (font == nullptr) font = g.Font;
  if (size == 0.0F) size = g.FontSize;
  const char* begin = text.data();
  const char* end = begin + text.size();
  const ImVec2 extent = font->CalcTextSizeA(size, FLT_MAX, wrap, begin, end);
  Text t{std::string(text), ImRect(at, {at.x + extent.x, at.y + extent.y}), ImRect(), {}, false};
  t.clip = ImRect(list->_ClipRectStack.empty() ? ImVec4(0, 0, 0, 0) : list->_ClipRectStack.back());
  if (fine_clip != nullptr) t.clip.ClipWith(ImRect(*fine_clip));
  t.window = owner != nullptr ? window_path(*owner) : "overlay";
  for (const char* p = begin; p < end;) {
    unsigned code = 0;
    const int bytes = ImTextCharFromUtf8(&code, p, end);
    if (bytes <= 0) break;
    p += bytes;
    if (code >= 32 && font->FindGlyphNoFallback(static_cast<ImWchar>(code)) == nullptr) {
      t.missing = true;
    }
  }
  seen().texts.push_back(std::move(t));
}

std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (static_cast<unsigned char>(c) < 0x20) {
      char code[8];
      std::snprintf(code, sizeof code, "\\u%04x", static_cast<unsigned>(c));
      out += code;
    } else {
      out += c;
    }
  }
  return out + '"';
}

std::string numbers(const ImRect& r) {
  char text[128];
  std::snprintf(text, sizeof text, "[%.1f,%.1f,%.1f,%.1f]", static_cast<double>(r.Min.x),
                static_cast<double>(r.Min.y), static_cast<double>(r.Max.x),
                static_cast<double>(r.Max.y));
  return text;
}

std::string path_of(ImGuiID id) {
  if (id == 0) return {};
  const auto known = seen().last_paths.find(id);
  return known != seen().last_paths.end() ? known->second : "?";
}

std::string state_json() {
  const ImGuiContext& g = *ImGui::GetCurrentContext();
  std::string json = "\"frame\":" + std::to_string(seen().frame);
  json += ",\"size\":[" + std::to_string(static_cast<int>(g.IO.DisplaySize.x)) + "," +
          std::to_string(static_cast<int>(g.IO.DisplaySize.y)) + "]";
  json +=
      ",\"hovered\":" + quoted(path_of(g.HoveredId)) + ",\"active\":" + quoted(path_of(g.ActiveId));
  json += ",\"typing\":" + std::string(g.IO.WantTextInput ? "true" : "false");
  json += ",\"items\":[";
  for (const Item& item : seen().items) {
    if (json.back() != '[') json += ",";
    json += "{\"path\":" + quoted(item.path) + ",\"box\":" + numbers(item.box) +
            ",\"seen\":" + numbers(item.seen) + ",\"off\":" + (item.off ? "true" : "false") +
            ",\"typed\":" + (item.typed_into ? "true" : "false") + "}";
  }
  json += "],\"texts\":[";
  for (const Text& text : seen().texts) {
    if (json.back() != '[') json += ",";
    json += "{\"text\":" + quoted(text.text) + ",\"box\":" + numbers(text.box) +
            ",\"clip\":" + numbers(text.clip) + ",\"window\":" + quoted(text.window) +
            ",\"missing\":" + (text.missing ? "true" : "false") + "}";
  }
  return json + "]";
}

void write_state(bool idle) {
  const char* file = std::getenv("BIGHT_PROBE");
  if (file == nullptr || seen().last_json.empty()) return;
  const std::string temporary = std::string(file) + ".new";
  std::FILE* out = std::fopen(temporary.c_str(), "w");
  if (out == nullptr) return;
  const std::string json =
      "{\"idle\":" + std::string(idle ? "true" : "false") + "," + seen().last_json + "}";
  std::fwrite(json.data(), 1, json.size(), out);
  std::fclose(out);
  std::rename(temporary.c_str(), file);
}

}  // namespace

extern "C" {

bool __real__ZN5ImGui7ItemAddERK6ImRectjPS1_i(const ImRect&, ImGuiID, const ImRect*, int);
bool __wrap__ZN5ImGui7ItemAddERK6ImRectjPS1_i(const ImRect& box, ImGuiID id, const ImRect* nav,
                                              int flags) {
  const bool result = __real__ZN5ImGui7ItemAddERK6ImRectjPS1_i(box, id, nav, flags);
  const ImGuiContext& g = *ImGui::GetCurrentContext();
  const ImGuiWindow* window = g.CurrentWindow;
  if (id == 0 || hidden(window)) return result;
  const auto known = seen().paths.find(id);
  if (known == seen().paths.end()) return result;
  Item item{known->second, box, box, (g.CurrentItemFlags & ImGuiItemFlags_Disabled) != 0,
            (flags & ImGuiItemFlags_Inputable) != 0};
  item.seen.ClipWith(window->ClipRect);
  seen().items.push_back(std::move(item));
  return result;
}

ImGuiID __real__ZN11ImGuiWindow5GetIDEPKcS1_(ImGuiWindow*, const char*, const char*);
ImGuiID __wrap__ZN11ImGuiWindow5GetIDEPKcS1_(ImGuiWindow* window, const char* text,
                                             const char* end) {
  const ImGuiID id = __real__ZN11ImGuiWindow5GetIDEPKcS1_(window, text, end);
  name_id(id, text_of(text, end), *window);
  return id;
}

void __real__ZN5ImGui6PushIDEPKc(const char*);
void __wrap__ZN5ImGui6PushIDEPKc(const char* text) {
  ImGuiWindow& window = *ImGui::GetCurrentContext()->CurrentWindow;
  const std::string path = scope_path(window.IDStack.back(), window) + "/" + visible(text);
  __real__ZN5ImGui6PushIDEPKc(text);
  seen().paths[window.IDStack.back()] = path;
}

void __real__ZN5ImGui6PushIDEi(int);
void __wrap__ZN5ImGui6PushIDEi(int number) {
  ImGuiWindow& window = *ImGui::GetCurrentContext()->CurrentWindow;
  const std::string path = scope_path(window.IDStack.back(), window) + "/" + std::to_string(number);
  __real__ZN5ImGui6PushIDEi(number);
  seen().paths[window.IDStack.back()] = path;
}

void __real__ZN10ImDrawList7AddTextEPK6ImFontfRK6ImVec2jPKcS7_fPK6ImVec4(ImDrawList*, const ImFont*,
                                                                         float, const ImVec2&,
                                                                         ImU32, const char*,
                                                                         const char*, float,
                                                                         const ImVec4*);
void __wrap__ZN10ImDrawList7AddTextEPK6ImFontfRK6ImVec2jPKcS7_fPK6ImVec4(
    ImDrawList* list, const ImFont* font, float size, const ImVec2& at, ImU32 colour,
    const char* begin, const char* end, float wrap, const ImVec4* clip) {
  __real__ZN10ImDrawList7AddTextEPK6ImFontfRK6ImVec2jPKcS7_fPK6ImVec4(list, font, size, at, colour,
                                                                      begin, end, wrap, clip);
  note_text(list, font, size, at, colour, text_of(begin, end), wrap, clip);
}

void __real__ZN10ImDrawList7AddTextERK6ImVec2jPKcS4_(ImDrawList*, const ImVec2&, ImU32, const char*,
                                                     const char*);
void __wrap__ZN10ImDrawList7AddTextERK6ImVec2jPKcS4_(ImDrawList* list, const ImVec2& at,
                                                     ImU32 colour, const char* begin,
                                                     const char* end) {
  __real__ZN10ImDrawList7AddTextERK6ImVec2jPKcS4_(list, at, colour, begin, end);
  note_text(list, nullptr, 0.0F, at, colour, text_of(begin, end), 0.0F, nullptr);
}

void __real__ZN5ImGui8NewFrameEv();
void __wrap__ZN5ImGui8NewFrameEv() {
  seen().items.clear();
  seen().texts.clear();
  seen().last_paths = std::move(seen().paths);
  seen().paths.clear();
  ++seen().frame;
  __real__ZN5ImGui8NewFrameEv();
}

void __real__ZN5ImGui6RenderEv();
void __wrap__ZN5ImGui6RenderEv() {
  __real__ZN5ImGui6RenderEv();
  seen().last_paths.insert(seen().paths.begin(), seen().paths.end());
  seen().last_json = state_json();
  write_state(false);
}

void __real_glfwWaitEvents();
void __wrap_glfwWaitEvents() {
  write_state(true);
  __real_glfwWaitEvents();
}

void __real_glfwWaitEventsTimeout(double);
void __wrap_glfwWaitEventsTimeout(double seconds) {
  write_state(true);
  __real_glfwWaitEventsTimeout(seconds);
}

}  // extern "C"
