#include "view/app.h"

#include <epoxy/gl.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include <imgui_internal.h>

#include "base/check.h"
#include "render/draw_annotations.h"
#include "view/commands.h"
#include "view/panels.h"
#include "view/stage_input.h"
#include "view/view_bar.h"

namespace bight::view {
namespace {

constexpr int k_settle_frames = 3;
/// Seconds between looks at the file on the disk while nothing happens.
constexpr double k_idle_s = 1.0;
/// Seconds between looks at how far a map is.
constexpr double k_progress_s = 0.1;

/// An error of OpenGL in a debug context is a programming error.
void report_gl(GLenum, GLenum type, GLuint, GLenum, GLsizei, const GLchar*, const void*) {
  BIGHT_CHECK(type != GL_DEBUG_TYPE_ERROR);
}

void clear_window(const Palette& palette, const WindowMeasures& m) {
  const ImVec4 c = ImGui::ColorConvertU32ToFloat4(palette.backdrop);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
  glViewport(0, 0, m.width, m.height);
  glDisable(GL_SCISSOR_TEST);
  glClearColor(c.x, c.y, c.z, 1.0F);
  glClear(GL_COLOR_BUFFER_BIT | GL_DEPTH_BUFFER_BIT);
}

}  // namespace

App::App(Window& window, OpenedPlan opened, bool debug_context)
    : window_(window),
      gui_(window),
      awake_(std::move(opened.awake)),
      editor_owner_(std::move(opened.editor)),
      editor_(*editor_owner_),
      hook_job_([] { Window::wake(); }),
      travel_job_([] { Window::wake(); }) {
  *awake_ = true;
  if (debug_context && epoxy_gl_version() >= 43) {
    glEnable(GL_DEBUG_OUTPUT);
    glEnable(GL_DEBUG_OUTPUT_SYNCHRONOUS);
    glDebugMessageCallback(report_gl, nullptr);
  }
  if (!opened.problem.empty()) {
    state_.message = opened.problem;
    state_.message_for_s = 60.0;
  }
  if (!editor_.left_behind().empty()) {
    state_.ask(Dialog::recovery);
  } else if (editor_.text().empty()) {
    state_.ask(Dialog::start);
  }
}

App::~App() {
  *awake_ = false;
}

void App::take_requests(const PanelContext& context) {
  WindowEvents& events = window_.events();
  for (const std::filesystem::path& file : events.dropped) {
    if (file.extension() == ".toml") {
      open_plan(context, file);
    } else {
      context.report(editor_.drop(file));
    }
  }
  events.dropped.clear();
  if (events.queue.last_frame().close_asked) ask_to_quit(context);
  if (state_.view_asked) {
    stage_.turn_to(*state_.view_asked);
    state_.view_asked.reset();
  }
  if (std::exchange(state_.cut_asked, false)) step_cut(state_.layers, stage_.scene().bounds);
  if (std::exchange(state_.frame_asked, false)) {
    const std::vector<std::string> things = editor_.highlighted();
    const bool is_finding = !editor_.selected_finding().empty();
    stage_.frame(things.empty() ? Framing::all
                 : is_finding   ? Framing::close
                                : Framing::seen,
                 things);
  }
  if (std::exchange(state_.chosen_asked, false)) {
    stage_.frame(Framing::close, editor_.highlighted());
  }
  if (std::exchange(state_.all_asked, false)) stage_.frame(Framing::all);
  follow_the_disk(context);
}

/// A thing that the pointer came to rest on in the last frame is highlighted from now on.
void App::follow_pointer() {
  const ImGuiIO& io = ImGui::GetIO();
  const bool rests = io.MouseDelta.x == 0.0F && io.MouseDelta.y == 0.0F;
  if (rests) state_.hovered = state_.pointed;
  state_.pointed.clear();
}

/// Letters that some text of the window has: those that were there stay.
void App::gather_letters() {
  if (editor_.text_revision() != letters_of_) {
    letters_of_ = editor_.text_revision();
    state_.letters += render::further_letters(editor_.text());
  }
  for (const unsigned code : window_.events().queue.last_frame().characters) {
    char utf8[5] = {};
    ImTextCharToUtf8(utf8, code);
    state_.letters += utf8;
  }
  if (state_.letters.empty()) return;
  letters_ = render::further_letters(letters_ + std::exchange(state_.letters, {}));
}

/// Read again what another program changed; where both changed, ask once.
void App::follow_the_disk(const PanelContext& context) {
  const editor::FileState file = editor_.file_state();
  if (file == editor::FileState::changed_there && !editor_.dragging()) {
    const std::string problem = editor_.reload();
    context.report(problem);
    if (problem.empty()) context.tell("Read again: the file was changed by another program.");
  }
  if (file != editor::FileState::changed_both) {
    state_.conflict_asked = false;
  } else if (!state_.conflict_asked && state_.dialog == Dialog::none && !editor_.dragging()) {
    state_.conflict_asked = true;
    state_.ask(Dialog::conflict);
  }
}

void App::draw_panels(const PanelContext& context) {
  const Layout& layout = context.layout;
  header_bar(context);
  index_bar(context);
  if (layout.wide) {
    findings_panel(context, layout.findings);
    travel_panel(context, layout.travel);
  }
  if (!listed(layout, state_.page)) state_.page = Page::plan;
  switch (state_.page) {
    case Page::findings:
      findings_panel(context, layout.page);
      break;
    case Page::travel:
      travel_panel(context, layout.page);
      break;
    case Page::plan:
      plan_panel(context, layout.page);
      break;
    case Page::section:
      section_panel(context, layout.page);
      break;
    case Page::lengths:
      lengths_panel(context, layout.page);
      break;
    case Page::compare:
      compare_panel(context, layout.page);
      break;
    case Page::curves:
      curves_panel(context, layout.page);
      break;
    case Page::hooks:
      hooks_panel(context, layout.page, hook_job_);
      break;
  }
  tour_strip(context, layout.strip);
}

StageView App::stage_view(const PanelContext& context, double ratio) const {
  const Area& area = context.layout.picture;
  StageView view;
  view.size = {static_cast<int>(std::lround(static_cast<double>(area.width) * ratio)),
               static_cast<int>(std::lround(static_cast<double>(area.height) * ratio))};
  view.scheme = context.scheme == Scheme::dark ? scene::Scheme::dark : scene::Scheme::light;
  view.scale = static_cast<double>(gui_.looks().scale);
  view.names = state_.show_names;
  view.handles = state_.show_handles;
  view.armed = state_.armed;
  view.em_px = static_cast<double>(context.em) * ratio;
  view.moving = editor_.dragging() || editor_.playing();
  view.hovered = state_.hovered;
  view.layers = state_.layers;
  view.maps = travel_job_.maps();
  if (state_.page == Page::hooks && state_.hook_map_shown) view.hooks = hook_job_.map();
  return view;
}

void App::frame() {
  const double now = Window::now();
  gather_letters();
  const WindowMeasures m = window_.measures();
  if (m.width < 1 || m.height < 1) return;
  const editor::Settings& settings = editor_.settings();
  const Looks looks{settings.scheme == editor::Scheme::dark ? Scheme::dark : Scheme::light,
                    settings.ui_scale > 0.0 ? static_cast<float>(settings.ui_scale) : m.scale,
                    letters_};
  gui_.begin_frame(window_, looks, state_.dialog != Dialog::none);
  pictures_.begin_frame();
  const ImGuiIO& io = ImGui::GetIO();
  const double ratio = static_cast<double>(io.DisplayFramebufferScale.x);
  PanelContext context{editor_, state_, gui_.palette(), gui_.fonts(), pictures_, looks.scheme};
  context.em = ImGui::GetFontSize();
  context.layout = lay_out(io.DisplaySize.x, io.DisplaySize.y, context.em, state_.page);
  context.now_s = now;
  follow_pointer();
  take_requests(context);
  draw_panels(context);
  if (!editor_.dragging()) {
    travel_job_.ask(editor_.model(), state_.layers.reach, state_.layers.blocked);
  }
  context.map_note = travel_job_.note(editor_.model(), state_.layers.blocked);
  stage_.update(editor_, stage_view(context, ratio), render::text_measure(gui_.fonts()));
  stage_panel(context, stage_, ratio);
  dialogs(context, dialogs_);
  run_pressed(context);
  clear_window(gui_.palette(), m);
  if (const Area& area = context.layout.picture; !area.empty() && editor_.model()) {
    const double from_below = static_cast<double>(io.DisplaySize.y - area.y - area.height);
    stage_.present(static_cast<int>(std::lround(static_cast<double>(area.x) * ratio)),
                   static_cast<int>(std::lround(from_below * ratio)));
  }
  gui_.end_frame();
  const std::string name =
      editor_.file().empty() ? std::string("unsaved plan") : editor_.file().filename().string();
  window_.set_title(editor_.text().empty()
                        ? "bight"
                        : name + (editor_.unsaved() ? " (edited)" : "") + " - bight");
  window_.swap();
}

void App::sleep() {
  const bool busy = frames_due_ > 0 || !window_.events().queue.empty() || editor_.playing() ||
                    pictures_.more_to_draw();
  if (busy) {
    window_.poll();
    return;
  }
  double most = works_ ? k_progress_s : k_idle_s;
  if (!state_.message.empty() && state_.message_until) {
    most = std::clamp(*state_.message_until - Window::now() + 0.01, 0.01, most);
  }
  window_.wait(most);
}

int App::frames_wanted() {
  WindowEvents& events = window_.events();
  const bool changed = editor_.poll(Window::now());
  const bool repaint = std::exchange(events.repaint, false);
  const bool message_ends =
      !state_.message.empty() && (!state_.message_until || Window::now() > *state_.message_until);
  const bool worked = std::exchange(works_, hook_job_.running() || travel_job_.running());
  if (changed || repaint || message_ends || worked != works_ || !events.dropped.empty() ||
      !events.queue.empty() || editor_.playing() || pictures_.more_to_draw()) {
    return k_settle_frames;
  }
  return works_ ? 1 : 0;
}

void App::run() {
  editor_.poll(Window::now());  // what the plan's check has found meanwhile
  frame();
  window_.show();
  editor_.finish_opening();
  while (!state_.quit) {
    sleep();
    frames_due_ = std::max(frames_due_, frames_wanted());
    if (frames_due_ == 0) continue;
    frame();
    --frames_due_;
    if (stage_.is_rough()) frames_due_ = std::max(frames_due_, 1);
  }
}

}  // namespace bight::view
