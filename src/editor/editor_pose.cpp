// Pose and tour, and selection.

#include <algorithm>
#include <cmath>

#include "editor/editor_state_detail.h"

namespace bight::editor {

// --- pose and tour ---------------------------------------------------------------------------

const std::vector<double>& Editor::pose() const {
  return state_->pose;
}

std::vector<JointValue> Editor::joints() const {
  std::vector<JointValue> joints;
  if (!state_->model) return joints;
  const auto& all = state_->model->machine.joints;
  for (std::size_t j = 0; j < all.size(); ++j) {
    joints.push_back({all[j].name, state_->pose[j], all[j].travel[0], all[j].travel[1]});
  }
  return joints;
}

void Editor::set_pose(const std::vector<double>& pose) {
  State& s = *state_;
  if (!s.model) return;
  s.pose = clamped_pose(s.model->machine, pose);
  s.playing = false;
  ++s.revision;
}

void Editor::set_joint(std::size_t joint, double value) {
  std::vector<double> pose = state_->pose;
  if (joint >= pose.size() || !std::isfinite(value)) return;
  pose[joint] = value;
  set_pose(pose);
}

void Editor::go_home() {
  set_pose({});
}

void Editor::go_corner(std::size_t corner) {
  std::vector<double> pose;
  for (const JointValue& joint : joints()) {
    const bool high = pose.size() < 8 * sizeof corner && (corner >> pose.size() & 1U) != 0U;
    pose.push_back(high ? joint.high : joint.low);
  }
  set_pose(pose);
}

const Tour& Editor::tour() const {
  return state_->tour;
}
bool Editor::playing() const {
  return state_->playing;
}

void Editor::play(bool on) {
  State& s = *state_;
  if (!s.model) return;
  if (on && s.tour_time >= s.tour.duration_s) s.tour_time = 0.0;
  s.playing = on;
  s.last_poll_s.reset();
  ++s.revision;
}

double Editor::tour_time() const {
  return state_->tour_time;
}

bool Editor::on_tour() const {
  const State& s = *state_;
  return s.model && s.pose == s.tour_pose();
}

void Editor::scrub(double time_s) {
  State& s = *state_;
  if (!s.model || !std::isfinite(time_s)) return;
  s.tour_time = std::clamp(time_s, 0.0, s.tour.duration_s);
  s.pose = s.tour_pose();
  ++s.revision;
}

std::vector<double> Editor::State::tour_pose() const {
  return clamped_pose(model->machine, pose_at(tour, tour_time));
}

bool Editor::State::play_on(double now_s) {
  const double passed = last_poll_s ? now_s - *last_poll_s : 0.0;
  last_poll_s = now_s;
  if (!playing || !model || !(passed > 0.0)) return false;
  tour_time = std::min(tour_time + passed * settings.tour_speed, tour.duration_s);
  pose = tour_pose();
  playing = tour_time < tour.duration_s;
  ++revision;
  return true;
}

const TourSeries& Editor::series() const {
  return state_->series;
}

Freshness Editor::series_freshness() const {
  const State& s = *state_;
  if (s.series.time_s.empty()) return Freshness::none;
  return s.series_revision == s.text_revision ? Freshness::current : Freshness::out_of_date;
}

// --- selection -------------------------------------------------------------------------------

void Editor::select(const std::string& element_path) {
  State& s = *state_;
  s.selected = plan::find_element(s.document, element_path) != nullptr ? element_path : "";
  s.selected_finding.clear();
  ++s.revision;
}

const std::string& Editor::selected() const {
  return state_->selected;
}

void Editor::select_thing(const std::string& name) {
  constexpr const char* k_tables[] = {"part", "chain", "support", "anchor", "line",
                                      "run",  "body",  "switch",  "joint",  "article"};
  for (const char* table : k_tables) {
    const std::string path = std::string(table) + "." + name;
    if (plan::find_element(state_->document, path) != nullptr) return select(path);
  }
  // What the frame makes is edited there.
  const bool made =
      state_->model != nullptr &&
      std::any_of(state_->model->machine.parts.begin(), state_->model->machine.parts.end(),
                  [&](const machine::PlacedPart& p) { return p.name == name; });
  select(made ? "frame" : "");
}

std::string Editor::selected_thing() const {
  const plan::Element* element = plan::find_element(state_->document, state_->selected);
  // A leg stands for its run, a place for its chain.
  while (element != nullptr && element->name.empty() && !element->parent.empty()) {
    element = plan::find_element(state_->document, element->parent);
  }
  return element == nullptr ? std::string() : element->name;
}

void Editor::select_finding(const std::string& id) {
  State& s = *state_;
  s.selected_finding = id;
  for (const study::Finding& finding : s.findings) {
    if (finding_id(finding) == id && !finding.pose.empty()) set_pose(finding.pose);
  }
  ++s.revision;
}

const std::string& Editor::selected_finding() const {
  return state_->selected_finding;
}

std::vector<std::string> Editor::highlighted() const {
  for (const study::Finding& finding : state_->findings) {
    if (!state_->selected_finding.empty() && finding_id(finding) == state_->selected_finding) {
      return finding.things;
    }
  }
  std::string thing = selected_thing();
  if (thing.empty()) return {};
  return {std::move(thing)};
}

void Editor::set_hidden(const std::string& thing, bool hidden) {
  if (hidden) {
    state_->hidden.insert(thing);
  } else {
    state_->hidden.erase(thing);
  }
  ++state_->revision;
}

const std::set<std::string>& Editor::hidden() const {
  return state_->hidden;
}

}  // namespace bight::editor
