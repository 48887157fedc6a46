#include <fmt/core.h>

#include <memory>
#include <nlohmann/json.hpp>

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

int run(const chain::LoopProblem& problem, bool json) {
  const chain::LoopResult loop = chain::size_loop(problem);
  if (loop.status == chain::LoopStatus::invalid) {
    fmt::print(stderr, "bight: {}\n", loop.problem);
    return k_exit_bad_input;
  }
  if (json) {
    const nlohmann::ordered_json out = {{"status", status_text(loop.status)},
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
    fmt::print("{}\n", out.dump(2));
  } else {
    if (!loop.problem.empty()) fmt::print("{}: {}\n", status_text(loop.status), loop.problem);
    fmt::print("links              {} ({:.1f} mm; the shortest that reaches is {:.1f} mm)\n",
               loop.links, loop.length_mm, loop.shortest_mm);
    fmt::print("loop room          {:.1f} mm beyond the moving bracket\n", loop.loop_room_mm);
    fmt::print("height             {:.1f} mm over both runs\n", loop.height_mm);
    fmt::print("longest straight   {:.1f} mm\n", loop.longest_straight_mm);
    fmt::print("bend moves from    {:.1f} to {:.1f} mm\n", loop.at_low.bend_mm,
               loop.at_high.bend_mm);
    fmt::print("by formula (ideal rolling loop)\n");
  }
  return loop.status == chain::LoopStatus::ok ? k_exit_clear : k_exit_stop;
}

}  // namespace

void add_calc_chain(CLI::App& calc, int& exit_code) {
  struct Arguments {
    double travel_mm = 0.0;
    double fixed_mm = 0.0;
    chain::LoopProblem problem;
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
  command->add_option("--room", p.room_mm, "What is free beyond the moving bracket, mm");
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer("Example: bight calc chain --travel 800 --radius 60 --pitch 20");
  command->callback([arguments, &exit_code] {
    chain::LoopProblem& problem = arguments->problem;
    problem.fixed_mm = arguments->fixed_mm;
    problem.moving_mm = {-0.5 * arguments->travel_mm, 0.5 * arguments->travel_mm};
    exit_code = run(problem, arguments->json);
  });
}

}  // namespace bight::cli
