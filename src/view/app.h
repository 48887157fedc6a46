#pragma once
// One open window: editor, picture and panels brought together, frame after frame.

#include <memory>

#include "editor/editor.h"
#include "view/dialog_state.h"
#include "view/gui.h"
#include "view/hook_map_job.h"
#include "view/opened_plan.h"
#include "view/option_pictures.h"
#include "view/stage.h"
#include "view/view.h"

namespace bight::view {

class App {
 public:
  App(Window& window, OpenedPlan opened, bool debug_context);
  ~App();
  App(const App&) = delete;
  App& operator=(const App&) = delete;

  /// Until the window is closed.
  void run();

 private:
  void frame();
  void take_requests(const PanelContext& context);
  void follow_the_disk(const PanelContext& context);
  void follow_pointer();
  void gather_letters();
  void draw_panels(const PanelContext& context);
  void sleep();
  int frames_wanted();  ///< by what happened since the last one
  StageView stage_view(const PanelContext& context, double ratio) const;

  Window& window_;
  Gui gui_;
  std::shared_ptr<std::atomic<bool>> awake_;
  std::unique_ptr<editor::Editor> editor_owner_;
  editor::Editor& editor_;
  Stage stage_;
  OptionPictures pictures_;
  HookMapJob hook_job_;
  TravelMapsJob travel_job_;
  ViewState state_;
  DialogState dialogs_;
  std::vector<double> framed_pose_;
  std::string letters_;           ///< of other scripts that texts had so far
  std::uint64_t letters_of_ = 0;  ///< text of the plan that was looked at
  bool works_ = false;            ///< a map is being computed
  int frames_due_ = 3;            ///< hover and layout settle over a few frames
};

}  // namespace bight::view
