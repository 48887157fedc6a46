#pragma once
// The window. One function: it opens, lives and closes in it.

#include <filesystem>
#include <string>

namespace bight::view {

struct ViewOptions {
  std::filesystem::path plan;  ///< opened at the start; empty: the start panel
  std::string option;          ///< chosen at the start; empty: the first that the plan has
  int width = 1360;            ///< at a content scale of 1
  int height = 860;
  unsigned threads = 0;        ///< of the checks
  bool debug_context = false;  ///< an error of OpenGL ends the program
};

enum class ViewEnd { closed, no_display, failed };

struct ViewResult {
  ViewEnd end = ViewEnd::closed;
  std::string problem;  ///< a sentence, unless closed
};

/// True when a display is named for this process; whether it answers shows when it is opened.
bool display_is_named();

ViewResult run_window(const ViewOptions& options);

}  // namespace bight::view
