#pragma once
// The sheets of the window. Each draws itself into its area of the layout, or nothing when that is
// empty, and keeps no state of the plan.

#include "view/panel_context.h"

namespace bight::view {

class HookMapJob;

void header_bar(const PanelContext& context);
void index_bar(const PanelContext& context);
void findings_panel(const PanelContext& context, const Area& area);
void travel_panel(const PanelContext& context, const Area& area);
void tour_strip(const PanelContext& context, const Area& area);
void plan_panel(const PanelContext& context, const Area& area);
void section_panel(const PanelContext& context, const Area& area);
void lengths_panel(const PanelContext& context, const Area& area);
void compare_panel(const PanelContext& context, const Area& area);
void curves_panel(const PanelContext& context, const Area& area);
void hooks_panel(const PanelContext& context, const Area& area, HookMapJob& job);

}  // namespace bight::view
