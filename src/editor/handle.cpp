#include "editor/handle.h"

#include <algorithm>
#include <cmath>

#include "chain/chain_frame.h"
#include "study/context.h"
#include "study/suggest_edit.h"

namespace bight::editor {
namespace {

const std::vector<Vec3> k_axes = {{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 1.0}};

Handle hold_handle(const std::string& table, HandleKind kind, const std::string& name,
                   const std::string& body, const Vec3& at) {
  const std::string id = table + "." + name;
  return {id, kind, name, id + ".at", body, at, k_axes};
}

void add_chain(const plan::Chain& chain, std::vector<Handle>& handles) {
  const std::string path = "chain." + chain.name;
  handles.push_back({path + ".fixed_at", HandleKind::fixed_bracket, chain.name, path + ".fixed_at",
                     chain.fixed_body, chain.fixed_at, k_axes});
  handles.push_back({path + ".moving_at", HandleKind::moving_bracket, chain.name,
                     path + ".moving_at", chain.moving_body, chain.moving_at, k_axes});
}

/// Part of a vector along unit vectors that stand square to each other.
Vec3 within(const Vec3& v, const std::vector<Vec3>& directions) {
  Vec3 part(0.0);
  for (const Vec3& d : directions) part += glm::dot(v, d) * d;
  return part;
}

/// Faces of a part and places of other handles along one axis.
struct Level {
  double value = 0.0;
  std::string of;
};

std::vector<Level> levels(const Model& model, const std::vector<Handle>& handles,
                          const Handle& handle, int axis) {
  std::vector<Level> all;
  for (const Handle& other : handles) {
    if (other.kind != HandleKind::part && other.id != handle.id) {
      all.push_back({other.at[axis], other.thing});
    }
  }
  for (const machine::PlacedPart& part : model.machine.parts) {
    if (part.name == handle.thing || !part.solid) continue;
    const Box box = shape::bounds(part.solid->mesh);
    all.push_back({box.lower[axis], part.name});
    all.push_back({box.upper[axis], part.name});
  }
  return all;
}

/// Rounded to the step in the unit of the plan.
double on_grid(double mm, double step_mm) {
  return step_mm > 0.0 ? std::round(mm / step_mm) * step_mm : mm;
}

const plan::Chain* chain_of(const Model& model, const Handle& handle) {
  for (const plan::Chain& chain : model.plan.chains) {
    if (chain.name == handle.thing) return &chain;
  }
  return nullptr;
}

/// Whether a line of the option hangs there.
bool carries_a_line(const Model& model, const std::string& hold) {
  return std::ranges::any_of(model.plan.runs, [&](const plan::Run& run) {
    const bool goes_there = std::ranges::any_of(
        run.legs, [&](const plan::Leg& leg) { return leg.from == hold || leg.to == hold; });
    return goes_there && std::ranges::any_of(model.plan.lines, [&](const plan::Line& line) {
             return line.present && line.run == run.name;
           });
  });
}

}  // namespace

std::vector<Handle> make_handles(const Model& model) {
  std::vector<Handle> handles;
  for (const plan::Support& s : model.plan.supports) {
    if (s.present) {
      handles.push_back(hold_handle("support", HandleKind::support, s.name, s.body, s.at));
    }
  }
  for (const plan::Anchor& a : model.plan.anchors) {
    handles.push_back(hold_handle("anchor", HandleKind::anchor, a.name, a.body, a.at));
  }
  for (const plan::Chain& chain : model.plan.chains) {
    if (chain.present) add_chain(chain, handles);
  }
  for (Handle& handle : handles) {
    const bool holds = handle.kind == HandleKind::support || handle.kind == HandleKind::anchor;
    handle.in_use = !holds || carries_a_line(model, handle.thing);
  }
  for (const plan::Part& part : model.plan.parts) {
    if (part.present) {
      handles.push_back(hold_handle("part", HandleKind::part, part.name, part.body, part.at));
    }
  }
  return handles;
}

Vec3 handle_at(const Model& model, const Handle& handle, const std::vector<double>& pose) {
  for (const machine::Body& body : model.machine.bodies) {
    if (body.name == handle.body) return handle.at + machine::translation(body, pose);
  }
  return handle.at;
}

SnappedPlace snapped(const Model& model, const std::vector<Handle>& handles, const Handle& handle,
                     const Vec3& wanted, const std::optional<Vec3>& along,
                     const SnapOptions& options) {
  SnappedPlace place;
  place.at = handle.at;
  if (!is_finite(wanted)) return place;
  std::vector<Vec3> directions = handle.directions;
  if (along && is_finite(*along) && glm::length(*along) > 0.0) {
    directions = {glm::normalize(*along)};
  }
  const Vec3 way = within(wanted - handle.at, directions);
  for (int axis = 0; axis < 3; ++axis) {
    // Along a slanting direction the axes are not free of each other: no catching then.
    const bool free_axis = std::any_of(directions.begin(), directions.end(), [&](const Vec3& d) {
      return std::abs(std::abs(d[axis]) - 1.0) < 1e-9;
    });
    const double value = handle.at[axis] + way[axis];
    place.at[axis] = value;
    if (!free_axis) continue;
    const Level* best = nullptr;
    const std::vector<Level> all =
        options.to_things ? levels(model, handles, handle, axis) : std::vector<Level>{};
    for (const Level& level : all) {
      const double away = std::abs(level.value - value);
      if (away <= options.catch_mm && (best == nullptr || away < std::abs(best->value - value))) {
        best = &level;
      }
    }
    const double grid = on_grid(value, options.step_mm);
    // A level beats the grid only where it is nearer than the next grid line.
    if (best != nullptr && std::abs(best->value - value) <= std::abs(grid - value)) {
      place.at[axis] = best->value;
      place.caught[axis] = best->of;
    } else if (options.step_mm > 0.0) {
      place.at[axis] = grid;
      place.caught[axis] = "grid";
    }
  }
  return place;
}

SetValues move_edit(const Model& model, const Handle& handle, const Vec3& to) {
  const study::StudyOptions options;
  const study::Context context{model.plan, model.machine, options,
                               model.plan.inches ? LengthUnit::inch : LengthUnit::mm};
  SetValues edit;
  edit.what = "move " + handle.thing;
  std::vector<study::PlanChange> changes;
  if (handle.kind == HandleKind::support || handle.kind == HandleKind::anchor) {
    changes = study::move_hold(context, handle.thing, to, {});
  } else if (const plan::Chain* chain = chain_of(model, handle)) {
    const auto bracket =
        handle.kind == HandleKind::fixed_bracket ? study::Bracket::fixed : study::Bracket::moving;
    changes = study::move_bracket(context, *chain, bracket, to - handle.at, {});
  }
  for (study::PlanChange& change : changes) {
    edit.values.push_back({std::move(change.path), std::move(change.value)});
  }
  if (edit.values.empty()) {
    edit.values.push_back({handle.path, study::toml_place(context, to)});
  }
  return edit;
}

}  // namespace bight::editor
