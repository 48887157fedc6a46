#include "study/check_raised_chain.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/counted.h"
#include "base/tolerance.h"
#include "study/clearance_advice.h"
#include "study/raised_chain_approach.h"

namespace bight::study {
namespace {

/// "X chain", "X chain or Z chain": whose shape is not known at every pose.
std::string unknown_ones(const ChainMeeting& meeting) {
  std::string names;
  for (const RaisedChain* chain : {meeting.chain, meeting.other}) {
    if (chain == nullptr || chain->known_all_over()) continue;
    names += (names.empty() ? "" : " or ") + chain->self().name;
  }
  return names;
}

Finding describe(const Context& context, const ChainApproach& approach) {
  const ChainMeeting& meeting = approach.meeting;
  const SimulatedChain& s = meeting.chain->simulated();
  const Mover& thing = meeting.thing();
  const bool work = thing.role == plan::Role::clamp || thing.role == plan::Role::stock;
  const bool touches = approach.distance_mm <= 0.0;
  Finding finding = make_finding(
      "chain clearance", touches && !work ? Severity::stop : Severity::act,
      approach.poses > 0 ? Certainty::sampled : Certainty::formula, {s.chain->name, thing.owner});
  finding.pose = approach.pose;
  finding.poses = approach.poses;
  finding.step_mm = approach.step_mm;
  finding.limit = approach.wanted_mm;
  if (!too_near(approach)) {  // some poses have no shape
    finding.value = std::isfinite(approach.distance_mm) ? approach.distance_mm : 0.0;
    finding.what = s.chain->name + ": its links can come near to " + thing.owner +
                   ", and where the shape of " + unknown_ones(meeting) +
                   " is not known nothing keeps them " + context.length(approach.wanted_mm) +
                   " away";
  } else {
    finding.value = approach.distance_mm;
    finding.what =
        s.chain->name +
        (touches ? " hits " + thing.owner
                 : " comes within " + context.length(approach.distance_mm) + " of " + thing.owner +
                       ", " + context.length(approach.wanted_mm) + " wanted") +
        (meeting.other ? ", both in their simulated shapes" : " in its simulated shape");
  }
  finding.advice = "mount its runs " + context.length(2.0 * s.chain->bend_radius) + " apart";
  if (meeting.other) {
    const double two_radii = 2.0 * meeting.other->simulated().chain->bend_radius;
    finding.advice += " and those of " + thing.owner + " " + context.length(two_radii);
  }
  const std::vector<MoverPair> anywhere = pairs_anywhere(context, meeting);
  if (!anywhere.empty() && !context.options.findings_only) {
    finding.advice += ", or " + clearance_advice(context, anywhere, approach.wanted_mm) +
                      ", whatever shape " + (meeting.other ? "they take" : "it takes");
  }
  return finding;
}

/// What is near to a chain: the pieces of another chain are one thing to a person, so the nearest
/// stands for all.
std::vector<const ChainApproach*> one_each(const std::vector<ChainApproach>& approaches,
                                           const RaisedChain& chain) {
  const auto worse = [](const ChainApproach& a, const ChainApproach& b) {
    if (a.proved != b.proved) return b.proved;
    return a.distance_mm < b.distance_mm;
  };
  std::vector<const ChainApproach*> nearest;
  for (const ChainApproach& approach : approaches) {
    if (!approach.meeting.concerns(chain)) continue;
    const auto same = std::find_if(nearest.begin(), nearest.end(), [&](const ChainApproach* a) {
      return a->meeting.met_by(chain) == approach.meeting.met_by(chain);
    });
    if (same == nearest.end()) {
      nearest.push_back(&approach);
    } else if (worse(approach, **same)) {
      *same = &approach;
    }
  }
  return nearest;
}

ChainNearFigures figures_of(const std::vector<ChainApproach>& approaches,
                            const std::vector<const ChainApproach*>& nearest,
                            const RaisedChain& chain) {
  ChainNearFigures figures;
  figures.settled = std::all_of(approaches.begin(), approaches.end(), [&](const ChainApproach& a) {
    return !a.meeting.concerns(chain) || a.proved || a.settled;
  });
  const ChainApproach* closest = nullptr;
  for (const ChainApproach* approach : nearest) {
    ++(approach->proved ? figures.proved_clear : figures.sampled);
    if (approach->proved) continue;
    const double margin = approach->distance_mm - approach->wanted_mm;
    if (!closest || margin < closest->distance_mm - closest->wanted_mm) closest = approach;
  }
  if (closest == nullptr || !std::isfinite(closest->distance_mm)) return figures;
  figures.clearance_to = closest->meeting.met_by(chain);
  figures.clearance_mm = closest->distance_mm;
  figures.clearance_wanted_mm = closest->wanted_mm;
  figures.clearance_pose = closest->pose;
  figures.poses = closest->poses;
  figures.step_mm = closest->step_mm;
  return figures;
}

/// How its clearances are known, in a few words.
std::string certainty_text(const std::vector<const ChainApproach*>& nearest) {
  const auto things = [](std::size_t n) { return counted(n, "thing", "things"); };
  std::size_t proved = 0;
  std::size_t held = 0;
  std::size_t unknown = 0;  // no shape to hold against it
  std::size_t least = 0;
  std::size_t most = 0;
  for (const ChainApproach* approach : nearest) {
    ++(approach->proved ? proved : approach->poses > 0 ? held : unknown);
    if (approach->proved || approach->poses == 0) continue;
    least = held == 1 ? approach->poses : std::min(least, approach->poses);
    most = std::max(most, approach->poses);
  }
  std::vector<std::string> parts;
  if (proved > 0) parts.push_back("proved clear of " + things(proved));
  if (held > 0) {
    parts.push_back("held against " + things(held) + " at " +
                    (least < most ? std::to_string(least) + " to " : "") +
                    counted(most, "pose", "poses"));
  }
  if (unknown > 0) parts.push_back("not held against " + things(unknown));
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text.empty() ? "nothing is near to it" : text;
}

/// The room that it takes beyond its brackets, and that it is not the loop that makers rate.
Finding describe_room(const Context& context, const RaisedChain& raised,
                      const std::vector<const ChainApproach*>& nearest) {
  const SimulatedChain& s = raised.simulated();
  const auto* worst = worst_pose(s, [&](const auto& pose) { return room_used(s, pose); });
  const double room = room_used(s, *worst);
  const bool too_far = s.chain->room && room > *s.chain->room + k_length_equal_mm;
  Finding finding =
      finding_of(context, s, too_far ? Severity::act : Severity::note, *worst, "chain shape");
  finding.what = s.chain->name + ": mounted " +
                 context.length(s.frame.height_mm - 2.0 * s.chain->bend_radius) +
                 " higher than 2 x bend radius it takes up to " + context.length(room) +
                 " beyond the brackets" +
                 (too_far ? ", " + context.length(*s.chain->room) + " are free" : "") + "; " +
                 certainty_text(nearest);
  finding.value = room;
  finding.limit = s.chain->room.value_or(0.0);
  finding.advice = "mount the runs " + context.length(2.0 * s.chain->bend_radius) +
                   " apart: then it rolls as its maker rates it and its clearances are proved";
  if (too_far) {
    finding.advice += ", or make room for " + context.length(room - *s.chain->room) + " more";
  }
  return finding;
}

/// No shape all over the travel: nobody can say that it works.
Finding describe_mounting(const Context& context, const SimulatedChain& s) {
  Finding finding =
      make_finding("chain mounting", Severity::stop, Certainty::formula, {s.chain->name});
  finding.what = s.chain->name + ": " + s.frame.problem +
                 (s.travel.poses.empty() ? ", and without its weight its shape is not known"
                                         : ", and its shape is not known all over its travel");
  finding.value = s.frame.height_mm;
  finding.limit = 2.0 * s.chain->bend_radius;
  finding.advice = "move one bracket by " + context.length(finding.value - finding.limit) +
                   " so that the runs lie " + context.length(finding.limit) +
                   " apart (2 x bend radius), or take a bend radius of " +
                   context.length(finding.value / 2.0);
  return finding;
}

}  // namespace

RaisedChainCheck check_raised_chains(const Context& context,
                                     const std::vector<std::optional<SimulatedChain>>& simulated,
                                     const std::vector<RaisedChain>& raised,
                                     const std::vector<Mover>& movers) {
  RaisedChainCheck check;
  check.near.resize(simulated.size());
  const std::vector<ChainApproach> approaches = approaches_of(context, raised, movers);
  if (is_cancelled(context.options.progress)) return check;
  for (const RaisedChain& chain : raised) {
    const std::vector<const ChainApproach*> nearest = one_each(approaches, chain);
    const ChainNearFigures near = figures_of(approaches, nearest, chain);
    if (!chain.known_all_over()) {
      check.findings.push_back(describe_mounting(context, chain.simulated()));
    }
    if (!chain.values().empty()) check.findings.push_back(describe_room(context, chain, nearest));
    for (const ChainApproach* approach : nearest) {
      // Of two chains the first one tells.
      if (approach->proved || approach->meeting.chain != &chain) continue;
      if (too_near(*approach) || !approach->meeting.known_all_over()) {
        check.findings.push_back(describe(context, *approach));
      }
    }
    for (std::size_t i = 0; i < simulated.size(); ++i) {
      if (simulated[i] && &*simulated[i] == &chain.simulated()) check.near[i] = near;
    }
  }
  return check;
}

}  // namespace bight::study
