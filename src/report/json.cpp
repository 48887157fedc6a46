#include "report/json.h"

#include <utility>

#include "report/json_value.h"

namespace bight::report {
namespace {

Json line_json(const study::LineFigures& line) {
  Json legs = Json::array();
  for (const study::LegFigures& leg : line.legs) {
    legs.push_back(
        {{"what", leg.what}, {"length_mm", number(leg.length_mm)}, {"works", leg.works}});
  }
  Json json = {{"name", line.name},
               {"article", line.article},
               {"net_mm", number(line.net_mm)},
               {"cut_mm", number(line.cut_mm)},
               {"buy_mm", number(line.buy_mm)},
               {"price", number(line.price)},
               {"legs", std::move(legs)}};
  if (line.drop) {
    json["drop_V"] = number(line.drop->drop_V);
    json["drop_percent"] = number(line.drop->drop_percent);
    json["loop_ohm"] = number(line.drop->loop_ohm);
    json["loss_W"] = number(line.drop->loss_W);
  }
  return json;
}

Json drums_json(const study::StudyResult& result) {
  Json drums = Json::array();
  for (const line::Drum& drum : result.drums) {
    drums.push_back({{"article", drum.article},
                     {"lines", drum.lines},
                     {"total_mm", number(drum.total_mm)},
                     {"longest_mm", number(drum.longest_mm)},
                     {"price", number(drum.price)}});
  }
  return drums;
}

Json chain_shape_json(const std::optional<study::ChainShapeFigures>& shape) {
  if (!shape) return nullptr;
  const auto known = [&](double value) { return shape->poses > 0 ? number(value) : Json(nullptr); };
  const auto force = [&](double value) { return shape->has_forces ? known(value) : Json(nullptr); };
  return {{"remark", shape->remark},
          {"sag_mm", known(shape->sag_mm)},
          {"sag_is_assumed", shape->sag_is_assumed},
          {"gap_mm", known(shape->gap_mm)},
          {"on_itself_mm", known(shape->on_itself_mm)},
          {"loop_room_mm", known(shape->loop_room_mm)},
          {"strays_mm", known(shape->strays_mm)},
          {"smallest_radius_mm", known(shape->smallest_radius_mm)},
          {"pull_N", force(shape->pull_N)},
          {"bracket_moment_Nmm", force(shape->bracket_moment_Nmm)},
          {"floor_force_N", force(shape->floor_force_N)},
          {"error_mm", known(shape->error_mm)},
          {"error_N", force(shape->error_N)},
          {"poses", shape->poses},
          {"step_mm", number(shape->step_mm)},
          {"settled", shape->settled}};
}

Json chain_near_json(const study::StudyResult& result,
                     const std::optional<study::ChainNearFigures>& near) {
  if (!near) return nullptr;
  const bool met = !near->clearance_to.empty();
  return {{"proved_clear", near->proved_clear},
          {"sampled", near->sampled},
          {"clearance_to", near->clearance_to},
          {"clearance_mm", met ? number(near->clearance_mm) : Json(nullptr)},
          {"clearance_wanted_mm", met ? number(near->clearance_wanted_mm) : Json(nullptr)},
          {"clearance_pose", pose(result, near->clearance_pose)},
          {"poses", near->poses},
          {"step_mm", number(near->step_mm)},
          {"settled", near->settled}};
}

Json chain_json(const study::StudyResult& result, const study::ChainFigures& chain) {
  Json fill = Json::array();
  for (std::size_t i = 0; i < chain.fill.lines.size(); ++i) {
    const chain::PlacedLine& line = chain.fill.lines[i];
    fill.push_back({{"line", chain.line_names[i]},
                    {"diameter_mm", chain.line_diameters_mm[i]},
                    {"centre_mm", line.centre_mm ? point(*line.centre_mm) : Json(nullptr)},
                    {"clearance_mm", number(line.clearance_mm)},
                    {"wanted_clearance_mm", number(line.wanted_clearance_mm)},
                    {"nearest", line.nearest}});
  }
  return {{"name", chain.name},
          {"links", chain.loop.links},
          {"fewest_links", chain.loop.fewest_links},
          {"length_mm", number(chain.loop.length_mm)},
          {"loop_room_mm", number(chain.loop.loop_room_mm)},
          {"height_mm", number(chain.loop.height_mm)},
          {"longest_straight_mm", number(chain.loop.longest_straight_mm)},
          {"unsupported_mm", number(chain.unsupported_mm)},
          {"allowed_straight_mm", number(chain.allowed_straight_mm)},
          {"bend_radius_mm", number(chain.bend_radius_mm)},
          {"fill_kg_per_m", number(chain.fill.mass_kg_per_m)},
          {"fill_area_percent", number(chain.fill.area_percent)},
          {"fill", std::move(fill)},
          {"shape", chain_shape_json(chain.shape)},
          {"near", chain_near_json(result, chain.near)}};
}

Json support_json(const study::StudyResult& result, const study::SupportFigures& s) {
  const auto known = [](const std::optional<double>& value) {
    return value ? number(*value) : Json(nullptr);
  };
  const auto moving = [&](double value) { return s.moves ? number(value) : Json(nullptr); };
  return {{"name", s.name},
          {"kind", s.kind},
          {"load_N", number(s.load_N)},
          {"load_pose", pose(result, s.load_pose)},
          {"max_load_N", known(s.max_load_N)},
          {"unit", s.unit},
          {"low", moving(s.low)},
          {"low_pose", pose(result, s.low_pose)},
          {"high", moving(s.high)},
          {"high_pose", pose(result, s.high_pose)},
          {"range_low", known(s.range_low)},
          {"range_high", known(s.range_high)},
          {"residual_N", moving(s.residual_N)},
          {"poses", s.poses},
          {"step_mm", number(s.step_mm)},
          {"settled", s.settled ? Json(*s.settled) : Json(nullptr)}};
}

Json free_run_json(const study::StudyResult& result, const study::FreeRunFigures& run) {
  const auto solved = [&](double value) {
    return run.bend_line.empty() ? Json(nullptr) : number(value);
  };
  return {{"run", run.run},
          {"leg", run.leg},
          {"from", run.from},
          {"to", run.to},
          {"farthest_mm", number(run.farthest_mm)},
          {"farthest_pose", pose(result, run.farthest_pose)},
          {"nearest_mm", number(run.nearest_mm)},
          {"nearest_pose", pose(result, run.nearest_pose)},
          {"min_mm", number(run.min_mm)},
          {"min_reason", run.min_reason},
          {"max_mm", number(run.max_mm)},
          {"max_reason", run.max_reason},
          {"window_poses", run.window_poses},
          {"window_step_mm", number(run.window_step_mm)},
          {"length_mm", number(run.length_mm)},
          {"length_given", run.length_given},
          {"lowest_mm", number(run.lowest_mm)},
          {"lowest_pose", pose(result, run.lowest_pose)},
          {"lowest_certainty", run.lowest_is_sampled ? "sampled" : "proved"},
          {"greatest_pull_N", number(run.greatest_pull_N)},
          {"pull_start_N", solved(run.pull_start_N)},
          {"pull_end_N", solved(run.pull_end_N)},
          {"moment_start_Nmm", solved(run.moment_start_Nmm)},
          {"moment_end_Nmm", solved(run.moment_end_Nmm)},
          {"bend_line", run.bend_line.empty() ? Json(nullptr) : Json(run.bend_line)},
          {"radius_mm", solved(run.radius_mm)},
          {"radius_at_mm", solved(run.radius_at_mm)},
          {"allowed_radius_mm", solved(run.allowed_radius_mm)},
          {"radius_pose", pose(result, run.radius_pose)},
          {"stiffness_Nm2", solved(run.stiffness_Nm2)},
          {"stiffness_measured", run.stiffness_measured},
          {"shape_poses", run.shape_poses},
          {"shape_step_mm", number(run.shape_step_mm)},
          {"not_converged", run.not_converged},
          {"swing_mm", run.swing_pose.empty() ? Json(nullptr) : number(run.swing_mm)},
          {"swing_period_s", run.swing_pose.empty() ? Json(nullptr) : number(run.swing_period_s)},
          {"swing_pose", pose(result, run.swing_pose)},
          {"swing_left_out", run.swing_left_out.empty() ? Json(nullptr) : Json(run.swing_left_out)},
          {"proved_clear", run.proved_clear},
          {"clearance_to", run.clearance_to.empty() ? Json(nullptr) : Json(run.clearance_to)},
          {"clearance_mm", run.clearance_to.empty() ? Json(nullptr) : number(run.clearance_mm)},
          {"clearance_wanted_mm",
           run.clearance_to.empty() ? Json(nullptr) : number(run.clearance_wanted_mm)},
          {"clearance_pose", pose(result, run.clearance_pose)},
          {"certainty", study::to_text(run.clearance_certainty)},
          {"poses", run.poses},
          {"step_mm", number(run.step_mm)},
          {"settled", run.settled ? Json(*run.settled) : Json(nullptr)}};
}

Json option_json(const study::StudyResult& result) {
  Json json;
  json["name"] = result.option;
  json["about"] = result.about;
  json["verdict"] = study::to_text(result.verdict);
  json["findings"] = Json::array();
  for (const study::Finding& f : result.findings) {
    json["findings"].push_back(finding_json(result, f));
  }
  json["clearance"] = Json::array();
  for (const study::ClearancePair& pair : result.clearance) {
    json["clearance"].push_back({{"a", pair.a},
                                 {"b", pair.b},
                                 {"lower_mm", number(pair.lower_mm)},
                                 {"upper_mm", number(pair.upper_mm)},
                                 {"wanted_mm", number(pair.wanted_mm)},
                                 {"pose", pose(result, pair.pose)},
                                 {"point_a_mm", point(pair.point_a)},
                                 {"point_b_mm", point(pair.point_b)}});
  }
  json["touching"] = Json::array();
  for (const study::TouchingPair& pair : result.touching) {
    json["touching"].push_back({{"a", pair.a}, {"b", pair.b}, {"why", pair.why}});
  }
  json["reach"] = reach_figures_json(result.reach);
  json["lines"] = Json::array();
  for (const study::LineFigures& line : result.lines) json["lines"].push_back(line_json(line));
  json["drums"] = drums_json(result);
  json["chains"] = Json::array();
  for (const study::ChainFigures& chain : result.chains)
    json["chains"].push_back(chain_json(result, chain));
  json["supports"] = Json::array();
  for (const study::SupportFigures& support : result.supports) {
    json["supports"].push_back(support_json(result, support));
  }
  json["free_runs"] = Json::array();
  for (const study::FreeRunFigures& run : result.free_runs) {
    json["free_runs"].push_back(free_run_json(result, run));
  }
  json["switches"] = Json::array();
  for (const study::SwitchFigures& s : result.switches) {
    json["switches"].push_back({{"name", s.name},
                                {"joint", s.joint},
                                {"trip", number(s.trip)},
                                {"soft_limit", number(s.soft_limit)},
                                {"hard_stop", number(s.hard_stop)},
                                {"stopping_mm", number(s.stopping_mm)},
                                {"room_mm", number(s.room_mm)},
                                {"overtravel_mm", number(s.overtravel_mm)},
                                {"driven_past_trip_mm", number(s.driven_past_trip_mm)}});
  }
  return json;
}

}  // namespace

std::string check_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results) {
  Json options = Json::array();
  for (const study::StudyResult& result : results) options.push_back(option_json(result));
  return document_text(document_head(plan), std::move(options));
}

std::string lengths_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results) {
  Json options = Json::array();
  for (const study::StudyResult& result : results) {
    Json option = {{"name", result.option}, {"verdict", study::to_text(result.verdict)}};
    option["lines"] = Json::array();
    for (const study::LineFigures& line : result.lines) option["lines"].push_back(line_json(line));
    option["drums"] = drums_json(result);
    options.push_back(std::move(option));
  }
  return document_text(document_head(plan), std::move(options));
}

}  // namespace bight::report
