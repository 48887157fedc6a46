#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <future>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/number.h"
#include "base/units.h"
#include "cli/command.h"
#include "cli/load.h"
#include "picture/build_scene.h"
#include "picture/overlays.h"
#include "render/offscreen.h"
#include "render/snapshot.h"
#include "scene/visibility.h"
#include "shape/isolated.h"
#include "study/hook_place.h"
#include "study/reach_map.h"

namespace bight::cli {
namespace {

struct Arguments {
  std::string plan;
  std::string option = "base";
  std::string view = "corner";
  std::vector<std::string> pose;
  std::string size = "1280x800";
  std::string scheme = "light";
  std::size_t finding = 0;
  std::string out;
  std::string cut;
  double scale = 1.0;
  bool inch = false;
  bool straight = false;
  std::vector<std::string> show;
  std::string hold;
  bool plain = false;
};

/// A wrong argument: what is wrong, said once.
struct Wrong {
  std::string what;
};

[[noreturn]] void refuse(std::string what) {
  throw Wrong{std::move(what)};
}

scene::Viewport size_of(const std::string& text) {
  constexpr int k_least = 64;
  constexpr int k_most = 8000;
  const auto x = text.find('x');
  scene::Viewport size;
  const auto number = [](const std::string& part, int& to) {
    const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), to);
    return error == std::errc{} && end == part.data() + part.size();
  };
  if (x == std::string::npos || !number(text.substr(0, x), size.width) ||
      !number(text.substr(x + 1), size.height) || size.width < k_least || size.height < k_least ||
      size.width > k_most || size.height > k_most) {
    refuse("--size is WIDTHxHEIGHT in pixels, each 64 to 8000, for example 1280x800; found " +
           text);
  }
  return size;
}

/// "X=100" as a name and mm.
std::pair<std::string, double> assignment(const std::string& text, double mm_per_unit,
                                          const char* option) {
  const auto equals = text.find('=');
  const auto value = equals == std::string::npos
                         ? std::nullopt
                         : parse_number(std::string_view(text).substr(equals + 1));
  if (!value || equals == 0) {
    refuse(std::string(option) + " takes NAME=NUMBER, for example X=100; found " + text);
  }
  return {text.substr(0, equals), *value * mm_per_unit};
}

std::vector<double> pose_from(const Arguments& arguments, const machine::Machine& machine,
                              LengthUnit unit) {
  const double mm_per_unit = unit == LengthUnit::inch ? k_mm_per_inch : 1.0;
  std::vector<std::pair<std::string, double>> values;
  for (const std::string& text : arguments.pose) {
    values.push_back(assignment(text, mm_per_unit, "--pose"));
  }
  std::string problem;
  auto pose = picture::pose_of(machine, values, unit, problem);
  if (!pose) refuse("--pose: " + problem);
  return std::move(*pose);
}

/// Everything beyond the plane on the viewer's side goes.
scene::Section section_from(const std::string& text, double mm_per_unit,
                            const scene::Camera& camera) {
  const auto [name, value] = assignment(text, mm_per_unit, "--cut");
  const std::string axes = "XYZ";
  const auto axis = axes.find(name);
  if (name.size() != 1 || axis == std::string::npos) refuse("--cut takes X, Y or Z; found " + name);
  const auto i = static_cast<int>(axis);
  scene::Section section;
  section.point[i] = value;
  section.normal[i] = scene::frame_of(camera).forward[i] > 0.0 ? -1.0 : 1.0;
  return section;
}

/// Around the nearest points of a clearance, else around the marked things.
Box finding_box(const scene::Scene& scene) {
  if (scene.dimensions.empty()) return scene.focus;
  constexpr double k_share = 0.14;
  Box box;
  box.extend(scene.dimensions.back().from);
  box.extend(scene.dimensions.back().to);
  return grown(box, k_share * glm::length(scene.focus.size()));
}

/// The first map of a hold; of none the first of all.
const study::HookMap& map_of(const study::HookMaps& maps, const std::string& hold) {
  std::string known;
  for (const study::HookMap& map : maps.maps) {
    if (hold.empty() || map.hold == hold) return map;
    if (known.find(map.hold) == std::string::npos) known += (known.empty() ? "" : ", ") + map.hold;
  }
  refuse("--hold: there is no map of " + hold + "; there are " + known);
}

/// Lays the wanted maps over the scene.
void add_shown(const std::vector<std::string>& show, const std::string& hold,
               const plan::Plan& plan, const machine::Machine& machine,
               const std::vector<double>& pose, scene::Scene& scene) {
  for (const std::string& what : show) {
    if (what == "reach") {
      constexpr double k_cell_mm = 20.0;
      picture::add_reach_map(scene, study::make_reach_map(plan, machine, k_cell_mm),
                             picture::work_level(plan, machine),
                             picture::work_translation(machine, pose));
    } else if (what == "blocked") {
      picture::add_blocked_region(scene, machine, picture::blocked_region_of(plan, machine));
    } else {
      const study::HookMaps maps = study::map_hooks(plan, machine);
      if (maps.maps.empty()) refuse("--show hooks: " + maps.problem);
      // One hold at a time, or the maps would hide each other.
      const study::HookMap& map = map_of(maps, hold);
      picture::add_hook_map(scene, map.hold, map.map, map.area);
    }
  }
}

Box drawn_maps(const scene::Scene& scene) {
  Box box;
  for (const scene::HeatMap& map : scene.maps) {
    for (const scene::HeatCell& cell : map.cells) {
      box.extend(cell.corner);
      box.extend(cell.corner + cell.across + cell.up);
    }
  }
  return box;
}

scene::Camera camera_for(const Arguments& arguments) {
  const auto camera = scene::turned_to({}, arguments.view);
  if (!camera) {
    std::string names;
    for (const scene::NamedView& view : scene::named_views()) {
      names += (names.empty() ? "" : ", ") + std::string(view.name);
    }
    refuse("--view: there is no view " + arguments.view + "; there are " + names);
  }
  scene::Camera chosen = *camera;
  chosen.straight = chosen.straight || arguments.straight;
  return chosen;
}

/// What is drawn, without OpenGL.
struct Prepared {
  scene::Scene scene;
  scene::Camera camera;
  render::ReadyMeshes meshes;
};

/// Nothing after problems with the plan, which are told.
std::optional<Prepared> prepare(const Arguments& arguments, const scene::Viewport& size) {
  const auto loaded = load(arguments.plan, {.option = arguments.option});
  if (!loaded) return {};
  const plan::Plan& plan = loaded->front().plan;
  const machine::Machine& machine = loaded->front().machine;
  const double mm_per_unit = plan.inches ? k_mm_per_inch : 1.0;
  std::vector<double> pose =
      pose_from(arguments, machine, plan.inches ? LengthUnit::inch : LengthUnit::mm);

  std::optional<study::StudyResult> result;
  if (arguments.finding > 0) {
    result = std::move(study_all(*loaded, 0).front());
    if (arguments.finding > result->findings.size()) {
      refuse(fmt::format("--finding: the plan has {} findings, there is no number {}",
                         result->findings.size(), arguments.finding));
    }
    const study::Finding& finding = result->findings[arguments.finding - 1];
    if (finding.pose.size() == pose.size()) pose = finding.pose;
  }

  picture::SceneMeshes meshes;
  picture::PoseShapes shapes(plan, machine);
  picture::SceneOptions options;
  options.unit = arguments.inch || plan.inches ? LengthUnit::inch : LengthUnit::mm;
  options.names = !arguments.plain;
  options.travel_box = !arguments.plain;
  options.work_areas = !arguments.plain;
  options.title = !arguments.plain;
  Prepared prepared;
  scene::Scene& scene = prepared.scene;
  scene = picture::build_scene(plan, machine, shapes.at(pose), meshes, options);
  Box fit = scene.focus;
  if (result) {
    picture::add_finding(scene, plan, machine, *result, result->findings[arguments.finding - 1]);
    fit = finding_box(scene);
  }
  add_shown(arguments.show, arguments.hold, plan, machine, pose, scene);
  if (!arguments.show.empty()) fit.extend(drawn_maps(scene));
  const scene::Camera camera = camera_for(arguments);
  if (!arguments.cut.empty()) {
    scene.section = section_from(arguments.cut, mm_per_unit, camera);
    fit = scene::kept_of(scene, fit);
  }
  prepared.camera = scene::fitted(camera, fit, size);
  prepared.meshes = render::buffers_of(render::meshes_of(scene));
  return prepared;
}

int draw(const Arguments& arguments) {
  const scene::Viewport size = size_of(arguments.size);
  // Reading meshes and starting OpenGL take about as long: side by side.
  auto preparing = std::async(std::launch::async, [&] { return prepare(arguments, size); });
  if (!shape::isolation_stands_threads()) preparing.wait();  // it forks to read meshes
  render::SnapshotOptions options;
  options.size = size;
  options.scheme = arguments.scheme == "dark" ? scene::Scheme::dark : scene::Scheme::light;
  options.text_px *= arguments.scale;
  options.annotate.scale = arguments.scale;
  options.annotate.legends = !arguments.plain;
  std::string no_context;
  const auto context = render::OffscreenContext::create(no_context);
  std::optional<render::SnapshotMaker> maker;
  if (context) maker.emplace(options);
  auto prepared = preparing.get();
  if (!prepared) return k_exit_bad_input;
  if (!maker) refuse(no_context);
  const render::Image image =
      maker->take(prepared->scene, prepared->camera, std::move(prepared->meshes));
  const std::string failed = render::write_png(arguments.out, image);
  if (!failed.empty()) refuse(failed);
  return k_exit_clear;
}

int run(const Arguments& arguments) {
  try {
    return draw(arguments);
  } catch (const Wrong& wrong) {
    fmt::print(stderr, "bight picture: {}\n", wrong.what);
    return k_exit_bad_input;
  }
}

}  // namespace

void add_picture(CLI::App& app, int& exit_code) {
  auto arguments = std::make_shared<Arguments>();
  CLI::App* command =
      app.add_subcommand("picture", "Draws the machine into a PNG file, without a display");
  command->add_option("plan", arguments->plan, "The plan file")->required();
  command->add_option("-o,--out", arguments->out, "The PNG file to write")->required();
  command->add_option("--option", arguments->option, "Option of the plan")->capture_default_str();
  command
      ->add_option("--view", arguments->view,
                   "corner, left-corner, back-corner, low (in perspective); front, back, left, "
                   "right, above, below (straight)")
      ->capture_default_str();
  command->add_flag("--straight", arguments->straight, "Straight (orthographic) for every view");
  command
      ->add_option("--pose", arguments->pose,
                   "Joint values in the plan's unit, X=100,Y=50; others stay at home")
      ->delimiter(',');
  command->add_option("--size", arguments->size, "Pixels")->capture_default_str();
  command->add_option("--scale", arguments->scale, "Of text and lines")
      ->check(CLI::Range(0.5, 4.0))
      ->capture_default_str();
  command->add_option("--scheme", arguments->scheme, "light or dark")
      ->check(CLI::IsMember({"light", "dark"}))
      ->capture_default_str();
  command->add_option("--finding", arguments->finding,
                      "Show finding N, as `bight check` numbers them, at its pose");
  command->add_option("--cut", arguments->cut,
                      "Cut away the viewer's side of a plane: X=100, Y=.. or Z=..");
  command
      ->add_option("--show", arguments->show,
                   "reach: on the bed, how low the tool gets; blocked: where parts touch; hooks: "
                   "where else a hook could be (--hold)")
      ->delimiter(',')
      ->check(CLI::IsMember({"reach", "blocked", "hooks"}));
  command->add_option("--hold", arguments->hold,
                      "The hook, boom or anchor of which --show hooks has the map (the first)");
  command->add_flag("--inch", arguments->inch, "Lengths in inches");
  command->add_flag("--plain", arguments->plain, "Without names, legends and travel");
  command->footer(
      "Example: bight picture assets/demo/plan.toml --option \"in the chains\" --view corner "
      "--pose X=600,Y=400 -o machine.png");
  command->callback([arguments, &exit_code] { exit_code = run(*arguments); });
}

}  // namespace bight::cli
