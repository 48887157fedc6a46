#include <algorithm>
#include <utility>

#include "base/parallel.h"
#include "editor/editor_state_detail.h"

namespace bight::editor {
namespace {

constexpr std::size_t k_remedies = 3;
constexpr std::size_t k_remedy_tries = 12;
constexpr std::size_t k_series_samples = 240;

bool same_state(const WorkerState& a, const WorkerState& b) {
  return a.running == b.running && a.generation == b.generation && a.option == b.option &&
         a.share == b.share;
}

}  // namespace

const CheckedOption* Editor::State::checked_option(const std::string& name) const {
  const auto it = checked.find(name);
  return it == checked.end() ? nullptr : &it->second;
}

/// Everything that is not known of the text as it is, the chosen option first; in a brief opening
/// that alone.
void Editor::State::request_check() {
  if (!worker || drag) return;
  others_due = false;
  if (broken) {
    worker->cancel();
    return;
  }
  // The first picture has to be made meanwhile: one core is left for it.
  const unsigned threads =
      brief && options.threads == 0 ? std::max(2U, default_threads()) - 1U : options.threads;
  CheckRequest request{generation, text, file.string(), {}, threads, settings.unit};
  const auto wanted = [&](const std::string& name) {
    const CheckedOption* known = checked_option(name);
    return known == nullptr || !is_current(*known);
  };
  if (wanted(option)) request.options.push_back(option);
  for (const std::string& name : option_names()) {
    if (!brief && name != option && wanted(name)) request.options.push_back(name);
  }
  if (!request.options.empty()) worker->request(std::move(request));
  ++revision;
}

/// What the last full check found beyond what is known live: it stays in the list, out of date,
/// until the next full check.
void Editor::State::remember_background_only() {
  const CheckedOption* known = checked_option(option);
  if (known == nullptr || !is_current(*known) || !live || broken || drag) return;
  background_only.clear();
  background_option = option;
  for (const study::Finding& finding : known->study->findings) {
    const auto same = [&](const study::Finding& f) { return finding_id(f) == finding_id(finding); };
    if (std::none_of(live->findings.begin(), live->findings.end(), same)) {
      background_only.push_back(finding);
    }
  }
}

void Editor::State::update_findings() {
  const CheckedOption* known = checked_option(option);
  if (known != nullptr && is_current(*known)) {
    findings = known->study->findings;
  } else {
    findings = live ? live->findings : std::vector<study::Finding>{};
    if (background_option == option) {
      for (const study::Finding& old : background_only) {
        const auto same = [&](const study::Finding& f) { return finding_id(f) == finding_id(old); };
        if (std::none_of(findings.begin(), findings.end(), same)) findings.push_back(old);
      }
    }
    study::sort_by_severity(findings);
  }
}

bool Editor::State::take_results() {
  bool changed = false;
  if (worker) {
    for (CheckedOption& result : worker->take()) {
      if (result.generation < first_generation) continue;
      const bool chosen = result.option == option;
      CheckedOption& slot = checked[result.option];
      slot = std::move(result);
      changed = true;
      if (!chosen || !is_current(slot)) continue;
      remember_background_only();
      update_findings();
      if (!drag) renew_tour();
      if (others_due) request_check();
    }
    const WorkerState now = worker->state();
    changed = changed || !same_state(now, last_worker_state);
    last_worker_state = now;
  }
  if (auto found = remedy_task.take()) {
    remedies = std::move(*found);
    changed = true;
  }
  if (auto found = series_task.take()) {
    series = std::move(*found);
    series_revision = series_asked;
    changed = true;
  }
  if (changed) ++revision;
  return changed;
}

const std::shared_ptr<const LiveResult>& Editor::live() const {
  return state_->live;
}
OptionResult Editor::result() const {
  return result(state_->option);
}

OptionResult Editor::result(const std::string& option) const {
  const CheckedOption* known = state_->checked_option(option);
  if (known == nullptr) return {};
  return {state_->is_current(*known) ? Freshness::current : Freshness::out_of_date, *known};
}

study::Comparison Editor::comparison() const {
  std::vector<study::OptionFigures> figures;
  for (const std::string& name : state_->option_names()) {
    if (const CheckedOption* known = state_->checked_option(name)) {
      figures.push_back(*known->figures);
    }
  }
  return study::compare_options(std::move(figures));
}

Freshness Editor::comparison_freshness() const {
  Freshness all = Freshness::current;
  for (const std::string& name : state_->option_names()) {
    all = std::min(all, result(name).freshness);
  }
  return all;
}

WorkerState Editor::background() const {
  return state_->worker ? state_->worker->state() : WorkerState{};
}

void Editor::finish_opening() {
  State& s = *state_;
  if (!std::exchange(s.brief, false)) return;
  if (s.broken || !s.model) return;
  s.take_results();
  const CheckedOption* known = s.checked_option(s.option);
  if (known != nullptr && s.is_current(*known)) {
    s.request_check();
  } else {
    s.others_due = true;  // the check that runs goes on
  }
  s.look_live();
  s.remember_background_only();
  s.update_findings();
  ++s.revision;
}

void Editor::cancel_background() {
  if (state_->worker) state_->worker->cancel();
  ++state_->revision;
}

void Editor::check_again() {
  ++state_->generation;
  state_->update_findings();
  state_->request_check();
}

const std::vector<study::Finding>& Editor::findings() const {
  return state_->findings;
}

Freshness Editor::findings_freshness() const {
  const Freshness full = result().freshness;
  if (full == Freshness::current) return full;
  return state_->live ? Freshness::out_of_date : Freshness::none;
}

std::string Editor::look_for_remedies(const std::string& finding_id_wanted) {
  State& s = *state_;
  if (s.broken || !s.model) return "the plan has errors";
  s.remedies = {};
  s.remedies.finding = finding_id_wanted;
  s.remedies_revision = s.text_revision;
  s.remedy_task.start([text = s.text, file = s.file.string(), option = s.option, finding_id_wanted,
                       unit = s.settings.unit](Progress& progress) {
    return find_remedies(text, file, option, finding_id_wanted, k_remedies, k_remedy_tries,
                         &progress, unit);
  });
  ++s.revision;
  return {};
}

bool Editor::looking_for_remedies() const {
  return state_->remedy_task.busy();
}
const Remedies& Editor::remedies() const {
  return state_->remedies;
}

std::string Editor::apply_remedy(std::size_t index) {
  State& s = *state_;
  if (index >= s.remedies.remedies.size()) return "there is no such remedy";
  if (s.remedies_revision != s.text_revision) {
    return "the plan changed since this was checked: look again";
  }
  return apply(remedy_edit(s.remedies.remedies[index]));
}

/// A tour through the plan as it is, and its figures in the background.
void Editor::State::renew_tour() {
  if (!model) return;
  const CheckedOption* known = checked_option(option);
  const bool current = known != nullptr && is_current(*known);
  const LengthUnit unit =
      settings.unit.value_or(document.inches ? LengthUnit::inch : LengthUnit::mm);
  tour = make_tour(model->machine, current ? known->study.get() : nullptr, unit);
  tour_time = std::min(tour_time, tour.duration_s);
  // With the full check done the tour is complete; before that its figures are not worth the time.
  if (!current || !options.background) return;
  series_asked = text_revision;
  series_task.start([shared = model, tour_copy = tour, threads = options.threads](Progress& p) {
    return tour_series(*shared, tour_copy, k_series_samples, &p, threads);
  });
}

}  // namespace bight::editor
