#include "cli/calc.h"
#include "cli/command.h"

namespace bight::cli {

void add_calc(CLI::App& app, int& exit_code) {
  CLI::App* calc = app.add_subcommand("calc", "Bench-top calculators that need no plan");
  calc->require_subcommand(1);
  calc->footer("Example: bight calc hang --dx 2000 --dz 0 --length 2200 --mass 0.1");
  add_calc_hang(*calc, exit_code);
  add_calc_chain(*calc, exit_code);
  add_calc_bundle(*calc, exit_code);
  add_calc_drop(*calc, exit_code);
  add_calc_droop(*calc, exit_code);
}

}  // namespace bight::cli
