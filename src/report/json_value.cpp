#include "report/json_value.h"

#include <cmath>
#include <utility>

#include "report/cautions.h"
#include "report/page.h"

namespace bight::report {

Json number(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json number(const std::optional<double>& value) {
  return value ? number(*value) : Json(nullptr);
}

Json point(const Vec2& p) {
  return Json::array({number(p.x), number(p.y)});
}

Json point(const Vec3& p) {
  return Json::array({number(p.x), number(p.y), number(p.z)});
}

Json pose(const study::StudyResult& result, const std::vector<double>& values) {
  if (values.empty()) return nullptr;
  Json object = Json::object();
  for (std::size_t j = 0; j < values.size() && j < result.joints.size(); ++j) {
    object[result.joints[j]] = number(values[j]);
  }
  return object;
}

Json finding_json(const study::StudyResult& result, const study::Finding& f) {
  return {{"check", f.check},
          {"severity", study::to_text(f.severity)},
          {"what", f.what},
          {"things", f.things},
          {"pose", pose(result, f.pose)},
          {"value", number(f.value)},
          {"limit", number(f.limit)},
          {"unit", f.unit},
          {"certainty", study::to_text(f.certainty)},
          {"poses", f.poses},
          {"step_mm", number(f.step_mm)},
          {"advice", f.advice}};
}

Json reach_figures_json(const study::ReachFigures& reach) {
  return {{"volume_mm3", number(reach.volume_mm3)},
          {"volume_lower_mm3", number(reach.volume_lower_mm3)},
          {"volume_upper_mm3", number(reach.volume_upper_mm3)},
          {"share_lower", number(reach.share_lower)},
          {"share_upper", number(reach.share_upper)}};
}

Json document_head(const plan::Plan& plan) {
  Json json = {
      {"format", 1}, {"plan", plan.file}, {"name", plan.name}, {"currency", plan.currency}};
  json["home"] = Json::object();
  for (const plan::Joint& joint : plan.joints) json["home"][joint.name] = number(home_of(joint));
  json["work_offset"] = nullptr;
  if (plan.work_offset) {
    json["work_offset"] = {{"name", plan.work_offset->name}, {"at", point(plan.work_offset->at)}};
  }
  return json;
}

std::string document_text(Json head, Json options) {
  head["options"] = std::move(options);
  head["cautions"] = cautions();
  return head.dump(2) + "\n";
}

}  // namespace bight::report
