#include <fmt/core.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "cli/calc.h"
#include "cli/command.h"
#include "rod/droop_test.h"

namespace bight::cli {
namespace {

constexpr double k_reading_mm = 5.0;  ///< a tip that trembles, read against a rule held beside it

const char* k_how =
    "Let the line stick out level from the edge of a table, held down up to the edge, and measure\n"
    "how far its tip droops below the edge. A line that keeps a set is turned over and measured\n"
    "again; take the mean of the two droops.\n";

const char* status_text(rod::DroopStatus status) {
  switch (status) {
    case rod::DroopStatus::solved:
      return "solved";
    case rod::DroopStatus::too_stiff:
      return "too stiff";
    case rod::DroopStatus::too_limp:
      return "too limp";
    case rod::DroopStatus::invalid:
      break;
  }
  return "invalid";
}

/// The stiffness when the droop were another; none where that droop says nothing.
std::optional<double> stiffness_at(rod::DroopTest test, double droop_mm) {
  test.droop_mm = droop_mm;
  const rod::DroopResult result = rod::stiffness_from_droop(test);
  if (result.status != rod::DroopStatus::solved) return std::nullopt;
  return result.stiffness_Nm2;
}

int run(const rod::DroopTest& test, bool json) {
  const rod::DroopResult result = rod::stiffness_from_droop(test);
  if (result.status == rod::DroopStatus::invalid) {
    fmt::print(stderr, "bight: overhang, droop and mass must be more than 0\n");
    return k_exit_bad_input;
  }
  const bool solved = result.status == rod::DroopStatus::solved;
  std::optional<double> low;
  std::optional<double> high;
  if (solved) {
    low = stiffness_at(test, test.droop_mm + k_reading_mm);
    high = stiffness_at(test, test.droop_mm - k_reading_mm);
  }
  if (json) {
    nlohmann::ordered_json out = {{"status", status_text(result.status)},
                                  {"reading_mm", k_reading_mm}};
    if (solved) {
      const auto value = [](const std::optional<double>& v) {
        return v ? nlohmann::ordered_json(*v) : nlohmann::ordered_json(nullptr);
      };
      out["stiffness_Nm2"] = result.stiffness_Nm2;
      out["stiffness_low_Nm2"] = value(low);
      out["stiffness_high_Nm2"] = value(high);
    }
    fmt::print("{}\n", out.dump(2));
    return solved ? k_exit_clear : k_exit_stop;
  }
  if (result.status == rod::DroopStatus::too_stiff) {
    fmt::print("droops too little to tell: let it stick out farther\n{}", k_how);
    return k_exit_stop;
  }
  if (result.status == rod::DroopStatus::too_limp) {
    fmt::print("just hangs down: let it stick out less\n{}", k_how);
    return k_exit_stop;
  }
  fmt::print("bending stiffness EI         {:.4g} N m^2\n", result.stiffness_Nm2);
  const auto text = [](const std::optional<double>& v, const char* none) {
    return v ? fmt::format("{:.4g}", *v) : std::string(none);
  };
  fmt::print("droop read {:.0f} mm wrong        {} to {} N m^2\n", k_reading_mm,
             text(low, "nothing"), text(high, "no bound"));
  fmt::print("{}", k_how);
  return k_exit_clear;
}

}  // namespace

void add_calc_droop(CLI::App& calc, int& exit_code) {
  struct Arguments {
    rod::DroopTest test;
    bool json = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      calc.add_subcommand("droop", "Bending stiffness of a line from how far it droops");
  command
      ->add_option("--overhang", arguments->test.overhang_mm,
                   "Length that sticks out level over the edge of a table, mm")
      ->required();
  command->add_option("--droop", arguments->test.droop_mm, "Height of the edge above the tip, mm")
      ->required();
  command->add_option("--mass", arguments->test.mass_kg_m, "Mass of the line, kg/m")->required();
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer("Example: bight calc droop --overhang 400 --droop 150 --mass 0.12");
  command->callback([arguments, &exit_code] { exit_code = run(arguments->test, arguments->json); });
}

}  // namespace bight::cli
