#include "picture/pose_shapes.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "free/hanging.h"
#include "line/bend_limit.h"
#include "line/route.h"
#include "machine/limits.h"
#include "picture/pose_shapes_detail.h"
#include "study/festoon_loop.h"
#include "study/free_run.h"
#include "study/free_run_rod.h"
#include "study/line_stiffness.h"
#include "study/lookup.h"
#include "study/support_window.h"

namespace bight::picture {
namespace {

using pose_detail::PreparedChain;

/// A line that hangs: its rod, and the shape that the next one starts from.
struct HangingLine {
  const plan::Line* line = nullptr;
  const study::FreeRun* run = nullptr;
  double mass_kg_m = 0.0;
  double limit_mm = 0.0;   ///< of the centre line
  double radius_mm = 0.0;  ///< of the line
  Vec3 aside{0.0};         ///< lines of one run lie side by side
  study::FreeRunRod rod;
  study::RodShape last;
  std::vector<study::FreeRunRod> loops;  ///< of a festoon
};

/// A line clipped along points, with all joints at zero.
struct ClippedLine {
  LegShape shape;
  std::string body;
};

constexpr double k_longest_step_mm = 40.0;
constexpr int k_most_steps = 60;

/// Where the n-th of several lines of one way lies, so that they do not hide each other: side by
/// side along a plan axis across most of the way.
Vec3 side_of(const std::vector<Vec3>& points) {
  Vec3 run(0.0);
  for (std::size_t i = 1; i < points.size(); ++i) run += glm::abs(points[i] - points[i - 1]);
  Vec3 side(0.0);
  side[run.x <= run.y && run.x <= run.z ? 0 : (run.y <= run.z ? 1 : 2)] = 1.0;
  return side;
}

/// A long straight between two bends uses nothing of the limit: points just behind its ends keep
/// the bends' values from running along it.
void keep_straights_straight(LegShape& leg) {
  if (leg.use.size() < 3) return;
  constexpr double k_long_mm = 30.0;
  constexpr double k_end_mm = 4.0;
  std::vector<Vec3> points{leg.points.front()};
  std::vector<double> use;
  const auto is_long = [&](std::size_t i) {
    return glm::length(leg.points[i] - leg.points[i - 1]) > k_long_mm;
  };
  use.push_back(is_long(1) ? 0.0 : leg.use.front());
  for (std::size_t i = 1; i < leg.points.size(); ++i) {
    const bool last = i + 1 == leg.points.size();
    double own = leg.use[i];
    // Where an arc begins, half of its turn is on the straight's side.
    if (!last && is_long(i) != is_long(i + 1)) own = leg.use[is_long(i) ? i + 1 : i - 1];
    if (last && is_long(i)) own = 0.0;
    if (is_long(i)) {
      const Vec3 d = glm::normalize(leg.points[i] - leg.points[i - 1]);
      points.push_back(leg.points[i - 1] + k_end_mm * d);
      points.push_back(leg.points[i] - k_end_mm * d);
      use.insert(use.end(), {0.0, 0.0});
    }
    points.push_back(leg.points[i]);
    use.push_back(own);
  }
  leg.points = std::move(points);
  leg.use = std::move(use);
}

double diameter_of(const plan::Plan& plan, const plan::Line& line) {
  return study::by_name(plan.articles, line.article).outside_diameter;
}

/// Distance of each line's centre from the middle of all.
std::vector<double> spread(const plan::Plan& plan, const std::vector<const plan::Line*>& lines) {
  std::vector<double> centres;
  double x = 0.0;
  for (const plan::Line* line : lines) {
    const double d = diameter_of(plan, *line);
    centres.push_back(x + 0.5 * d);
    x += d;
  }
  for (double& c : centres) c -= 0.5 * x;
  return centres;
}

}  // namespace

struct PoseShapes::Lines {
  Lines(const plan::Plan& p, const machine::Machine& m)
      : plan(p),
        machine(m),
        context{plan, machine, options, LengthUnit::mm},
        home(machine::home_pose(m.joints)),
        runs(study::make_free_runs(context)) {
    for (const plan::Chain& chain : plan.chains) {
      if (chain.present) chains.push_back(pose_detail::prepare_chain(context, chain));
    }
    for (const study::FreeRun& run : runs) add_hanging(run);
    add_clipped();
  }

  void add_hanging(const study::FreeRun& run) {
    const study::RunWindow window = study::window_of(context, run);
    // A closed window may leave the line too short: then it is drawn straight.
    const std::vector<double> aside = spread(plan, run.lines);
    for (std::size_t i = 0; i < run.lines.size(); ++i) {
      const plan::Line& line = *run.lines[i];
      const plan::Article& article = study::by_name(plan.articles, line.article);
      const study::HangingRod rod{window.length_mm, article.mass,
                                  study::line_stiffness(article).value};
      hanging.push_back(
          {&line,
           &run,
           article.mass,
           line::bend_limit(article, line::BendUse::moving, plan.rules).centre_line_mm,
           0.5 * article.outside_diameter,
           aside[i] * Vec3(0.0, 1.0, 0.0),
           study::make_rod(run, rod, home),
           {},
           run.festoon != nullptr ? loops_of(run, rod) : std::vector<study::FreeRunRod>()});
    }
  }

  std::vector<study::FreeRunRod> loops_of(const study::FreeRun& run,
                                          const study::HangingRod& whole) const {
    const free::FestoonProblem row = study::festoon_problem(context, run, whole.length_mm);
    study::HangingRod rod = whole;
    rod.length_mm = row.loop_mm;
    std::vector<study::FreeRunRod> loops;
    for (int i = 0; i < row.loops; ++i) {
      loops.emplace_back(study::festoon_loop(run, row, i).anchors, rod, home);
    }
    return loops;
  }

  void add_clipped() {
    std::map<std::string, std::vector<const plan::Line*>> of_way;
    const auto key = [](const plan::Leg& leg) {
      std::string text = leg.body;
      for (const Vec3& p : leg.points) text += point_text(p, LengthUnit::mm);
      return text;
    };
    const auto each_leg = [&](const auto& body) {
      for (const plan::Line& line : plan.lines) {
        if (!line.present) continue;
        const plan::Run& run = study::by_name(plan.runs, line.run);
        for (std::size_t i = 0; i < run.legs.size(); ++i) {
          if (run.legs[i].way == plan::LegWay::fixed) body(line, run, i);
        }
      }
    };
    each_leg([&](const plan::Line& line, const plan::Run& run, std::size_t i) {
      of_way[key(run.legs[i])].push_back(&line);
    });
    each_leg([&](const plan::Line& line, const plan::Run& run, std::size_t i) {
      const plan::Leg& leg = run.legs[i];
      const auto& together = of_way[key(leg)];
      const auto place = static_cast<std::size_t>(
          std::find(together.begin(), together.end(), &line) - together.begin());
      const Vec3 aside = spread(plan, together)[place] * side_of(leg.points);
      const plan::Article& article = study::by_name(plan.articles, line.article);
      const double limit =
          line::bend_limit(article, line::BendUse::fixed, plan.rules).centre_line_mm;
      const line::RouteProblem problem{leg.points, leg.bend_radius, limit};
      ClippedLine clipped;
      clipped.body = leg.body;
      clipped.shape = {
          line.name, run.name, i + 1, plan::LegWay::fixed, {}, {}, 0.5 * article.outside_diameter,
          true};
      clipped.shape.points = line::route_polyline(problem, line::measure_route(problem));
      if (clipped.shape.points.empty()) clipped.shape.points = leg.points;
      clipped.shape.use = pose_detail::bend_use(clipped.shape.points, limit);
      keep_straights_straight(clipped.shape);
      for (Vec3& p : clipped.shape.points) p += aside;
      this->clipped.push_back(std::move(clipped));
    });
  }

  /// From home in steps, so that a stiff line comes to the shape that it has on the machine.
  void go_from_home(HangingLine& line, const std::vector<double>& pose) const {
    line.last = line.rod.on_lower_side(line.rod.solve_cold(home), home);
    double farthest = 0.0;
    for (std::size_t j = 0; j < pose.size(); ++j) {
      farthest = std::max(farthest, std::abs(pose[j] - home[j]));
    }
    const int steps =
        std::clamp(static_cast<int>(std::ceil(farthest / k_longest_step_mm)), 0, k_most_steps);
    for (int i = 1; i <= steps; ++i) {
      std::vector<double> between(pose.size());
      for (std::size_t j = 0; j < pose.size(); ++j) {
        between[j] = home[j] + (pose[j] - home[j]) * i / steps;
      }
      line.last = line.rod.solve_near(line.last, between);
      line.last = line.rod.on_lower_side(line.last, between);
    }
  }

  /// Loop after loop; straight from saddle to saddle where one has no shape.
  static void hang_loops(const HangingLine& line, const std::vector<double>& pose, LegShape& leg) {
    for (study::FreeRunRod loop : line.loops) {
      const study::RodShape shape = loop.solve_cold(pose);
      if (shape.converged()) {
        const std::vector<double> use = pose_detail::bend_use(shape.points, line.limit_mm);
        leg.points.insert(leg.points.end(), shape.points.begin(), shape.points.end());
        leg.use.insert(leg.use.end(), use.begin(), use.end());
        continue;
      }
      leg.solved = false;
      leg.points.push_back(free::start_at(loop.anchors(), pose));
      leg.points.push_back(free::end_at(loop.anchors(), pose));
      leg.use.insert(leg.use.end(), {0.0, 0.0});
    }
  }

  LegShape hang(const HangingLine& line, const std::vector<double>& pose) const {
    LegShape leg{line.line->name,
                 line.run->run->name,
                 line.run->leg + 1,
                 plan::LegWay::free,
                 {},
                 {},
                 line.radius_mm,
                 true};
    if (!line.loops.empty()) {
      hang_loops(line, pose, leg);
    } else if (line.last.converged()) {
      leg.points = line.last.points;
      leg.use = pose_detail::bend_use(leg.points, line.limit_mm);
    } else {
      leg.solved = false;
      constexpr int k_segments = 48;
      leg.points = free::hang_at(line.run->anchors, pose, line.rod.rod().length_mm, line.mass_kg_m,
                                 k_segments)
                       .points;
      if (leg.points.empty()) {
        leg.points = {free::start_at(line.run->anchors, pose),
                      free::end_at(line.run->anchors, pose)};
      }
    }
    for (Vec3& p : leg.points) p += line.aside;
    return leg;
  }

  PoseShape collect(const std::vector<double>& pose) {
    PoseShape result;
    result.pose = pose;
    for (const ClippedLine& one : clipped) {
      LegShape leg = one.shape;
      const Vec3 moved = machine::translation(machine.bodies[machine.body_index(one.body)], pose);
      for (Vec3& p : leg.points) p += moved;
      result.legs.push_back(std::move(leg));
    }
    for (const PreparedChain& chain : chains) {
      result.chains.push_back(pose_detail::chain_at(context, chain, pose));
      add_lines_in(chain, result.chains.back(), result.legs);
    }
    for (const HangingLine& line : hanging) result.legs.push_back(hang(line, pose));
    return result;
  }

  void add_lines_in(const PreparedChain& chain, const ChainPoseShape& shape,
                    std::vector<LegShape>& legs) const {
    for (std::size_t i = 0; i < chain.lines.size(); ++i) {
      const plan::Line& line = *chain.lines[i];
      const plan::Article& article = study::by_name(plan.articles, line.article);
      LegShape leg{
          line.name, line.run, 0, plan::LegWay::chain, {}, {}, 0.5 * article.outside_diameter,
          true};
      const auto& all = study::by_name(plan.runs, line.run).legs;
      for (std::size_t k = 0; k < all.size(); ++k) {
        if (all[k].way == plan::LegWay::chain && all[k].chain == shape.chain) leg.leg = k + 1;
      }
      leg.points = pose_detail::line_in_chain(chain, shape, i);
      if (leg.points.empty()) continue;
      leg.use = pose_detail::bend_use(
          leg.points, line::bend_limit(article, line::BendUse::moving, plan.rules).centre_line_mm);
      legs.push_back(std::move(leg));
    }
  }

  const plan::Plan& plan;
  const machine::Machine& machine;
  study::StudyOptions options;
  study::Context context;
  std::vector<double> home;
  std::vector<study::FreeRun> runs;  ///< pointed to by `hanging`
  std::vector<HangingLine> hanging;
  std::vector<ClippedLine> clipped;
  std::vector<PreparedChain> chains;
};

PoseShapes::PoseShapes(const plan::Plan& plan, const machine::Machine& machine)
    : lines_(std::make_unique<Lines>(plan, machine)) {}
PoseShapes::~PoseShapes() = default;
PoseShapes::PoseShapes(PoseShapes&&) noexcept = default;
PoseShapes& PoseShapes::operator=(PoseShapes&&) noexcept = default;

PoseShape PoseShapes::at(const std::vector<double>& pose) {
  for (HangingLine& line : lines_->hanging) lines_->go_from_home(line, pose);
  return lines_->collect(pose);
}

PoseShape PoseShapes::next(const std::vector<double>& pose) {
  for (HangingLine& line : lines_->hanging) {
    study::RodShape shape = line.last.converged() ? line.rod.solve(pose) : study::RodShape{};
    if (shape.converged()) {
      line.last = line.rod.on_lower_side(std::move(shape), pose);
    } else {
      lines_->go_from_home(line, pose);
    }
  }
  return lines_->collect(pose);
}

}  // namespace bight::picture
