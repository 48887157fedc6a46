#pragma once
// The form of one element of the plan: every key that may stand in it, with its unit, what it means
// and where its value comes from. Made from the table of keys; no key is known by name here.

#include "plan/document.h"
#include "view/panel_context.h"

namespace bight::view {

void key_form(const PanelContext& context, const plan::Element& element);

}  // namespace bight::view
