// Ends of legs and holds elsewhere that close a gap in a run.

#include <cmath>

#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

/// Where a leg may begin or end: a chain is taken either way.
std::vector<Vec3> places_of(const plan::Plan& plan, const plan::Leg& leg, bool start) {
  switch (leg.way) {
    case plan::LegWay::fixed:
      return {start ? leg.points.front() : leg.points.back()};
    case plan::LegWay::chain: {
      const plan::Chain& chain = by_name(plan.chains, leg.chain);
      return {chain.fixed_at, chain.moving_at};
    }
    case plan::LegWay::free:
      break;
  }
  return {place_of_hold(plan, start ? leg.from : leg.to).at};
}

/// A clipped leg led to a place, its corners kept where that goes, else its end alone.
void add_leg_ends(const Context& context, const plan::Run& run, std::size_t leg, bool last,
                  const Vec3& to, Candidates& candidates) {
  if (run.legs[leg].way != plan::LegWay::fixed) return;
  std::vector<Vec3> alone = run.legs[leg].points;
  (last ? alone.back() : alone.front()) = to;
  const std::vector<Vec3> led = with_end_at(run.legs[leg].points, last, to);
  const std::string what = (last ? "end leg " : "begin leg ") + std::to_string(leg + 1) + " of " +
                           run.name + " at " + point_text(to, context.unit);
  for (const std::vector<Vec3>& points : {led, alone}) {
    candidates.push_back(
        {"a leg that ends where the next one begins",
         {{leg_path(run.name, leg) + "points", toml_points(context, points), what}}});
    if (led == alone) break;
  }
}

void add_hold_moves(const plan::Leg& leg, bool start, const Vec3& to, const Carriers& carriers,
                    Candidates& candidates) {
  if (leg.way != plan::LegWay::free) return;
  const std::string& hold = start ? leg.from : leg.to;
  add_ways(carriers.move_hold(hold, to, "where the clipped line ends"), hold + " elsewhere",
           candidates);
}

}  // namespace

Candidates gap_in_run_candidates(const Context& context, const Finding& finding,
                                 const Carriers& carriers) {
  Candidates candidates;
  if (finding.things.empty()) return candidates;
  const plan::Run& run = by_name(context.plan.runs, finding.things.front());
  for (std::size_t i = 0; i + 1 < run.legs.size(); ++i) {
    // The pair whose distance is the gap that was found.
    for (const Vec3& end : places_of(context.plan, run.legs[i], false)) {
      for (const Vec3& start : places_of(context.plan, run.legs[i + 1], true)) {
        if (std::abs(glm::distance(end, start) - finding.value) > 0.1) continue;
        add_leg_ends(context, run, i, true, start, candidates);
        add_leg_ends(context, run, i + 1, false, end, candidates);
        add_hold_moves(run.legs[i + 1], true, end, carriers, candidates);
        add_hold_moves(run.legs[i], false, start, carriers, candidates);
      }
    }
  }
  return candidates;
}

}  // namespace bight::study
