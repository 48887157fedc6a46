#include "editor/series.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/parallel.h"
#include "clearance/query.h"
#include "study/free_run_rod.h"
#include "study/free_run_shapes.h"
#include "study/mover.h"
#include "study/run_rod.h"

namespace bight::editor {
namespace {

const double k_nan = std::numeric_limits<double>::quiet_NaN();

/// Two things that move against each other, and where both are there.
struct Pair {
  const study::Mover* a = nullptr;
  const study::Mover* b = nullptr;
  study::PairTravel travel;
};

std::vector<Pair> pairs_of(const study::Context& context, const std::vector<study::Mover>& movers) {
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < movers.size(); ++i) {
    for (std::size_t k = i + 1; k < movers.size(); ++k) {
      auto travel = study::pair_travel(context, movers[i], movers[k]);
      if (!travel || study::touching_by_design(context, movers[i], movers[k])) continue;
      pairs.push_back({&movers[i], &movers[k], std::move(*travel)});
    }
  }
  return pairs;
}

bool is_there(const Pair& pair, const std::vector<double>& pose) {
  for (std::size_t j = 0; j < pose.size(); ++j) {
    if (pose[j] < pair.travel.range[j][0] || pose[j] > pair.travel.range[j][1]) return false;
  }
  return true;
}

/// Smallest distance of all pairs at one pose. Each further pair is only asked whether it is
/// nearer.
void least_clearance(const std::vector<Pair>& pairs, const std::vector<double>& pose, double& value,
                     std::string& of) {
  double best = std::numeric_limits<double>::infinity();
  for (const Pair& pair : pairs) {
    if (!is_there(pair, pose)) continue;
    clearance::Travel travel = pair.travel.travel;
    for (std::size_t i = 0; i < travel.size(); ++i) {
      travel[i].lower = travel[i].upper = pose[pair.travel.joint[i]];
    }
    if (std::isfinite(best) &&
        clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, travel, best)) {
      continue;
    }
    const double here = clearance::query_clearance(*pair.a->solid, *pair.b->solid, travel).upper_mm;
    if (!(here < best)) continue;
    best = here;
    of = pair.a->owner + " - " + pair.b->owner;
  }
  value = std::isfinite(best) ? best : k_nan;
}

/// Slack, radius and pull of the tightest line of a free run, followed from sample to sample.
struct RunCurves {
  Series slack;
  Series radius;
  Series pull;
};

/// The name of the run, with its ends where more than one leg of it hangs free.
std::string name_of(const study::FreeRun& run) {
  const auto is_free = [](const plan::Leg& leg) { return leg.way == plan::LegWay::free; };
  if (std::ranges::count_if(run.run->legs, is_free) < 2) return run.run->name;
  return run.run->name + ", " + run.from.name + " to " + run.to.name;
}

RunCurves run_curves(const study::Context& context, const study::FreeRun& run,
                     const std::vector<std::vector<double>>& poses) {
  const study::RunWindow window = study::window_of(context, run);
  const std::string name = name_of(run);
  // At the farthest pose, where it is least, the slack must be the wanted share of the distance.
  const double wanted = run.run->legs[run.leg].slack_percent / 100.0 * window.farthest.distance_mm;
  RunCurves curves{{"slack, " + name, "mm", {}, {}, wanted, true, true},
                   {"smallest radius, " + name, "mm", {}, {}, 0.0, false, true},
                   {"pull, " + name, "N", {}, {}, 0.0, false, false}};
  for (Series* s : {&curves.slack, &curves.radius, &curves.pull}) {
    s->values.assign(poses.size(), k_nan);
  }
  const auto all_unknown = [&curves](const std::string& why) {
    for (Series* s : {&curves.slack, &curves.radius, &curves.pull}) s->unknown = why;
    return curves;
  };
  // The loops of a festoon and the end on a support that moves by itself are not where the anchors
  // are: no straight distance then.
  if (run.festoon != nullptr) return all_unknown("it hangs in loops");
  if (!window.open()) return all_unknown("no length works");
  const bool straight_ends = run.support == nullptr;
  if (!straight_ends) curves.slack.unknown = "its support moves";
  for (std::size_t i = 0; i < poses.size() && straight_ends; ++i) {
    const double straight =
        glm::length(free::end_at(run.anchors, poses[i]) - free::start_at(run.anchors, poses[i]));
    curves.slack.values[i] = window.length_mm - straight;
  }
  double least_margin = std::numeric_limits<double>::infinity();
  for (const study::RunRod& line : study::rods_of(context, run, window.length_mm)) {
    study::FreeRunRod rod = study::make_rod(run, line.rod, study::home_pose(context));
    std::vector<double> radius(poses.size(), k_nan);
    double smallest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < poses.size(); ++i) {
      if (is_cancelled(context.options.progress)) return curves;
      if (straight_ends && !(curves.slack.values[i] > 0.0)) continue;
      study::RodShape shape = rod.solve(poses[i]);
      if (!shape.converged()) shape = rod.solve_cold(poses[i]);
      if (!shape.converged()) continue;
      radius[i] = shape.radius_mm;
      smallest = std::min(smallest, shape.radius_mm);
      double& pull = curves.pull.values[i];
      // A stiff line in a short loop pushes everywhere: no pull.
      pull = std::max(std::isnan(pull) ? 0.0 : pull, shape.greatest_pull_N);
    }
    if (line.article->max_pull) {
      const double limit = *line.article->max_pull;
      curves.pull.limit = curves.pull.has_limit ? std::min(curves.pull.limit, limit) : limit;
      curves.pull.has_limit = true;
    }
    if (smallest - line.allowed_radius_mm < least_margin) {
      least_margin = smallest - line.allowed_radius_mm;
      curves.radius.values = std::move(radius);
      curves.radius.limit = line.allowed_radius_mm;
      curves.radius.has_limit = true;
    }
  }
  return curves;
}

}  // namespace

TourSeries tour_series(const Model& model, const Tour& tour, std::size_t samples,
                       Progress* progress, unsigned threads) {
  TourSeries result;
  const study::StudyOptions options{.threads = threads, .progress = progress};
  const study::Context context{model.plan, model.machine, options,
                               model.plan.inches ? LengthUnit::inch : LengthUnit::mm};
  for (std::size_t i = 0; i < samples; ++i) {
    const double share =
        samples > 1 ? static_cast<double>(i) / static_cast<double>(samples - 1) : 0;
    result.time_s.push_back(share * tour.duration_s);
  }
  for (const TourStop& stop : tour.stops) result.time_s.push_back(stop.time_s);
  std::sort(result.time_s.begin(), result.time_s.end());
  result.time_s.erase(std::unique(result.time_s.begin(), result.time_s.end()), result.time_s.end());
  std::vector<std::vector<double>> poses;
  for (const double time : result.time_s) poses.push_back(pose_at(tour, time));

  const std::vector<study::Mover> movers = study::make_movers(context);
  const std::vector<Pair> pairs = pairs_of(context, movers);
  const std::vector<study::FreeRun> runs = study::make_free_runs(context);
  if (progress != nullptr) progress->add_total(poses.size() + runs.size());
  Series clearance{"clearance", "mm", {}, {}, model.plan.rules.minimum_clearance, true, true};
  clearance.values.assign(poses.size(), k_nan);
  clearance.of.resize(poses.size());
  parallel_for(poses.size(), threads, [&](std::size_t i) {
    if (is_cancelled(progress)) return;
    least_clearance(pairs, poses[i], clearance.values[i], clearance.of[i]);
    if (progress != nullptr) progress->step();
  });
  result.series.push_back(std::move(clearance));
  std::vector<RunCurves> curves(runs.size());
  parallel_for(runs.size(), threads, [&](std::size_t i) {
    if (is_cancelled(progress)) return;
    curves[i] = run_curves(context, runs[i], poses);
    if (progress != nullptr) progress->step();
  });
  for (RunCurves& c : curves) {
    result.series.push_back(std::move(c.slack));
    result.series.push_back(std::move(c.radius));
    result.series.push_back(std::move(c.pull));
  }
  result.cancelled = is_cancelled(progress);
  return result;
}

}  // namespace bight::editor
