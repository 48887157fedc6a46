#pragma once
// Dear ImGui, set up for this window: fonts, scheme, one frame after another.

#include <string>

#include "render/fonts.h"
#include "view/theme.h"
#include "view/window.h"

namespace bight::view {

/// What the looks depend on; a change rebuilds them.
struct Looks {
  Scheme scheme = Scheme::light;
  float scale = 1.0F;   ///< of the screen, or as set
  std::string letters;  ///< of other scripts (render/fonts.h)
  bool operator==(const Looks&) const = default;
};

class Gui {
 public:
  explicit Gui(Window& window);
  ~Gui();
  Gui(const Gui&) = delete;
  Gui& operator=(const Gui&) = delete;

  /// Starts a frame with the input that one frame can take.
  void begin_frame(Window& window, const Looks& looks, bool dialog_is_open);
  /// Ends the frame and draws it over what is in the back buffer.
  void end_frame();

  const Palette& palette() const { return view::palette(looks_.scheme); }
  const Looks& looks() const { return looks_; }
  const render::Fonts& fonts() const { return fonts_; }

 private:
  Looks looks_;
  bool loaded_ = false;
  render::Fonts fonts_;
};

}  // namespace bight::view
