#pragma once
// All options of a plan side by side: the margin of every check, what each option costs, moves,
// pulls at the head, asks for in drilling and leaves unproved; ranked by a stated rule. For `bight
// compare` and the window.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "machine/machine.h"
#include "plan/plan.h"
#include "study/study.h"

namespace bight::study {

/// Holes to drill for one piece (common practice: a screw a clip, a screw hook, two screws in the
/// plate of an anchor and in each bracket of a chain).
inline constexpr std::size_t k_holes_per_clip = 1;
inline constexpr std::size_t k_holes_per_support = 1;
inline constexpr std::size_t k_holes_per_anchor = 2;
inline constexpr std::size_t k_holes_per_bracket = 2;

/// mm above the floor up to which a person works without a ladder (common practice).
inline constexpr double k_standing_reach_mm = 2000.0;

/// How far the worst thing of one check is from its limit.
struct Margin {
  std::string check;  ///< as in Finding::check, also "line pull", "room in chain"
  std::string what;   ///< the thing that has it
  double value = 0.0;
  double limit = 0.0;
  double margin = 0.0;  ///< in `unit`, positive to the good side; -infinity: no value is good
  std::string unit;
};

/// What has to be put up; pieces that several lines share count once.
struct Mounting {
  std::size_t clips = 0;     ///< of clipped legs, at [rules] clip_spacing and at both ends
  std::size_t supports = 0;  ///< hooks that free legs hang on
  std::size_t anchors = 0;
  std::size_t brackets = 0;                ///< of chains, two each
  std::size_t holes = 0;                   ///< by the constants above
  std::optional<std::size_t> from_ladder;  ///< supports and anchors on the ground above a person's
                                           ///< reach; absent: no [frame] says where the floor is
};

/// How the tool comes off: lines that end at its body.
struct ToolRemoval {
  std::vector<std::string> pulled_off;  ///< lines with a plug there
  std::vector<std::string> unthreaded;  ///< the others
  double minutes = 0.0;                 ///< to take those out and put them back, [rules]
};

/// One option. Masses count what moves: a leg clipped to a moving body in full, a chain or a free
/// leg by half with each end that moves (common practice).
struct OptionFigures {
  std::string option;
  std::string about;
  Verdict verdict = Verdict::clear;
  std::vector<std::string> stops;  ///< sentences of the findings
  std::vector<std::string> acts;
  std::vector<Margin> margins;  ///< the worst of each check that has one, in a fixed order
  double buy_mm = 0.0;          ///< line to buy
  std::optional<double> price;  ///< of it; absent when an article has none
  double moving_kg = 0.0;       ///< lines and chains
  double head_pull_N = 0.0;     ///< on the tool's body: sum of the greatest pulls of its free lines
  ToolRemoval removal;
  Mounting mounting;
  std::vector<std::string> sampled;  ///< what was looked at in samples only
};

OptionFigures option_figures(const plan::Plan& plan, const machine::Machine& machine,
                             const StudyResult& result);

struct Comparison {
  std::vector<OptionFigures> options;  ///< best first
  std::string rule;                    ///< of the ranking, for the reader
};

/// Ranks by verdict, number of stops, number of findings to act on, price (unknown last), moving
/// mass; equal options keep their order. So an option with a stop never ranks above one without.
Comparison compare_options(std::vector<OptionFigures> options);

}  // namespace bight::study
