#pragma once
// Map of places for a fixed hook, or for the post of a boom: where over a ceiling or wall a length
// of line exists that works at every pose of the travel, and with what margin. For `bight hooks`,
// the window and `bight suggest`.

#include <optional>
#include <string>
#include <vector>

#include "free/hook_map.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "study/free_run.h"
#include "study/study.h"

namespace bight::study {

struct HookMapOptions {
  std::string run;           ///< only this run; empty: all
  double coarse_mm = 250.0;  ///< cells to start with
  double fine_mm = 30.0;     ///< cells at the border of what works and around the best place
  /// A place works when the shortest and the longest length are this far apart: a tape overhead is
  /// read to 10 mm either way (common practice).
  double wanted_margin_mm = 20.0;
  /// Of places with at least this margin the one with the shortest line is best.
  double enough_margin_mm = 100.0;
  unsigned threads = 0;  ///< 0: the machine's; the result does not depend on it
};

/// The window of a place of the hold at one end of a free leg (`start`: where the leg begins): that
/// of the leg, for all of its lines, with the hold put there. Without `keep_above` it stays above
/// what stands still of the machine (its bed, stock and clamps). Where the hold has other free legs
/// among `runs`, the margin is that of the tightest of them. Whether the line comes near to
/// something is not in it: that is for the full check. Context and runs must outlive it.
free::WindowAt hold_window(const Context& context, const std::vector<FreeRun>& runs,
                           const FreeRun& run, bool start);

/// One hold of one free leg over one surface: hold_window() at its places.
struct HookMap {
  std::string run;
  std::size_t leg = 0;   ///< counts from 1
  std::string hold;      ///< hook, boom or anchor on the ground
  bool is_post = false;  ///< a boom's post
  std::string where;     ///< surface: "under ceiling"
  free::HookArea area;
  free::HookMap map;          ///< map.best: a place of map.places
  free::HookPlaceWindow now;  ///< where the hold is, also when it is not on the surface
  bool now_is_on_surface = false;
};

struct HookMaps {
  std::vector<HookMap> maps;  ///< in the order of the plan's runs, surface after surface
  std::string problem;        ///< why there is none: a sentence
  bool cancelled = false;
};

/// Maps every hook, boom and anchor that stands on the ground at one end of a free leg that a line
/// takes, over the surfaces of study/hook_surface.h. Progress counts places; a cancelled map holds
/// the passes that were finished.
HookMaps map_hooks(const plan::Plan& plan, const machine::Machine& machine,
                   const HookMapOptions& options = {}, Progress* progress = nullptr);

}  // namespace bight::study
