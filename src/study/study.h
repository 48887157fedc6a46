#pragma once
// The study of a plan: every check on one machine, in parallel, as plain data. Window, report and
// command line all draw on this result and compute nothing of their own.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "base/progress.h"
#include "base/units.h"
#include "chain/fill.h"
#include "chain/loop.h"
#include "clearance/travel.h"
#include "line/cut_length.h"
#include "line/electrical.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "study/finding.h"

namespace bight::study {

/// clear: no finding asks for anything; act: something has to be changed or watched; stop: do not
/// build it so.
enum class Verdict { clear, act, stop };

const char* to_text(Verdict verdict);

/// Smallest distance of two things that move against each other, over the whole travel.
struct ClearancePair {
  std::string a;  ///< part, or a chain with the piece that comes nearest
  std::string b;
  double lower_mm = 0.0;  ///< proved
  double upper_mm = 0.0;  ///< attained at `pose`
  double wanted_mm = 0.0;
  std::vector<double> pose;  ///< one value a joint of the machine
  Vec3 point_a{0.0};         ///< in the frame of the plan, at the pose
  Vec3 point_b{0.0};
};

/// A pair that is not checked because the plan says that it touches.
struct TouchingPair {
  std::string a;
  std::string b;
  std::string why;
};

/// How much of the travel is free of contact; volume in joint space, bounds.
struct ReachFigures {
  double volume_mm3 = 0.0;  ///< product of all travels (mm per joint)
  double volume_lower_mm3 = 0.0;
  double volume_upper_mm3 = 0.0;
  double share_lower = 0.0;
  double share_upper = 0.0;
};

struct LegFigures {
  std::string what;  ///< "clipped to gantry", "chain X chain", "free from hook to head"
  double length_mm = 0.0;
  bool works = true;  ///< false: it hangs free and no length of it works, so this one neither
};

/// What to cut and to buy for one line. Nothing to cut while a leg of it does not work.
struct LineFigures {
  std::string name;
  std::string article;
  std::vector<LegFigures> legs;
  double net_mm = 0.0;  ///< legs, service loop and terminations
  double cut_mm = 0.0;  ///< with the spare percentage
  double buy_mm = 0.0;  ///< rounded up to the purchase step
  std::optional<double> price;
  std::optional<line::DropResult> drop;
};

/// The shape of a chain under its own weight, worst over the sampled poses of its joint. Numbers
/// mean something where `poses` > 0, forces where `has_forces`.
struct ChainShapeFigures {
  std::string remark;           ///< why some or all of it was not simulated; empty when all was
  std::size_t poses = 0;        ///< with a shape
  double step_mm = 0.0;         ///< of the joint, largest between neighbouring poses
  bool settled = false;         ///< no figure is in doubt between two poses, all have a shape
  double sag_mm = 0.0;          ///< of the upper run below the straight line
  bool sag_is_assumed = false;  ///< back_bend_radius is not given: its stops hold a run straight
  double gap_mm = 0.0;          ///< least height of the upper run's pitch line over the lower one
  double on_itself_mm = 0.0;    ///< longest stretch of the upper run that lies on the lower one
  double loop_room_mm = 0.0;    ///< outside of the links beyond the brackets
  double strays_mm = 0.0;       ///< from the ideal loop
  double smallest_radius_mm = 0.0;
  bool has_forces = false;          ///< false for a chain on its side
  double pull_N = 0.0;              ///< on the moving bracket, along the joint
  double bracket_moment_Nmm = 0.0;  ///< on either bracket
  double floor_force_N = 0.0;       ///< of the tray where the bend leaves it
  /// By how much sag and room, and forces on brackets, may be off; 0: exact (chain/chain_shape.h).
  double error_mm = 0.0;
  double error_N = 0.0;
};

/// What is near to a chain that has no ideal loop (its brackets stand farther apart than 2 R). A
/// chain that has one is among the clearances.
struct ChainNearFigures {
  std::size_t proved_clear = 0;  ///< things that its links cannot come near to whatever they do
  std::size_t sampled = 0;       ///< held against its simulated shapes
  std::string clearance_to;      ///< nearest of these; empty: none, or no shape is known
  double clearance_mm = 0.0;     ///< 0: hits it
  double clearance_wanted_mm = 0.0;
  std::vector<double> clearance_pose;
  std::size_t poses = 0;  ///< at which its links were held against that
  double step_mm = 0.0;   ///< of a joint, largest between neighbours
  bool settled = true;    ///< of none of the sampled the wanted clearance could be lost in between
};

struct ChainFigures {
  std::string name;
  chain::LoopResult loop;
  double bend_radius_mm = 0.0;
  /// Longest straight run that nothing carries: of the upper run, of either one of a chain on its
  /// side. Absent: its runs stand, or it has no loop.
  std::optional<double> unsupported_mm;
  std::optional<double> allowed_straight_mm;
  chain::FillResult fill;
  std::vector<std::string> line_names;  ///< of fill.lines, in order
  std::vector<double> line_diameters_mm;
  std::optional<ChainShapeFigures> shape;  ///< absent: the chain has no weight or no loop
  std::optional<ChainNearFigures> near;    ///< only of a chain without an ideal loop
};

struct FreeRunFigures {
  std::string run;
  std::size_t leg = 0;  ///< counts from 1
  std::string from;
  std::string to;
  double farthest_mm = 0.0;  ///< straight distance of the anchors; less than nearest: not known
  std::vector<double> farthest_pose;
  double nearest_mm = 0.0;
  std::vector<double> nearest_pose;
  /// False on a support that rests where its lines put it: the distances are sampled.
  bool distances_are_proved = true;
  double min_mm = 0.0;  ///< window of length; min > max: no length works
  double max_mm = 0.0;  ///< may be infinite
  std::string min_reason;
  std::string max_reason;
  /// At which the window was sampled, on a support that rests where its lines put it; 0: none were.
  std::size_t window_poses = 0;
  double window_step_mm = 0.0;
  double length_mm = 0.0;  ///< given, or chosen from the window
  bool length_given = false;
  /// Z of the lowest point: of the lines with their stiffness, sampled, or (where no length works)
  /// the Z below which a limp line never hangs, proved. Negative infinity: not known.
  double lowest_mm = 0.0;
  std::vector<double> lowest_pose;
  bool lowest_is_sampled = false;
  double greatest_pull_N = 0.0;   ///< tension of one line at standstill
  double pull_start_N = 0.0;      ///< greatest force of one line on its first end; sampled
  double pull_end_N = 0.0;        ///< and on its last
  double moment_start_Nmm = 0.0;  ///< greatest at a clamp
  double moment_end_Nmm = 0.0;
  std::string bend_line;           ///< line that bends tightest against its limit; empty: none
  double radius_mm = 0.0;          ///< its smallest radius (centre line), sampled
  double radius_at_mm = 0.0;       ///< where, from its start
  double allowed_radius_mm = 0.0;  ///< centre line
  std::vector<double> radius_pose;
  double stiffness_Nm2 = 0.0;       ///< of that line
  bool stiffness_measured = false;  ///< else estimated from diameter and kind
  std::size_t shape_poses = 0;      ///< at which the shapes were solved, all kinds of lines
  double shape_step_mm = 0.0;
  std::size_t not_converged = 0;  ///< of them without a stable shape
  double swing_mm = 0.0;          ///< left after a rapid move where it is near to something
  double swing_period_s = 0.0;
  std::vector<double> swing_pose;
  std::string swing_left_out;    ///< why the swing was not computed; empty: it was, or is not known
  std::size_t proved_clear = 0;  ///< parts, pieces of chains, raised chains that it cannot reach
  std::string clearance_to;      ///< nearest of the others; empty when there are none
  double clearance_mm = 0.0;     ///< of the line's surface to it; 0: touches
  double clearance_wanted_mm = 0.0;
  std::vector<double> clearance_pose;
  Certainty clearance_certainty = Certainty::proved;
  std::size_t poses = 0;  ///< sampled
  double step_mm = 0.0;   ///< the largest; smaller where a margin is small or changes fast
  /// Between the poses no margin is seen to run out, by interpolation. False: poses ran out first,
  /// the line jumps or has no shape at some. Empty: not looked at.
  std::optional<bool> settled;
};

/// An overhead support over the travel. The coordinate of one that rests where its lines put it: mm
/// along the track, degrees of a boom, mm of line beyond a pulley or retractor, mm that a cord is
/// stretched, mm between the trolleys of a festoon.
struct SupportFigures {
  std::string name;
  std::string kind;     ///< "hook", "trolley", ...
  double load_N = 0.0;  ///< of all lines at one pose; of a hook the sum of their greatest pulls
  std::vector<double> load_pose;
  std::optional<double> max_load_N;
  bool moves = false;  ///< false: a hook, which has no coordinate
  std::string unit;    ///< of the coordinate
  double low = 0.0;    ///< least and greatest over the travel, friction included
  double high = 0.0;
  std::vector<double> low_pose;
  std::vector<double> high_pose;
  std::optional<double> range_low;  ///< absent: no limit
  std::optional<double> range_high;
  double residual_N = 0.0;  ///< largest unbalanced force where it rests
  std::size_t poses = 0;    ///< sampled
  double step_mm = 0.0;     ///< largest between neighbours
  /// Range or load could not run out between two poses; absent: not sampled.
  std::optional<bool> settled;
};

/// Joint values in mm; what is not known is absent.
struct SwitchFigures {
  std::string name;
  std::string joint;
  std::optional<double>
      trip;  ///< the one nearest to the travel, over all poses of the other joints
  double soft_limit = 0.0;
  std::optional<double> hard_stop;
  std::optional<double> stopping_mm;  ///< v^2 / 2a from the rapid rate
  std::optional<double> room_mm;      ///< to stop in: to the hard stop or the end of the overtravel
  std::optional<double> overtravel_mm;        ///< that it stands; absent: the plan does not say
  std::optional<double> driven_past_trip_mm;  ///< where the axis stands at the hard stop
};

struct StudyResult {
  std::string option;  ///< "base" for the plan as written
  std::string about;
  Verdict verdict = Verdict::clear;
  bool cancelled = false;  ///< stopped early: no verdict may be taken from it
  std::vector<std::string> joints;
  std::vector<Finding> findings;         ///< worst first
  std::vector<ClearancePair> clearance;  ///< nearest first
  std::vector<TouchingPair> touching;
  ReachFigures reach;
  std::vector<LineFigures> lines;
  std::vector<line::Drum> drums;  ///< what to buy of each article
  std::vector<ChainFigures> chains;
  std::vector<FreeRunFigures> free_runs;
  std::vector<SupportFigures> supports;  ///< on which lines hang
  std::vector<SwitchFigures> switches;
};

struct StudyOptions {
  unsigned threads = 0;  ///< 0: as many as the machine has; the result does not depend on it
  double blocked_resolution_mm = 5.0;
  std::size_t free_run_poses = 700;  ///< at which a hanging line is looked at, about
  Progress* progress = nullptr;
  /// Without advice, and without how much of the travel is blocked (`reach` then says nothing): for
  /// a search over many changes. What is found is the same.
  bool findings_only = false;
};

/// Runs every check on a validated plan and its machine.
StudyResult run_study(const plan::Plan& plan, const machine::Machine& machine,
                      const StudyOptions& options = {});

}  // namespace bight::study
