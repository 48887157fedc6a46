#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "chain/chain_shape_travel.h"
#include "chain/loop.h"
#include "cli/calc.h"
#include "cli/command.h"

namespace bight::cli {
namespace {

const char* status_text(chain::LoopStatus status) {
  switch (status) {
    case chain::LoopStatus::ok:
      return "ok";
    case chain::LoopStatus::too_short:
      return "too short";
    case chain::LoopStatus::no_room:
      return "no room";
    case chain::LoopStatus::invalid:
      break;
  }
  return "invalid";
}

nlohmann::ordered_json pose_json(const chain::LoopPose& pose) {
  return {{"bend_mm", pose.bend_mm},
          {"front_mm", pose.front_mm},
          {"fixed_run_mm", pose.fixed_run_mm},
          {"moving_run_mm", pose.moving_run_mm}};
}

/// Weight of the chain with its fill, and how far its stops let it bend back.
struct Weight {
  std::optional<double> mass_kg_per_m;
  std::optional<double> back_radius_mm;
};

/// Worst figures of the simulated chain over the travel.
struct Simulated {
  std::string problem;  ///< why there are none; empty when all poses are in balance
  double pull_N = 0.0;
  double sag_mm = 0.0;
  double floor_force_N = 0.0;
  std::size_t poses = 0;
};

/// The chain lying, its moving run above.
Simulated simulate(const chain::LoopProblem& loop, double length_mm, const Weight& weight) {
  const chain::ChainShapeProblem problem{.length_mm = length_mm,
                                         .bend_radius_mm = loop.bend_radius_mm,
                                         .back_radius_mm = weight.back_radius_mm,
                                         .pitch_mm = loop.pitch_mm,
                                         .outer_height_mm = loop.outer_height_mm,
                                         .moving = {0.0, 2.0 * loop.bend_radius_mm},
                                         .mass_kg_per_m = *weight.mass_kg_per_m};
  Simulated worst;
  const chain::ChainShapeTravel travel = chain::chain_shapes(
      problem, {loop.moving_mm[0] - loop.fixed_mm, loop.moving_mm[1] - loop.fixed_mm});
  worst.poses = travel.poses.size();
  for (const chain::ChainShapePose& pose : travel.poses) {
    if (!pose.shape.converged()) worst.problem = pose.shape.problem;
    worst.pull_N = std::max(worst.pull_N, pose.shape.pull_N);
    worst.sag_mm = std::max(worst.sag_mm, pose.shape.sag_mm);
    worst.floor_force_N = std::max(worst.floor_force_N, pose.shape.floor_force_N);
  }
  return worst;
}

/// What is wrong with what was given, or nothing.
std::string misfit(double travel_mm, const chain::LoopProblem& p) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0.0; };
  const auto not_negative = [](double v) { return std::isfinite(v) && v >= 0.0; };
  if (!positive(travel_mm)) return "--travel must be more than 0";
  if (!positive(p.bend_radius_mm)) return "--radius must be more than 0";
  if (!positive(p.pitch_mm)) return "--pitch must be more than 0";
  if (!std::isfinite(p.fixed_mm)) return "--fixed must be a number";
  if (!not_negative(p.end_straight_mm)) return "--end-straight must be 0 or more";
  if (!not_negative(p.outer_height_mm)) return "--outer-height must be 0 or more";
  if (p.links && *p.links < 1) return "--links must be 1 or more";
  if (!not_negative(p.room_mm.value_or(0.0))) return "--room must be 0 or more";
  if (!(p.pitch_mm < 2.0 * p.bend_radius_mm)) {
    return fmt::format(
        "--pitch must be less than twice the bend radius ({:.1f} mm): longer links "
        "cannot turn about it",
        2.0 * p.bend_radius_mm);
  }
  if (!(p.outer_height_mm < 2.0 * p.bend_radius_mm)) {
    return fmt::format(
        "--outer-height must be less than twice the bend radius ({:.1f} mm): the "
        "runs would run into each other",
        2.0 * p.bend_radius_mm);
  }
  return {};
}

int run(const chain::LoopProblem& problem, const Weight& weight, bool json) {
  const chain::LoopResult loop = chain::size_loop(problem);
  if (loop.status == chain::LoopStatus::invalid) {
    fmt::print(stderr, "bight: {}\n", loop.problem);
    return k_exit_bad_input;
  }
  std::optional<Simulated> simulated;
  if (weight.mass_kg_per_m) simulated = simulate(problem, loop.length_mm, weight);
  if (json) {
    nlohmann::ordered_json out = {{"status", status_text(loop.status)},
                                  {"links", loop.links},
                                  {"fewest_links", loop.fewest_links},
                                  {"length_mm", loop.length_mm},
                                  {"shortest_mm", loop.shortest_mm},
                                  {"loop_room_mm", loop.loop_room_mm},
                                  {"loop_room_pitch_mm", loop.loop_room_pitch_mm},
                                  {"height_mm", loop.height_mm},
                                  {"longest_straight_mm", loop.longest_straight_mm},
                                  {"longest_fixed_run_mm", loop.longest_fixed_run_mm},
                                  {"at_low", pose_json(loop.at_low)},
                                  {"at_high", pose_json(loop.at_high)}};
    if (simulated) {
      const bool known = simulated->problem.empty();
      const auto figure = [known](double value) {
        return known ? nlohmann::ordered_json(value) : nlohmann::ordered_json(nullptr);
      };
      out["shape"] = known ? "balanced" : simulated->problem;
      out["pull_N"] = figure(simulated->pull_N);
      out["sag_mm"] = figure(simulated->sag_mm);
      out["floor_force_N"] = figure(simulated->floor_force_N);
      out["poses"] = simulated->poses;
    }
    fmt::print("{}\n", out.dump(2));
  } else {
    if (!loop.problem.empty()) fmt::print("{}: {}\n", status_text(loop.status), loop.problem);
    fmt::print("links              {} ({:.1f} mm; the shortest that reaches is {:.1f} mm)\n",
               loop.links, loop.length_mm, loop.shortest_mm);
    const bool fixed_is_farther = problem.fixed_mm > problem.moving_mm[1];
    fmt::print("loop room          {:.1f} mm beyond the {}\n", loop.loop_room_mm,
               fixed_is_farther ? "fixed bracket, the farther one"
                                : "moving bracket at the end of its travel");
    fmt::print("height             {:.1f} mm over both runs\n", loop.height_mm);
    fmt::print("longest straight   {:.1f} mm\n", loop.longest_straight_mm);
    fmt::print("bend moves from    {:.1f} to {:.1f} mm\n", loop.at_low.bend_mm,
               loop.at_high.bend_mm);
    fmt::print("by formula (ideal rolling loop)\n");
    if (simulated && simulated->problem.empty()) {
      fmt::print("pull               {:.2f} N on the moving bracket\n", simulated->pull_N);
      fmt::print("sag                {:.1f} mm of the upper run\n", simulated->sag_mm);
      fmt::print("floor force        {:.2f} N where the bend leaves the tray\n",
                 simulated->floor_force_N);
      fmt::print("simulated lying on a tray, moving run above, worst of {} poses\n",
                 simulated->poses);
    } else if (simulated) {
      fmt::print("forces and sag     not known: {}\n", simulated->problem);
    }
  }
  return loop.status == chain::LoopStatus::ok ? k_exit_clear : k_exit_stop;
}

}  // namespace

void add_calc_chain(CLI::App& calc, int& exit_code) {
  struct Arguments {
    double travel_mm = 0.0;
    double fixed_mm = 0.0;
    chain::LoopProblem problem;
    Weight weight;
    bool json = false;
  };
  auto arguments = std::make_shared<Arguments>();
  chain::LoopProblem& p = arguments->problem;
  CLI::App* command = calc.add_subcommand("chain", "Links, room and height of a drag chain");
  command->add_option("--travel", arguments->travel_mm, "Travel of the moving bracket, mm")
      ->required();
  command->add_option("--radius", p.bend_radius_mm, "Bend radius at the pins, mm")->required();
  command->add_option("--pitch", p.pitch_mm, "Pitch of the links, mm")->required();
  command
      ->add_option("--fixed", arguments->fixed_mm,
                   "Fixed bracket off the middle of the travel, positive towards the bend, mm")
      ->capture_default_str();
  command
      ->add_option("--end-straight", p.end_straight_mm,
                   "Straight length wanted at each bracket, mm")
      ->capture_default_str();
  command->add_option("--outer-height", p.outer_height_mm, "Outer height of a link, mm")
      ->capture_default_str();
  command->add_option("--links", p.links, "Number of links; absent: the fewest that do");
  command->add_option("--room", p.room_mm, "What is free beyond the farther bracket, mm");
  CLI::Option* mass =
      command
          ->add_option("--mass", arguments->weight.mass_kg_per_m,
                       "Chain and fill, kg/m: adds pull, sag and floor force of the chain lying")
          ->check(CLI::PositiveNumber);
  command
      ->add_option("--back-radius", arguments->weight.back_radius_mm,
                   "Tightest bend against the folding direction, mm; absent: held straight")
      ->check(CLI::PositiveNumber)
      ->needs(mass);
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer("Example: bight calc chain --travel 800 --radius 60 --pitch 20");
  command->callback([arguments, &exit_code] {
    chain::LoopProblem& problem = arguments->problem;
    problem.fixed_mm = arguments->fixed_mm;
    if (const std::string wrong = misfit(arguments->travel_mm, problem); !wrong.empty()) {
      fmt::print(stderr, "bight: {}\n", wrong);
      exit_code = k_exit_bad_input;
      return;
    }
    problem.moving_mm = {-0.5 * arguments->travel_mm, 0.5 * arguments->travel_mm};
    exit_code = run(problem, arguments->weight, arguments->json);
  });
}

}  // namespace bight::cli
