#include "view/gui.h"

#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

#include <cmath>

#include "view/dialog_keys.h"

namespace bight::view {

Gui::Gui(Window& window) {
  IMGUI_CHECKVERSION();
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;
  io.ConfigInputTextCursorBlink = false;
  io.ConfigWindowsMoveFromTitleBarOnly = true;
  ImGui_ImplGlfw_InitForOpenGL(window.handle(), false);
  ImGui_ImplOpenGL3_Init("#version 330");
}

Gui::~Gui() {
  ImGui_ImplOpenGL3_Shutdown();
  ImGui_ImplGlfw_Shutdown();
  ImGui::DestroyContext();
}

void Gui::begin_frame(Window& window, const Looks& looks, bool dialog_is_open) {
  if (!loaded_ || !(looks == looks_)) {
    if (!loaded_ || looks.scale != looks_.scale || looks.letters != looks_.letters) {
      fonts_ = render::load_fonts(*ImGui::GetIO().Fonts,
                                  {.size_px = std::round(15.0 * static_cast<double>(looks.scale)),
                                   .preferred = {},
                                   .letters = looks.letters});
      ImGui::GetIO().FontDefault = fonts_.text;
      if (loaded_) {
        ImGui_ImplOpenGL3_DestroyFontsTexture();
        ImGui_ImplOpenGL3_CreateFontsTexture();
      }
    }
    looks_ = looks;
    apply_theme(looks_.scheme, looks_.scale);
    loaded_ = true;
  }
  ImGui_ImplOpenGL3_NewFrame();
  ImGui_ImplGlfw_NewFrame();
  feed_imgui(window.events().queue.next_frame());
  take_keys_for_dialog(dialog_is_open);
  ImGui::NewFrame();
  tab_through_dialog(dialog_is_open);
}

void Gui::end_frame() {
  ImGui::Render();
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

}  // namespace bight::view
