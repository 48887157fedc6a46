#pragma once
// What elements of the plan are called where a person reads it.

#include <string>

#include "plan/document.h"

namespace bight::view {

/// In the list, behind what it stands in: its name, or what it is, its number and of which kind:
/// "leg 2: free".
std::string element_label(const plan::Element& element);

/// By itself: "support rafter hook", "leg 2 of run router from the rafter", "plan".
std::string element_title(const plan::Document& document, const plan::Element& element);

}  // namespace bight::view
