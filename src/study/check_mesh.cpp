#include "study/check_mesh.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>

#include "base/box.h"
#include "base/counted.h"
#include "shape/mesh.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

using machine::PlacedPart;

// Size of a part as a share of the machine's (common practice). Beyond `odd` a person should look;
// beyond `absurd` no part of a machine can be.
constexpr double k_small_odd = 1.0 / 30.0;
constexpr double k_small_absurd = 1.0 / 200.0;
constexpr double k_large_odd = 2.5;
constexpr double k_large_absurd = 20.0;
/// Size that stands for the machine's when nothing else tells it, mm.
constexpr double k_common_size_mm = 1000.0;

double longest(const Box& box) {
  const Vec3 size = box.size();
  return std::max({size.x, size.y, size.z});
}

/// The longest travel, or the longest side of all that is not a mesh and not around the machine.
double machine_size(const machine::Machine& machine) {
  double size = 0.0;
  for (const plan::Joint& joint : machine.joints) {
    size = std::max(size, joint.travel[1] - joint.travel[0]);
  }
  Box box;
  for (const PlacedPart& part : machine.parts) {
    if (part.health != nullptr || part.role == plan::Role::surroundings) continue;
    // A floor is as large as anyone likes.
    const Box own = shape::bounds(part.solid->mesh);
    box.extend(own.lower);
    box.extend(own.upper);
  }
  if (!box.empty()) size = std::max(size, longest(box));
  return size > 0.0 ? size : k_common_size_mm;
}

/// "0.412", "12.7", "1270": three digits, whatever the size.
std::string size_text(const Context& context, double mm) {
  const int decimals = std::clamp(2 - static_cast<int>(std::floor(std::log10(mm))), 0, 6);
  return context.length(mm, decimals);
}

Finding finding_of(const plan::Part& part, const std::vector<std::string>& things,
                   Severity severity, const std::string& what) {
  Finding finding = make_finding("mesh", severity, Certainty::proved, things, "edges");
  finding.what =
      part.name + ": its mesh " + std::filesystem::path(part.file).filename().string() + " " + what;
  return finding;
}

/// Units in which the file would be of a likely size: "file_unit = "m" (412 mm)".
std::string other_units(const Context& context, const plan::Part& part, double across,
                        double machine) {
  struct Unit {
    const char* name;
    double mm;
  };
  constexpr std::array<Unit, 4> units = {{{"mm", 1.0}, {"cm", 10.0}, {"in", 25.4}, {"m", 1000.0}}};
  std::string text;
  for (const Unit& unit : units) {
    const double size = across / part.file_unit_mm * unit.mm;
    if (unit.mm == part.file_unit_mm || size < k_small_odd * machine ||
        size > k_large_odd * machine) {
      continue;
    }
    text += std::string(text.empty() ? "" : " or ") + "\"" + unit.name + "\" (" +
            size_text(context, size) + ")";
  }
  return text;
}

/// A part far smaller or larger than the machine.
void check_size(const Context& context, const plan::Part& part, const Box& box,
                const std::vector<std::string>& things, std::vector<Finding>& findings) {
  const double machine = machine_size(context.machine);
  const double across = longest(box);
  const double share = across / machine;
  const bool around = part.role == plan::Role::surroundings;
  const bool small = share < k_small_odd;
  const bool large = share > (around ? k_large_absurd : k_large_odd);
  if (!(across > 0.0) || (!small && !large)) return;
  const bool absurd = share < k_small_absurd || share > k_large_absurd;
  Finding finding = finding_of(
      part, things, absurd ? Severity::act : Severity::note,
      "is " + size_text(context, across) + " across, the machine " + size_text(context, machine));
  finding.certainty = Certainty::formula;
  finding.unit = "mm";
  finding.value = across;
  finding.limit = machine * (small ? k_small_odd : around ? k_large_absurd : k_large_odd);
  const std::string units = other_units(context, part, across, machine);
  finding.advice = units.empty() ? "look at the unit of the file and at its export: no unit makes "
                                   "it between " +
                                       size_text(context, k_small_odd * machine) + " and " +
                                       size_text(context, k_large_odd * machine)
                                 : "if the file is not in the unit that it is read in, set "
                                   "file_unit of " +
                                       part.name + " to " + units;
  findings.push_back(std::move(finding));
}

void check_surface(const plan::Part& part, const shape::Health& h,
                   const std::vector<std::string>& things, std::vector<Finding>& findings) {
  const auto add = [&](Severity severity, std::size_t count, const char* unit,
                       const std::string& what, const std::string& advice) {
    if (count == 0) return;
    Finding finding = finding_of(part, things, severity, what);
    finding.value = static_cast<double>(count);
    finding.unit = unit;
    finding.advice = advice;
    findings.push_back(std::move(finding));
  };
  const std::string edges = counted(h.open_edges, "open edge", "open edges");
  add(Severity::act, h.open_edges, "edges",
      "has " + edges +
          ": what passes through a hole of the surface is not seen, and its inside does not count "
          "as solid",
      "close the " + edges + " in the drawing program and export it as a solid");
  const std::size_t odd = h.misoriented_edges + h.branched_edges;
  add(Severity::note, odd, "edges",
      "has " + counted(odd, "edge", "edges") +
          " at which its sheets disagree about the outside: its surface counts, its inside does "
          "not count as solid",
      "export it as a solid, or mend " + counted(odd, "edge", "edges") + " in the drawing program");
  if (h.shells == 1) {
    add(Severity::note, h.inside_out_shells, "pieces",
        "is inside out, as a mirrored export is: no harm to clearances",
        "flip the normals of " + counted(h.triangles, "triangle", "triangles"));
  } else {
    const std::string pieces =
        counted(h.inside_out_shells, "piece", "pieces") + " of " + std::to_string(h.shells);
    add(Severity::act, h.inside_out_shells, "pieces",
        "has " + pieces +
            " inside out: where they lie in others, the inside does not count as "
            "solid",
        "flip the normals of " + pieces + " in the drawing program");
  }
  add(Severity::note, h.duplicate_triangles, "triangles",
      "has " + counted(h.duplicate_triangles, "triangle", "triangles") +
          " more than once: no harm to the surface",
      "export it with " + counted(h.duplicate_triangles, "triangle", "triangles") + " less");
}

}  // namespace

std::vector<Finding> check_meshes(const Context& context) {
  std::vector<Finding> findings;
  std::vector<const shape::Health*> seen;
  for (const PlacedPart& placed : context.machine.parts) {
    const shape::Health* health = placed.health.get();
    if (health == nullptr || std::find(seen.begin(), seen.end(), health) != seen.end()) continue;
    seen.push_back(health);
    std::vector<std::string> things;
    for (const PlacedPart& other : context.machine.parts) {
      if (other.health == placed.health) things.push_back(other.name);
    }
    const plan::Part& part = by_name(context.plan.parts, placed.name);
    check_size(context, part, health->box, things, findings);
    check_surface(part, *health, things, findings);
  }
  return findings;
}

}  // namespace bight::study
