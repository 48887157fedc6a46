#include <fmt/core.h>

#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "cli/calc.h"
#include "cli/command.h"
#include "rod/catenary.h"
#include "rod/rod_on_floor.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::optional<double> dx_mm;
  std::optional<double> dz_mm;
  double length_mm = 0.0;
  double mass_kg_m = 0.0;
  std::optional<double> stiffness_Nm2;
  std::optional<double> start_angle_deg;
  std::optional<double> end_angle_deg;
  std::optional<double> floor_mm;  ///< height of the start above it
  bool free_end = false;
  bool json = false;
};

int refuse(const std::string& why) {
  fmt::print(stderr, "bight: {}\n", why);
  return k_exit_bad_input;
}

const char* status_text(rod::CatenaryStatus status) {
  switch (status) {
    case rod::CatenaryStatus::hangs:
      return "hangs";
    case rod::CatenaryStatus::vertical:
      return "vertical";
    case rod::CatenaryStatus::straight:
      return "straight";
    case rod::CatenaryStatus::too_short:
      return "too short";
    case rod::CatenaryStatus::invalid:
      break;
  }
  return "invalid";
}

/// Below the straight line between the ends; where that is upright, below the lower end.
double sag_below(const rod::CatenaryProblem& problem, const rod::Catenary& line) {
  if (problem.dx_mm > 0.0) return line.sag_mm;
  return std::max(0.0, std::min(0.0, problem.dz_mm) - line.lowest.y);
}

int run_limp(const rod::CatenaryProblem& problem, bool json) {
  const rod::Catenary line = rod::solve_catenary(problem);
  const bool forces =
      line.status == rod::CatenaryStatus::hangs || line.status == rod::CatenaryStatus::vertical;
  if (json) {
    nlohmann::ordered_json out = {{"status", status_text(line.status)},
                                  {"length_mm", problem.length_mm}};
    if (line.status == rod::CatenaryStatus::too_short) out["short_by_mm"] = line.short_by_mm;
    if (line.has_shape()) {
      out["sag_mm"] = sag_below(problem, line);
      out["lowest_mm"] = {line.lowest.x, line.lowest.y};
      out["slope_start_deg"] = line.slope_start_deg;
      out["slope_end_deg"] = line.slope_end_deg;
    }
    if (forces) {
      out["horizontal_N"] = line.horizontal_force_N;
      out["vertical_start_N"] = line.vertical_start_N;
      out["vertical_end_N"] = line.vertical_end_N;
      out["tension_start_N"] = line.tension_start_N;
      out["tension_end_N"] = line.tension_end_N;
    }
    fmt::print("{}\n", out.dump(2));
  } else if (line.status == rod::CatenaryStatus::too_short) {
    fmt::print("does not reach: {:.1f} mm too short\n", line.short_by_mm);
  } else if (line.has_shape()) {
    if (problem.dx_mm > 0.0) {
      fmt::print("sag below the straight line  {:.1f} mm\n", line.sag_mm);
    } else {
      fmt::print("sag below the lower end      {:.1f} mm\n", sag_below(problem, line));
    }
    fmt::print("lowest point                 {:.1f} mm across, {:.1f} mm up from the start\n",
               line.lowest.x, line.lowest.y);
    fmt::print("slope at start and end       {:.2f}, {:.2f} deg\n", line.slope_start_deg,
               line.slope_end_deg);
    if (forces) {
      fmt::print("horizontal force             {:.3f} N\n", line.horizontal_force_N);
      fmt::print("pull at start and end        {:.3f}, {:.3f} N\n", line.tension_start_N,
                 line.tension_end_N);
    } else {
      fmt::print("stretched straight: the pull has no bound\n");
    }
    fmt::print("a limp line at rest, by formula (catenary)\n");
  }
  if (line.status == rod::CatenaryStatus::invalid) {
    return refuse("dx must be 0 or more, length and mass more than 0");
  }
  return line.status == rod::CatenaryStatus::too_short ? k_exit_stop : k_exit_clear;
}

const char* status_text(const rod::RodOnFloorResult& line) {
  switch (line.report.status) {
    case rod::RodStatus::converged:
      if (!line.refined) return "not converged";
      return line.touches.empty() ? "hangs" : "touches the floor";
    case rod::RodStatus::unstable:
      return "unstable";
    case rod::RodStatus::not_converged:
      return "not converged";
    case rod::RodStatus::too_short:
      return "too short";
    case rod::RodStatus::invalid:
      break;
  }
  return "invalid";
}

/// A radius of a million lengths is none: a column that stands upright.
bool is_bent(const Arguments& a, const rod::PlanarRodFigures& f) {
  return f.smallest_radius_mm < 1e6 * a.length_mm;
}

/// More line than two straight drops and the way between them take: it cannot but heap up.
bool heaps_up(const Arguments& a) {
  return a.floor_mm && !a.free_end &&
         a.length_mm - std::abs(*a.dx_mm) > 2.0 * *a.floor_mm + *a.dz_mm;
}

/// Evenly spaced along the line.
nlohmann::ordered_json spaced_points(const std::vector<Vec2>& joints) {
  constexpr int k_spaces = 100;
  double length = 0.0;
  for (std::size_t i = 1; i < joints.size(); ++i) length += glm::distance(joints[i - 1], joints[i]);
  auto points = nlohmann::ordered_json::array();
  std::size_t leg = 1;
  double before = 0.0;
  for (int i = 0; i <= k_spaces; ++i) {
    const double s = length * i / k_spaces;
    double here = glm::distance(joints[leg - 1], joints[leg]);
    while (s > before + here && leg + 1 < joints.size()) {
      before += here;
      ++leg;
      here = glm::distance(joints[leg - 1], joints[leg]);
    }
    const double share = here > 0.0 ? std::min(1.0, (s - before) / here) : 0.0;
    const Vec2 q = joints[leg - 1] + share * (joints[leg] - joints[leg - 1]);
    points.push_back({q.x, q.y});
  }
  return points;
}

nlohmann::ordered_json stiff_json(const Arguments& a, const rod::RodOnFloorResult& line) {
  nlohmann::ordered_json out = {{"status", status_text(line)}, {"length_mm", a.length_mm}};
  if (line.report.status == rod::RodStatus::too_short) {
    out["short_by_mm"] = std::hypot(*a.dx_mm, *a.dz_mm) - a.length_mm;
  }
  out["residual"] = line.report.residual;
  if (!line.converged()) return out;
  const rod::PlanarRodFigures& f = line.figures;
  out["segments"] = line.segments;
  if (a.free_end) out["tip_mm"] = {line.tip.x, line.tip.y};
  out["lowest_mm"] = {f.lowest.x, f.lowest.y};
  out["min_radius_mm"] = nullptr;
  out["min_radius_at_mm"] = nullptr;
  if (is_bent(a, f)) {
    out["min_radius_mm"] = f.smallest_radius_mm;
    out["min_radius_at_mm"] = f.smallest_radius_at_mm;
  }
  out["moment_start_Nmm"] = f.moment_start_Nmm;
  out["moment_end_Nmm"] = f.moment_end_Nmm;
  out["horizontal_N"] = f.horizontal_force_N;
  out["vertical_start_N"] = f.vertical_start_N;
  out["vertical_end_N"] = f.vertical_end_N;
  if (a.floor_mm) {
    double lying = 0.0;
    auto touches = nlohmann::ordered_json::array();
    for (const rod::FloorTouch& t : line.touches) {
      lying += t.to_mm - t.from_mm;
      touches.push_back({{"from_mm", t.from_mm},
                         {"to_mm", t.to_mm},
                         {"from_x_mm", t.from_x_mm},
                         {"to_x_mm", t.to_x_mm},
                         {"push_from_N", t.push_from_N},
                         {"push_to_N", t.push_to_N}});
    }
    if (!line.touches.empty()) out["touchdown_at_mm"] = line.touches.front().from_mm;
    out["lying_mm"] = lying;
    out["floor_force_N"] = line.floor_force_N;
    out["touches"] = touches;
  }
  out["points_mm"] = spaced_points(line.points);
  return out;
}

void print_stiff(const Arguments& a, const rod::RodOnFloorResult& line) {
  const rod::PlanarRodFigures& f = line.figures;
  if (a.free_end) {
    fmt::print("free end                     {:.1f} mm across, {:.1f} mm up from the start\n",
               line.tip.x, line.tip.y);
  }
  fmt::print("lowest point                 {:.1f} mm across, {:.1f} mm up from the start\n",
             f.lowest.x, f.lowest.y);
  if (is_bent(a, f)) {
    fmt::print("smallest bend radius         {:.1f} mm, {:.1f} mm from the start along the line\n",
               f.smallest_radius_mm, f.smallest_radius_at_mm);
  } else {
    fmt::print("straight\n");
  }
  fmt::print("bending moment at the ends   {:.2f}, {:.2f} N mm (start, end)\n", f.moment_start_Nmm,
             f.moment_end_Nmm);
  fmt::print("horizontal force             {:.4f} N ({})\n", f.horizontal_force_N,
             a.free_end                   ? "the end is free"
             : f.horizontal_force_N < 0.0 ? "the line pushes its ends apart"
                                          : "the line pulls its ends together");
  fmt::print("vertical force in the line   {:.4f}, {:.4f} N (start, end; up positive)\n",
             f.vertical_start_N, f.vertical_end_N);
  for (const rod::FloorTouch& t : line.touches) {
    if (t.to_mm > t.from_mm) {
      fmt::print("lies on the floor            from {:.1f} to {:.1f} mm along the line\n",
                 t.from_mm, t.to_mm);
      fmt::print("  where it comes down        {:.1f} mm across, pressed by {:.4f} N\n",
                 t.from_x_mm, t.push_from_N);
      if (t.push_to_N > 0.0) {
        fmt::print("  where it rises             {:.1f} mm across, pressed by {:.4f} N\n",
                   t.to_x_mm, t.push_to_N);
      }
    } else {
      fmt::print(
          "touches the floor            {:.1f} mm along, {:.1f} mm across, pressed by "
          "{:.4f} N\n",
          t.from_mm, t.from_x_mm, t.push_from_N);
    }
  }
  if (!line.touches.empty()) {
    fmt::print("the floor bears              {:.4f} N in all\n", line.floor_force_N);
  } else if (a.floor_mm) {
    fmt::print("hangs clear of the floor\n");
  }
  fmt::print(
      "a stiff line at rest without set or friction: {} links a free piece, residual {:.0e}\n",
      line.segments, line.report.residual);
}

int run_stiff(const Arguments& a) {
  rod::PlanarRodProblem problem{
      .length_mm = a.length_mm, .mass_kg_m = a.mass_kg_m, .stiffness_Nm2 = *a.stiffness_Nm2};
  const auto end = [](const std::optional<double>& angle) {
    return angle ? rod::PlanarEnd{rod::EndKind::clamped, *angle} : rod::PlanarEnd{};
  };
  problem.at_start = end(a.start_angle_deg);
  if (a.free_end) {
    // A tail lies on to the side to which the clamp points, unless it is told.
    const double ahead = 180.0 * std::trunc(a.start_angle_deg.value_or(0.0) / 180.0 +
                                            std::copysign(0.4999, a.start_angle_deg.value_or(0.0)));
    problem.at_end = {rod::EndKind::free, a.end_angle_deg.value_or(ahead)};
  } else {
    problem.end = {*a.dx_mm, *a.dz_mm};
    problem.at_end = end(a.end_angle_deg);
  }
  // Of several shapes the one of lowest energy; to a thousandth in the radius.
  const rod::RefineOptions options{.shape = rod::ShapeChoice::lowest,
                                   .change = 5e-4,
                                   .first_segments = 128,
                                   .most_segments = 4096};
  rod::RodOnFloorResult line;
  if (a.floor_mm) {
    line = rod::solve_rod_on_floor({.rod = problem, .floor_mm = -*a.floor_mm}, options);
  } else {
    const rod::RodResult hanging = rod::solve_rod(problem, options);
    line.report = hanging.report;
    line.refined = hanging.refined;
    line.segments = hanging.segments;
    line.figures = hanging.figures;
    line.tip = hanging.tip;
    line.points = hanging.points;
  }
  if (line.report.status == rod::RodStatus::invalid) {
    return refuse(
        "length, mass, stiffness and height over the floor must be more than 0, "
        "all values finite, and the end not below the floor");
  }
  if (a.json) {
    fmt::print("{}\n", stiff_json(a, line).dump(2));
  } else if (line.report.status == rod::RodStatus::too_short) {
    fmt::print("does not reach: {:.1f} mm too short\n",
               std::hypot(*a.dx_mm, *a.dz_mm) - a.length_mm);
  } else if (line.report.status == rod::RodStatus::unstable) {
    fmt::print("unstable: the only equilibrium found is one in which no line would stay\n");
  } else if (!line.converged()) {
    fmt::print("not converged: no shape was found that could be trusted (residual {:.0e})\n",
               line.report.residual);
  } else {
    print_stiff(a, line);
  }
  if (!a.json && !line.converged() && heaps_up(a)) {
    fmt::print(
        "so much line heaps up on the floor, and a heap has no shape that can be computed\n");
  }
  return line.converged() ? k_exit_clear : k_exit_stop;
}

int run(const Arguments& a) {
  if (a.free_end && (a.dx_mm || a.dz_mm)) {
    return refuse("--free-end: nothing holds the end, so it takes no --dx and no --dz");
  }
  if (!a.free_end && !(a.dx_mm && a.dz_mm)) {
    return refuse("--dx and --dz say where the end is held (or give --free-end)");
  }
  if (!a.stiffness_Nm2) {
    if (a.start_angle_deg || a.end_angle_deg || a.free_end || a.floor_mm) {
      return refuse(
          "--start-angle, --end-angle, --free-end and --floor need --stiffness: a limp "
          "line takes no direction ('bight calc droop' measures a stiffness)");
    }
    return run_limp({*a.dx_mm, *a.dz_mm, a.length_mm, a.mass_kg_m}, a.json);
  }
  if (a.free_end && a.end_angle_deg) {
    if (!a.floor_mm) return refuse("--free-end: nothing turns the end, so it takes no --end-angle");
    if (std::remainder(*a.end_angle_deg, 180.0) != 0.0) {
      return refuse(
          "--free-end with --floor: --end-angle says which way the tail lies, "
          "a multiple of 180");
    }
  }
  return run_stiff(a);
}

}  // namespace

void add_calc_hang(CLI::App& calc, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      calc.add_subcommand("hang", "A line that hangs between two points, limp or stiff");
  command->add_option("--dx", arguments->dx_mm, "Horizontal distance of the ends, mm");
  command->add_option("--dz", arguments->dz_mm, "Height of the end above the start, mm");
  command->add_option("--length", arguments->length_mm, "Length of the line, mm")->required();
  command->add_option("--mass", arguments->mass_kg_m, "Mass of the line, kg/m")->required();
  command->add_option("--stiffness", arguments->stiffness_Nm2,
                      "Bending stiffness EI, N m^2 (see calc droop); without it the line is limp");
  command->add_option("--start-angle", arguments->start_angle_deg,
                      "Clamped: direction in which the line leaves the start, deg from "
                      "horizontal, up positive (-90: straight down)");
  command->add_option("--end-angle", arguments->end_angle_deg,
                      "Clamped: its direction at the end, continuous along the line (90: arrives "
                      "from below); for a free tail on the floor 0, 180 or -180");
  command->add_flag("--free-end", arguments->free_end, "Nothing holds the end");
  command->add_option("--floor", arguments->floor_mm, "Height of the start above a flat floor, mm");
  command->add_flag("--json", arguments->json, "As JSON (docs/json.md)");
  command->footer(
      "Examples: bight calc hang --dx 2000 --dz 0 --length 2200 --mass 0.1 --json\n"
      "          bight calc hang --dx 250 --dz 0 --length 900 --mass 0.1 --stiffness 0.01 "
      "--start-angle -90 --end-angle 90\n"
      "          bight calc hang --free-end --floor 300 --length 900 --mass 0.1 --stiffness 0.01 "
      "--start-angle 0");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
