#include "study/suggest.h"

#include <algorithm>
#include <set>
#include <utility>

#include "base/parallel.h"
#include "study/suggest_candidate.h"
#include "study/suggest_screen.h"
#include "study/suggest_variant.h"

namespace bight::study {
namespace {

/// The same finding at another value is the same finding.
std::string identity(const Finding& finding) {
  std::string id = finding.check;
  for (const std::string& thing : finding.things) id += "\n" + thing;
  return id;
}

std::string with_name(const plan::Plan& plan, const std::string& base) {
  const auto taken = [&](const std::string& name) {
    return name == "base" || std::any_of(plan.options.begin(), plan.options.end(),
                                         [&](const plan::Option& o) { return o.name == name; });
  };
  std::string name = base + ", changed";
  for (int i = 2; taken(name); ++i) name = base + ", changed " + std::to_string(i);
  return name;
}

/// Replaces the value of a path, or adds it.
void put(std::vector<plan::PathValue>& overrides, const PlanChange& change) {
  for (plan::PathValue& o : overrides) {
    if (o.path != change.path) continue;
    o.value = change.value;
    return;
  }
  overrides.push_back({change.path, change.value});
}

void put(std::vector<PlanChange>& changes, const PlanChange& change) {
  for (PlanChange& c : changes) {
    if (c.path != change.path) continue;
    c.value = change.value;
    // What was said of an earlier step still holds: this one goes on from there.
    const bool goes_on = change.is_step && !c.what.empty();
    if (!change.what.empty()) c.what = goes_on ? c.what + "; then " + change.what : change.what;
    c.is_step = change.is_step;
    return;
  }
  changes.push_back(change);
}

void count_try(std::vector<std::pair<std::string, int>>& tried, const std::string& kind) {
  for (auto& [name, count] : tried) {
    if (name != kind) continue;
    ++count;
    return;
  }
  tried.emplace_back(kind, 1);
}

/// The search from one option.
class Search {
 public:
  Search(VariantSource source, const SuggestOptions& options, Suggestion& out)
      : source_(std::move(source)), options_(options), out_(out) {}

  /// False when the plan cannot be used.
  bool begin(const std::string& option) {
    Diagnostics diagnostics;
    auto draft =
        read_draft(source_, option == plan::k_base_option ? "" : option, cache_, diagnostics);
    if (!draft) {
      for (const Diagnostic& d : diagnostics.items()) {
        if (d.severity != bight::Severity::error) continue;
        out_.problem += (out_.problem.empty() ? "" : "\n") + to_text(d);
      }
      return false;
    }
    current_ = check(std::move(*draft));
    out_.before = current_.result;
    const std::string& base = out_.base;
    source_.name = with_name(current_.draft.plan, base);
    source_.about = "\"" + base + "\" with what its check found mended.";
    for (const plan::Option& o : current_.draft.plan.options) {
      if (o.name != option) continue;
      for (const plan::Override& set : o.set) overrides_.push_back({set.path, set.value});
    }
    return true;
  }

  void run() {
    std::set<std::string> given_up;
    for (int round = 0; round < options_.rounds && !is_cancelled(options_.study.progress);) {
      const Finding* worst = nullptr;  // findings are sorted, worst first
      for (const Finding& finding : current_.result.findings) {
        if (finding.severity == Severity::note || given_up.count(identity(finding)) > 0) continue;
        worst = &finding;
        break;
      }
      if (worst == nullptr) return;
      const std::string id = identity(*worst);
      if (improve(*worst)) {
        ++round;
        // What could not be mended may be now.
        given_up.clear();
      } else {
        given_up.insert(id);
      }
    }
  }

  const Variant& current() const { return current_; }
  const std::string& name() const { return source_.name; }
  const std::string& about() const { return source_.about; }

 private:
  /// The full check.
  Variant check(Draft draft) {
    Progress* progress = options_.study.progress;
    if (progress != nullptr) progress->add_total(1);
    Variant variant = checked(std::move(draft), options_.study);
    if (progress != nullptr) progress->step();
    ++out_.checks;
    return variant;
  }

  /// A candidate that was read and looked at.
  struct Tried {
    Candidate candidate;
    std::optional<Draft> draft;
    std::optional<Score> score;
  };

  /// Each on a thread of its own; none depends on another.
  void screen_all(std::vector<Tried>& batch, const Score& limit) {
    Progress* progress = options_.study.progress;
    if (progress != nullptr) progress->add_total(batch.size());
    for (Tried& tried : batch) {
      std::vector<plan::PathValue> overrides = overrides_;
      for (const PlanChange& change : tried.candidate.changes) put(overrides, change);
      tried.draft = make_draft(source_, overrides, cache_);
    }
    StudyOptions options = options_.study;
    if (batch.size() > 1) options.threads = 1;
    parallel_for(batch.size(), options_.study.threads, [&](std::size_t i) {
      Tried& tried = batch[i];
      if (tried.draft) {
        tried.score = screen(current_, *tried.draft, tried.candidate.changes, limit, options);
      }
      if (progress != nullptr) progress->step();
    });
  }

  /// The best candidate of one finding so far, checked in full.
  struct Best {
    Score wanted;  ///< what mends the finding and breaks nothing
    Score enough;  ///< with which no other is looked for
    Score score;
    std::optional<Variant> variant;
    Candidate candidate;
    bool does() const { return variant && score <= wanted; }
    bool is_enough() const { return variant && score <= enough; }
  };

  /// Of findings about one thing all may have one cause: then one change may mend them all. Those
  /// of hanging lines take longer to look at, and their candidates seldom do.
  Score enough_for(const Finding& finding, const Score& wanted) const {
    static const std::set<std::string> k_rigid = {
        "clearance", "clearance beyond travel", "crush gap", "reach", "switch", "gap in a run"};
    if (k_rigid.count(finding.check) == 0) return wanted;
    Score enough = wanted;
    for (const Finding& other : current_.result.findings) {
      if (&other == &finding || other.severity == Severity::note) continue;
      const bool shares =
          std::any_of(other.things.begin(), other.things.end(), [&](const std::string& thing) {
            return std::find(finding.things.begin(), finding.things.end(), thing) !=
                   finding.things.end();
          });
      if (!shares || identity(other) == identity(finding)) continue;
      --(other.severity == Severity::stop ? enough.stops : enough.acts);
    }
    return enough;
  }

  /// Looks at candidates in their order, as many at once as there are threads, until one does.
  void try_all(Candidates all, SuggestTrial& trial, Best& best) {
    std::vector<std::pair<std::string, int>> counts;
    const std::size_t at_once =
        options_.study.threads == 0 ? default_threads() : options_.study.threads;
    all = spread(std::move(all));
    for (std::size_t next = 0; next < all.size() && !best.is_enough();) {
      std::vector<Tried> batch;
      for (; next < all.size() && batch.size() < at_once; ++next) {
        batch.push_back({std::move(all[next]), {}, {}});
      }
      screen_all(batch, best.score);
      for (Tried& tried : batch) {
        if (is_cancelled(options_.study.progress)) return;
        if (best.is_enough()) break;  // as if it had not been looked at
        count_try(counts, tried.candidate.kind);
        ++out_.tried;
        if (!tried.score || !(*tried.score < best.score)) continue;
        Variant variant = check(std::move(*tried.draft));
        const Score score = score_of(variant.result.findings);
        if (variant.result.cancelled || !(score < best.score)) continue;
        best.variant = std::move(variant);
        best.score = score;
        best.candidate = std::move(tried.candidate);
      }
    }
    for (const auto& [kind, count] : counts) {
      trial.tried.push_back(std::to_string(count) + " x " + kind);
    }
  }

  /// Tries candidates on one finding; keeps the first that mends it and breaks nothing, else the
  /// best one.
  bool improve(const Finding& worst) {
    const Finding finding = worst;  // the result that it stands in is replaced
    SuggestTrial trial{finding.check, finding.what, false, {}};
    const plan::Plan& plan = current_.draft.plan;
    const Context context{plan, current_.draft.machine, options_.study,
                          plan.inches ? LengthUnit::inch : LengthUnit::mm};
    const Score before = score_of(current_.result.findings);
    Best best{before, {}, before, {}, {}};
    --(finding.severity == Severity::stop ? best.wanted.stops : best.wanted.acts);
    best.enough = enough_for(finding, best.wanted);
    {
      const Carriers carriers(context);
      for (const CandidateStage& stage :
           candidate_stages(context, current_.result, finding, carriers)) {
        if (best.does() || is_cancelled(options_.study.progress)) break;
        try_all(stage(), trial, best);
      }
    }
    trial.solved = best.variant.has_value();
    out_.trials.push_back(std::move(trial));
    if (!best.variant) return false;
    current_ = std::move(*best.variant);
    for (const PlanChange& change : best.candidate.changes) {
      put(overrides_, change);
      put(out_.changes, change);
    }
    return true;
  }

  /// At most `tries` candidates, the first of each kind among them.
  std::vector<Candidate> spread(std::vector<Candidate> all) const {
    if (all.size() <= options_.tries) return all;
    std::vector<std::size_t> rank(all.size());  // how many of its kind come before it
    for (std::size_t i = 0; i < all.size(); ++i) {
      for (std::size_t k = 0; k < i; ++k) rank[i] += all[k].kind == all[i].kind ? 1 : 0;
    }
    std::vector<std::size_t> order(all.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return rank[a] < rank[b]; });
    order.resize(options_.tries);
    std::sort(order.begin(), order.end());
    std::vector<Candidate> kept;
    kept.reserve(order.size());
    for (const std::size_t i : order) kept.push_back(std::move(all[i]));
    return kept;
  }

  VariantSource source_;
  const SuggestOptions& options_;
  Suggestion& out_;
  machine::MeshCache cache_;
  Variant current_;
  std::vector<plan::PathValue> overrides_;
};

}  // namespace

Suggestion suggest(std::string_view text, const std::string& file, const std::string& option,
                   const SuggestOptions& options) {
  Suggestion out;
  out.base = option.empty() ? "base" : option;
  Search search({text, file, {}, {}}, options, out);
  if (!search.begin(out.base)) {
    out.status = SuggestStatus::unusable;
    return out;
  }
  out.after = out.before;
  if (out.before.cancelled) {
    out.status = SuggestStatus::cancelled;
    return out;
  }
  if (out.before.verdict == Verdict::clear) {
    out.status = SuggestStatus::clear_already;
    return out;
  }
  search.run();
  if (is_cancelled(options.study.progress)) {
    out.status = SuggestStatus::cancelled;
    out.changes.clear();
    return out;
  }
  if (out.changes.empty()) return out;
  out.after = search.current().result;
  out.status = out.after.verdict == Verdict::clear ? SuggestStatus::clear : SuggestStatus::better;
  out.name = search.name();
  out.about = search.about();
  out.text = search.current().draft.text;
  return out;
}

}  // namespace bight::study
