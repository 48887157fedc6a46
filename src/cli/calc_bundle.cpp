#include <fmt/core.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "cli/calc.h"
#include "cli/command.h"
#include "line/bundle.h"

namespace bight::cli {
namespace {

int run(const std::vector<double>& diameters, bool json) {
  const line::BundleResult bundle = line::pack_bundle(diameters);
  if (bundle.status != line::BundleStatus::ok) {
    fmt::print(stderr, "bight: each diameter must be a number above 0\n");
    return k_exit_bad_input;
  }
  if (json) {
    nlohmann::ordered_json centres = nlohmann::ordered_json::array();
    for (const Vec2& c : bundle.centres_mm) centres.push_back({c.x, c.y});
    const nlohmann::ordered_json out = {{"diameter_mm", bundle.diameter_mm},
                                        {"lower_bound_mm", bundle.lower_bound_mm},
                                        {"centres_mm", std::move(centres)}};
    fmt::print("{}\n", out.dump(2));
    return k_exit_clear;
  }
  fmt::print("bundle of {} lines: {:.2f} mm across\n", diameters.size(), bundle.diameter_mm);
  for (std::size_t i = 0; i < diameters.size(); ++i) {
    fmt::print("  {:6.2f} mm at ({:.2f}, {:.2f}) mm\n", diameters[i], bundle.centres_mm[i].x,
               bundle.centres_mm[i].y);
  }
  fmt::print("the best arrangement found; none is thinner than {:.2f} mm\n", bundle.lower_bound_mm);
  return k_exit_clear;
}

}  // namespace

void add_calc_bundle(CLI::App& calc, int& exit_code) {
  struct Arguments {
    std::vector<double> diameters;
    bool json = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command = calc.add_subcommand("bundle", "How thick a bundle of cables and hoses is");
  command->add_option("diameters", arguments->diameters, "Outside diameters, mm")->required();
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer("Example: bight calc bundle 10 8 6 6 5");
  command->callback(
      [arguments, &exit_code] { exit_code = run(arguments->diameters, arguments->json); });
}

}  // namespace bight::cli
