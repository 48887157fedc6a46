#include "study/festoon_swing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <span>
#include <utility>

#include "study/festoon_loop.h"
#include "study/run_rod.h"

namespace bight::study {
namespace {

/// The loop that comes nearest, at rest.
struct Nearest {
  int loop = 0;
  LineApproach approach;
};
std::optional<Nearest> nearest_loop(const Context& context, const FreeRun& run,
                                    const free::FestoonProblem& row, const RunRod& line,
                                    const LoopApproach& at) {
  std::optional<Nearest> nearest;
  for (int i = 0; i < row.loops; ++i) {
    FreeRunRod rod(festoon_loop(run, row, i).anchors, line.rod, home_pose(context));
    RodShape shape = rod.solve_cold(at.pose);
    if (!shape.converged()) continue;
    const double distance = line_distance(at.target, at.pose, shape.points, row.loop_mm,
                                          line.article->outside_diameter);
    if (nearest && distance >= nearest->approach.distance_mm) continue;
    nearest = Nearest{i, {at.target, distance, at.pose, std::move(shape)}};
  }
  return nearest;
}

/// What cords do not prevent either has been told before, and is not told again.
void say_that_trolleys_are_free(std::vector<Finding>& findings) {
  for (Finding& finding : findings) {
    finding.what += ", its trolleys rolling free";
    if (!finding.advice.empty()) finding.advice = "tow the trolleys by cords, or " + finding.advice;
  }
}

void add_worse(SwingCheck more, SwingCheck& worst) {
  for (Finding& finding : more.findings) {
    const bool said =
        std::any_of(worst.findings.begin(), worst.findings.end(),
                    [&](const Finding& other) { return other.things == finding.things; });
    if (!said) worst.findings.push_back(std::move(finding));
  }
  worst.not_followed = worst.not_followed || more.not_followed;
  if (more.amplitude_mm <= worst.amplitude_mm) return;
  worst.amplitude_mm = more.amplitude_mm;
  worst.period_s = more.period_s;
  worst.pose = std::move(more.pose);
}

}  // namespace

FestoonSwing::FestoonSwing(const Context& context, const FreeRun& run,
                           const free::FestoonProblem& row)
    : row_ends_(run.anchors), row_(row), along_(*run.festoon->track) {
  // A rubber bumper gives 5 mm when a trolley with its share of the lines meets it at 1 m/s
  // (common practice, from memory).
  constexpr double k_speed_mm_s = 1000.0;
  constexpr double k_gives_mm = 5.0;
  constexpr double k_frequency = k_speed_mm_s / k_gives_mm;  // of the impact, 1/s
  constexpr double k_steps = 8.0;                            // in it
  const double mass = row.trolley_kg + row.mass_kg_m * row.loop_mm / 1000.0;
  bumper_ = {along_, row.pitch_stacked_mm - row.saddle_mm, mass * k_frequency * k_frequency,
             std::numbers::pi / k_frequency / k_steps};
  for (const RunRod& kind : rods_of(context, run, row.loop_mm)) {
    HangingRod all = kind.rod;
    all.mass_kg_m *= static_cast<double>(kind.lines);
    all.stiffness_Nm2 *= static_cast<double>(kind.lines);
    for (int i = 0; i < row.loops; ++i) {
      FreeRunRod rod(festoon_loop(run, row, i).anchors, all, home_pose(context));
      rods_.push_back({std::move(rod), all, false, {}, [length = row.loop_mm](const free::Pose&) {
                         return length;
                       }});
    }
  }
}

bool FestoonSwing::moved_by(std::size_t joint) const {
  const free::JointMotion& motion = row_ends_.joints[joint];
  return motion.start != Vec3(0.0) || motion.end != Vec3(0.0);
}

std::optional<rod::SwingStart> FestoonSwing::between(const free::Pose& before,
                                                     const free::Pose& after, std::size_t joint,
                                                     double sense) const {
  const std::optional<SwingRests> rests = swing_rests(rods_, before, after, joint);
  if (!rests) return {};
  const auto loops = static_cast<std::size_t>(row_.loops);
  const rod::EndRates rates{sense * row_ends_.joints[joint].start,
                            sense * row_ends_.joints[joint].end};
  rod::SwingStart start;
  for (std::size_t i = 0; i < rods_.size(); ++i) {
    const std::size_t loop = i % loops;
    rod::SwingLine line = swing_line(rods_[i], *rests, i, after);
    if (loop > 0) line.line.start_carrier = loop - 1;
    if (loop + 1 < loops) line.line.end_carrier = loop;
    if (i < loops) line.line.bumper = bumper_;  // one between two trolleys, however many lines
    line.rates = rates;
    start.lines.push_back(std::move(line));
  }
  const Vec3 half_saddle = 0.5 * row_.saddle_mm * along_;
  for (std::size_t i = 0; i + 1 < loops; ++i) {
    rod::SwingCarrier trolley;
    trolley.carrier.at = rests->after[i].back() + half_saddle;
    trolley.carrier.mass_kg = row_.trolley_kg;
    trolley.carrier.way = rod::Track{along_};
    trolley.before = rests->before[i].back() + half_saddle;
    trolley.rate = rates.start;  // of the track
    start.carriers.push_back(trolley);
  }
  return start;
}

double FestoonSwing::period_s(const free::Pose& pose) const {
  const double tow = glm::distance(free::start_at(row_ends_, pose), free::end_at(row_ends_, pose));
  constexpr double k_h = 1.0;  // mm of a loop
  const auto pull = [&](double more_mm) {
    const free::FestoonAt at = free::festoon_at(row_, tow + more_mm * row_.loops);
    return std::isfinite(at.pitch_mm) ? std::optional(at.pull_N) : std::nullopt;
  };
  // Where the loops are stacked or straight, to one side only.
  const std::optional<double> here = pull(0.0);
  const double less = pull(-k_h).value_or(here.value_or(0.0));
  const double more = pull(k_h).value_or(here.value_or(0.0));
  const double way = (pull(-k_h) ? k_h : 0.0) + (pull(k_h) ? k_h : 0.0);
  if (row_.loops < 2 || !here || !(more > less)) return 0.0;
  const double stiffness_N_m = 1000.0 * (more - less) / way;  // of a loop
  const double mass = row_.trolley_kg + 0.5 * row_.mass_kg_m * row_.loop_mm / 1000.0;
  // The slowest mode of equal masses between equal springs, both ends held (Rayleigh, The Theory of
  // Sound, section 120).
  const double omega =
      2.0 * std::sqrt(stiffness_N_m / mass) * std::sin(0.5 * std::numbers::pi / row_.loops);
  return 2.0 * std::numbers::pi / omega;
}

SwingCheck check_festoon_swing(const Context& context, const FreeRun& run,
                               const free::FestoonProblem& row,
                               const std::vector<LoopApproach>& approaches) {
  SwingCheck worst;
  const std::vector<RunRod> lines = rods_of(context, run, row.loop_mm);
  const auto thickest =
      std::max_element(lines.begin(), lines.end(), [](const auto& a, const auto& b) {
        return a.article->outside_diameter < b.article->outside_diameter;
      });
  const FestoonSwing system(context, run, row);
  for (auto line = lines.begin(); line != lines.end(); ++line) {
    // Each approach is of its own nearest loop.
    std::vector<Nearest> nearest;
    for (const LoopApproach& at : approaches) {
      std::optional<Nearest> loop = nearest_loop(context, run, row, *line, at);
      worst.not_followed = worst.not_followed || !loop;
      if (loop) nearest.push_back(std::move(*loop));
    }
    std::stable_sort(nearest.begin(), nearest.end(), [](const Nearest& a, const Nearest& b) {
      return a.approach.distance_mm < b.approach.distance_mm;
    });
    for (const SwingSystem* with :
         {static_cast<const SwingSystem*>(nullptr), static_cast<const SwingSystem*>(&system)}) {
      if (with != nullptr && (row.loops < 2 || line != thickest)) continue;
      // Free trolleys take long to follow: the nearest things only.
      constexpr std::size_t k_nearest = 3;
      const std::size_t count =
          with == nullptr ? nearest.size() : std::min(k_nearest, nearest.size());
      double reached_mm = 0.0;
      for (const Nearest& loop : std::span(nearest).first(count)) {
        if (&loop != &nearest.front() && is_too_far(loop.approach, reached_mm)) continue;
        SwingCheck swing =
            check_swing(context, festoon_loop(run, row, loop.loop), *line, {loop.approach}, with);
        reached_mm = std::max(reached_mm, swing.amplitude_mm);
        if (with != nullptr) say_that_trolleys_are_free(swing.findings);
        add_worse(std::move(swing), worst);
      }
    }
  }
  return worst;
}

}  // namespace bight::study
