#include <fmt/core.h>

#include <map>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/calc.h"
#include "cli/command.h"
#include "line/electrical.h"

namespace bight::cli {
namespace {

int run(const line::DropProblem& problem, bool json) {
  const line::DropResult drop = line::voltage_drop(problem);
  if (drop.status != line::DropStatus::ok) {
    fmt::print(stderr, "bight: {}\n", drop.problem);
    return k_exit_bad_input;
  }
  if (json) {
    const nlohmann::ordered_json out = {{"drop_V", drop.drop_V},
                                        {"drop_percent", drop.drop_percent},
                                        {"loop_ohm", drop.loop_ohm},
                                        {"loss_W", drop.loss_W},
                                        {"resistance_mohm_per_m", drop.resistance_mohm_per_m}};
    fmt::print("{}\n", out.dump(2));
    return k_exit_clear;
  }
  fmt::print("voltage drop    {:.3f} V, {:.2f} %\n", drop.drop_V, drop.drop_percent);
  fmt::print("loss            {:.2f} W\n", drop.loss_W);
  fmt::print("loop resistance {:.4f} ohm at {:.0f} deg C, power off\n", drop.loop_ohm,
             problem.metering_temperature_C);
  fmt::print("by formula, conductors of IEC 60228 class 5\n");
  fmt::print("Mains wiring only by those licensed for it and by the local code.\n");
  return k_exit_clear;
}

}  // namespace

void add_calc_drop(CLI::App& calc, int& exit_code) {
  struct Arguments {
    line::DropProblem problem;
    double length_mm = 0.0;
    bool json = false;
  };
  using System = plan::Circuit::System;
  auto arguments = std::make_shared<Arguments>();
  line::DropProblem& p = arguments->problem;
  CLI::App* command = calc.add_subcommand("drop", "Voltage drop and loop resistance of a line");
  command->add_option("--system", p.system, "Kind of supply")
      ->transform(CLI::CheckedTransformer(
          std::map<std::string, System>{{"dc", System::dc},
                                        {"single phase", System::single_phase},
                                        {"three phase", System::three_phase}},
          CLI::ignore_space))
      ->type_name("dc|\"single phase\"|\"three phase\"");
  command->add_option("--voltage", p.voltage_V, "V; between conductors")->required();
  command->add_option("--current", p.current_A, "A")->required();
  command->add_option("--length", arguments->length_mm, "One way, mm")->required();
  command->add_option("--area", p.area_mm2, "Cross-section of a conductor, mm^2")->required();
  command->add_flag("--tinned", p.metal_coated, "Metal-coated strands");
  command->add_option("--temperature", p.temperature_C, "Of the conductor under load, deg C")
      ->capture_default_str();
  command->add_option("--power-factor", p.power_factor, "cos phi")->capture_default_str();
  command->add_option("--reactance", p.reactance_mohm_per_m, "mohm/m")->capture_default_str();
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer(
      "Example: bight calc drop --voltage 230 --current 9.6 --length 12000 --area 1.5 "
      "--temperature "
      "20 --reactance 0");
  command->callback([arguments, &exit_code] {
    arguments->problem.length_m = arguments->length_mm / 1000.0;
    exit_code = run(arguments->problem, arguments->json);
  });
}

}  // namespace bight::cli
