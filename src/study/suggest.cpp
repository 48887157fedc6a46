#include "study/suggest.h"

#include <algorithm>
#include <set>
#include <utility>

#include "study/suggest_candidate.h"
#include "study/suggest_variant.h"

namespace bight::study {
namespace {

/// What is to become less: stops first, then findings to act on.
using Score = std::pair<std::size_t, std::size_t>;

Score score_of(const StudyResult& result) {
  Score score;
  for (const Finding& finding : result.findings) {
    score.first += finding.severity == Severity::stop ? 1 : 0;
    score.second += finding.severity == Severity::act ? 1 : 0;
  }
  return score;
}

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
    c = change;
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
    auto read = checked([&] {
      return read_variant(source_, option == "base" ? "" : option, cache_, options_.study,
                          diagnostics);
    });
    if (!read) {
      for (const Diagnostic& d : diagnostics.items()) {
        if (d.severity != bight::Severity::error) continue;
        out_.problem += (out_.problem.empty() ? "" : "\n") + to_text(d);
      }
      return false;
    }
    current_ = std::move(*read);
    out_.before = current_.result;
    const std::string& base = out_.base;
    source_.name = with_name(current_.plan, base);
    source_.about = "\"" + base + "\" with what its check found mended.";
    for (const plan::Option& o : current_.plan.options) {
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
  template <typename Make>
  std::optional<Variant> checked(const Make& make) {
    Progress* progress = options_.study.progress;
    if (progress != nullptr) progress->add_total(1);
    auto variant = make();
    if (progress != nullptr) progress->step();
    ++out_.checks;
    return variant;
  }

  /// Tries candidates on one finding; keeps the first that mends it and breaks nothing, else the
  /// best one.
  bool improve(const Finding& worst) {
    const Finding finding = worst;  // the result that it stands in is replaced
    SuggestTrial trial{finding.check, finding.what, false, {}};
    std::vector<std::pair<std::string, int>> tried;
    const Context context{current_.plan, current_.machine, options_.study,
                          current_.plan.inches ? LengthUnit::inch : LengthUnit::mm};
    const Score before = score_of(current_.result);
    Score wanted = before;
    --(finding.severity == Severity::stop ? wanted.first : wanted.second);
    std::optional<Variant> best;
    Score best_score = before;
    Candidate best_candidate;
    for (Candidate& candidate : spread(candidates_for(context, current_.result, finding))) {
      if (is_cancelled(options_.study.progress)) break;
      std::vector<plan::PathValue> overrides = overrides_;
      for (const PlanChange& change : candidate.changes) put(overrides, change);
      count_try(tried, candidate.kind);
      auto variant =
          checked([&] { return make_variant(source_, overrides, cache_, options_.study); });
      if (!variant || variant->result.cancelled) continue;
      const Score score = score_of(variant->result);
      if (!(score < best_score)) continue;
      best = std::move(variant);
      best_score = score;
      best_candidate = std::move(candidate);
      if (score <= wanted) break;
    }
    for (const auto& [kind, count] : tried) {
      trial.tried.push_back(std::to_string(count) + " x " + kind);
    }
    trial.solved = best.has_value();
    out_.trials.push_back(std::move(trial));
    if (!best) return false;
    current_ = std::move(*best);
    for (const PlanChange& change : best_candidate.changes) {
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
  out.text = search.current().text;
  return out;
}

}  // namespace bight::study
