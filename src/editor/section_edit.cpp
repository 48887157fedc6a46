#include "editor/section_edit.h"

#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "base/units.h"
#include "study/lookup.h"

namespace bight::editor {
namespace {

const plan::Chain* find_chain(const Model& model, const std::string& name) {
  for (const plan::Chain& chain : model.plan.chains) {
    if (chain.name == name) return &chain;
  }
  return nullptr;
}

std::string length_of(double mm, bool inches) {
  const double scale = inches ? k_mm_per_inch : 1.0;
  return shortest(std::round(mm / scale * 1e3) / 1e3);
}

std::string pair_of(const Vec2& mm, bool inches) {
  return "[" + length_of(mm.x, inches) + ", " + length_of(mm.y, inches) + "]";
}

/// Path of the [[chain.place]] of a line, empty when it has none.
std::string place_path(const plan::Document& document, const std::string& chain,
                       const std::string& line) {
  for (const plan::Element& element : document.elements) {
    if (element.table->path != "chain.place" || element.parent != "chain." + chain) continue;
    for (const plan::KeyState& key : element.keys) {
      if (key.key->name == "line" && key.value == plan::toml_text(line)) return element.path;
    }
  }
  return {};
}

Edit put(const Model& model, const plan::Document& document, const std::string& chain,
         const std::string& line, const Vec2& at) {
  const std::string value = pair_of(at, model.plan.inches);
  const std::string path = place_path(document, chain, line);
  if (!path.empty()) return SetValue{path + ".at", value};
  return AddElement{
      {"chain.place", "chain." + chain, {{"line", plan::toml_text(line)}, {"at", value}}, 0}};
}

std::optional<std::size_t> index_of(const chain::FillProblem& problem, const std::string& line) {
  for (std::size_t i = 0; i < problem.lines.size(); ++i) {
    if (problem.lines[i].name == line) return i;
  }
  return {};
}

/// A place moved off walls, dividers and other lines until it keeps its clearance, as far as a few
/// rounds get.
Vec2 with_clearance(const ChainSection& section, std::size_t line, Vec2 at) {
  const chain::FillProblem& p = section.problem;
  const double radius = 0.5 * p.lines[line].diameter_mm;
  const double gap = chain::wanted_clearance(p, p.lines[line]);
  constexpr int k_rounds = 20;
  for (int round = 0; round < k_rounds; ++round) {
    for (std::size_t i = 0; i < p.lines.size(); ++i) {
      const auto& centre = section.result.lines[i].centre_mm;
      if (i == line || !centre) continue;
      const double wanted = radius + 0.5 * p.lines[i].diameter_mm +
                            std::max(gap, chain::wanted_clearance(p, p.lines[i]));
      const Vec2 away = at - *centre;
      const double distance = glm::length(away);
      if (distance >= wanted) continue;
      at = *centre + wanted * (distance > 1e-9 ? away / distance : Vec2(1.0, 0.0));
    }
    for (const double divider : p.dividers_mm) {
      const double wanted = radius + gap + 0.5 * p.divider_thickness_mm;
      if (std::abs(at.x - divider) >= wanted) continue;
      at.x = divider + (at.x < divider ? -wanted : wanted);
    }
    const auto inside = [&](double value, double size) {
      const double lowest = radius + gap;
      return lowest > size - lowest ? 0.5 * size : std::clamp(value, lowest, size - lowest);
    };
    at = {inside(at.x, p.width_mm), inside(at.y, p.height_mm)};
  }
  return at;
}

Edit set_dividers(const Model& model, const plan::Chain& chain, std::vector<double> dividers) {
  std::sort(dividers.begin(), dividers.end());
  std::string value = "[";
  for (const double x : dividers) {
    value += (value.size() > 1 ? ", " : "") + length_of(x, model.plan.inches);
  }
  return SetValue{"chain." + chain.name + ".dividers", value + "]"};
}

}  // namespace

std::optional<ChainSection> chain_section(const Model& model, const std::string& chain) {
  const plan::Chain* found = find_chain(model, chain);
  if (found == nullptr) return {};
  ChainSection section;
  section.problem = chain::fill_problem(
      *found, model.plan.rules, study::lines_of_chain(model.plan, chain), model.plan.articles);
  section.result = chain::fill_section(section.problem);
  return section;
}

std::vector<Edit> place_line(const Model& model, const plan::Document& document,
                             const std::string& chain, const std::string& line, const Vec2& at_mm) {
  const auto section = chain_section(model, chain);
  if (!section || !std::isfinite(at_mm.x) || !std::isfinite(at_mm.y)) return {};
  const auto index = index_of(section->problem, line);
  if (!index) return {};
  return {put(model, document, chain, line, with_clearance(*section, *index, at_mm))};
}

std::vector<Edit> release_line(const plan::Document& document, const std::string& chain,
                               const std::string& line) {
  const std::string path = place_path(document, chain, line);
  if (path.empty()) return {};
  return {RemoveElement{path}};
}

std::vector<Edit> swap_lines(const Model& model, const plan::Document& document,
                             const std::string& chain, const std::string& line,
                             const std::string& other) {
  const auto section = chain_section(model, chain);
  if (!section || line == other) return {};
  const auto a = index_of(section->problem, line);
  const auto b = index_of(section->problem, other);
  if (!a || !b) return {};
  const auto& at_a = section->result.lines[*a].centre_mm;
  const auto& at_b = section->result.lines[*b].centre_mm;
  if (!at_a || !at_b) return {};
  return {put(model, document, chain, line, *at_b), put(model, document, chain, other, *at_a)};
}

std::vector<Edit> move_divider(const Model& model, const std::string& chain, std::size_t divider,
                               double x_mm) {
  const plan::Chain* found = find_chain(model, chain);
  if (found == nullptr || divider >= found->dividers.size() || !std::isfinite(x_mm)) return {};
  std::vector<double> dividers = found->dividers;
  const double half = 0.5 * found->divider_thickness;
  dividers[divider] = std::clamp(x_mm, half + 1.0, std::max(half + 1.0, found->inner_width - half));
  return {set_dividers(model, *found, std::move(dividers))};
}

std::vector<Edit> add_divider(const Model& model, const std::string& chain, double x_mm) {
  const plan::Chain* found = find_chain(model, chain);
  if (found == nullptr || !(x_mm > 0.0 && x_mm < found->inner_width)) return {};
  std::vector<double> dividers = found->dividers;
  dividers.push_back(x_mm);
  return {set_dividers(model, *found, std::move(dividers))};
}

std::vector<Edit> remove_divider(const Model& model, const std::string& chain,
                                 std::size_t divider) {
  const plan::Chain* found = find_chain(model, chain);
  if (found == nullptr || divider >= found->dividers.size()) return {};
  std::vector<double> dividers = found->dividers;
  dividers.erase(dividers.begin() + static_cast<std::ptrdiff_t>(divider));
  return {set_dividers(model, *found, std::move(dividers))};
}

}  // namespace bight::editor
