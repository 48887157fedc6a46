#include "plan/write.h"

#include <fmt/format.h>

#include <cmath>

#include "base/number.h"
#include "plan/starter_text_detail.h"

namespace bight::plan {

std::string starter_number(double mm) {
  return shortest(std::round(mm * 10.0) / 10.0 + 0.0);
}

std::string starter_vector(const Vec3& v) {
  return fmt::format("[{}, {}, {}]", starter_number(v.x), starter_number(v.y), starter_number(v.z));
}

std::string starter_vector(const Vec2& v) {
  return fmt::format("[{}, {}]", starter_number(v.x), starter_number(v.y));
}

StarterPlan starter_plan(const StarterAnswers& answers) {
  const StarterLayout layout = starter_layout(answers);
  if (!layout.problem.empty()) return {{}, layout.problem};
  return {starter_machine_text(answers, layout) + starter_lines_text(answers, layout), {}};
}

}  // namespace bight::plan
