#pragma once
// Pieces that all JSON documents of the report share (docs/json.md).

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"
#include "study/study.h"

namespace bight::report {

using Json = nlohmann::ordered_json;

/// Numbers that are not finite have no JSON form: null.
Json number(double value);
Json number(const std::optional<double>& value);

Json point(const Vec2& p);
Json point(const Vec3& p);

/// Joint values by joint name; null when no pose belongs to it.
Json pose(const study::StudyResult& result, const std::vector<double>& values);

Json finding_json(const study::StudyResult& result, const study::Finding& finding);
Json reach_figures_json(const study::ReachFigures& reach);

/// What every document begins with: format, plan, name, currency, home, work_offset.
Json document_head(const plan::Plan& plan);

/// Adds the options and the cautions and writes it.
std::string document_text(Json head, Json options);

}  // namespace bight::report
