#pragma once
// The bench-top calculators of `bight calc`: they need no plan.

#include <CLI/CLI.hpp>

namespace bight::cli {

void add_calc_hang(CLI::App& calc, int& exit_code);
void add_calc_chain(CLI::App& calc, int& exit_code);
void add_calc_bundle(CLI::App& calc, int& exit_code);
void add_calc_drop(CLI::App& calc, int& exit_code);
void add_calc_droop(CLI::App& calc, int& exit_code);

}  // namespace bight::cli
