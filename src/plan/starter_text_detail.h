#pragma once
// The sections of a starter plan's text, and how its numbers are written. Inside the plan module
// only.

#include <string>

#include "base/vec.h"
#include "plan/starter_layout_detail.h"
#include "plan/write.h"

namespace bight::plan {

/// To 0.1 mm: nobody builds closer, and a plan is read by people.
std::string starter_number(double mm);
std::string starter_vector(const Vec3& v);
std::string starter_vector(const Vec2& v);

/// From the head of the file to where the tool must get to.
std::string starter_machine_text(const StarterAnswers& answers, const StarterLayout& layout);
/// Cables, their ways, what holds them, chains, rules and options.
std::string starter_lines_text(const StarterAnswers& answers, const StarterLayout& layout);

}  // namespace bight::plan
