#include "picture/build_scene.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "picture/chain_section.h"
#include "picture/link_mesh.h"
#include "picture/overlays.h"
#include "picture/pose_shapes_fixture.h"

namespace bight::picture {
namespace {

scene::Scene scene_at(const Demo& demo, const std::vector<double>& pose, SceneMeshes& meshes,
                      const SceneOptions& options = {}) {
  PoseShapes shapes(demo.plan, demo.machine);
  return build_scene(demo.plan, demo.machine, shapes.at(pose), meshes, options);
}

const scene::Solid* solid_of(const scene::Scene& scene, const std::string& name) {
  for (const scene::Solid& solid : scene.solids) {
    const scene::Thing* thing = scene.thing_of(solid.id);
    if (thing != nullptr && thing->name == name) return &solid;
  }
  return nullptr;
}

TEST(BuildScene, PartsStandWhereTheirBodiesAre) {
  const Demo demo("plan.toml", "in the chains");
  SceneMeshes meshes;
  const scene::Scene scene = scene_at(demo, {600.0, 400.0, -50.0}, meshes);
  ASSERT_NE(solid_of(scene, "router"), nullptr);
  EXPECT_EQ(solid_of(scene, "router")->translation, Vec3(600.0, 400.0, -50.0));
  EXPECT_EQ(solid_of(scene, "beam")->translation, Vec3(0.0, 400.0, 0.0));
  EXPECT_EQ(solid_of(scene, "bed")->translation, Vec3(0.0));
  EXPECT_EQ(solid_of(scene, "sheet")->paint, scene::Paint::stock);
  EXPECT_EQ(solid_of(scene, "tool")->paint, scene::Paint::tool);
}

TEST(BuildScene, APoseBeyondTheTravelIsRefusedWithTheTravel) {
  const Demo demo("plan.toml", "in the chains");
  std::string problem;
  EXPECT_FALSE(pose_of(demo.machine, {{"X", 9999.0}}, LengthUnit::mm, problem));
  EXPECT_EQ(problem, "X goes from 0 to 1200 mm; found 9999");
  EXPECT_FALSE(pose_of(demo.machine, {{"Z", -3048.0}}, LengthUnit::inch, problem));
  EXPECT_NE(problem.find(" in; found -120"), std::string::npos) << problem;
  const auto pose = pose_of(demo.machine, {{"X", 1200.0}, {"Y", 0.0}}, LengthUnit::mm, problem);
  ASSERT_TRUE(pose);
  EXPECT_EQ(pose->front(), 1200.0);
}

TEST(BuildScene, MeshesAreTheSameFromPoseToPose) {
  const Demo demo("plan.toml", "in the chains");
  SceneMeshes meshes;
  const scene::Scene a = scene_at(demo, {0.0, 0.0, 0.0}, meshes);
  const scene::Scene b = scene_at(demo, {500.0, 300.0, -20.0}, meshes);
  ASSERT_EQ(a.solids.size(), b.solids.size());
  for (std::size_t i = 0; i < a.solids.size(); ++i) EXPECT_EQ(a.solids[i].mesh, b.solids[i].mesh);
  ASSERT_EQ(a.instances.size(), b.instances.size());
  for (std::size_t i = 0; i < a.instances.size(); ++i) {
    EXPECT_EQ(a.instances[i].mesh, b.instances[i].mesh);
  }
}

TEST(BuildScene, WallsFloorAndCeilingFaceTheRoom) {
  const Demo demo("plan.toml", "in the chains");
  SceneMeshes meshes;
  const scene::Scene scene = scene_at(demo, {0.0, 0.0, 0.0}, meshes);
  const auto inward = [&](const char* name) { return solid_of(scene, name)->inward; };
  EXPECT_EQ(inward("floor"), Vec3(0.0, 0.0, 1.0));
  EXPECT_EQ(inward("ceiling"), Vec3(0.0, 0.0, -1.0));
  EXPECT_EQ(inward("left wall"), Vec3(1.0, 0.0, 0.0));
  EXPECT_EQ(inward("right wall"), Vec3(-1.0, 0.0, 0.0));
  EXPECT_EQ(inward("back wall"), Vec3(0.0, -1.0, 0.0));
  EXPECT_FALSE(inward("cabinet"));
  EXPECT_FALSE(inward("bed"));
}

TEST(BuildScene, TheTravelBoxIsWhereTheTipCanGo) {
  const Demo demo("plan.toml", "in the chains");
  SceneMeshes meshes;
  const scene::Scene scene = scene_at(demo, {0.0, 0.0, 0.0}, meshes);
  // Tip (50, 30, 137), travel 1200 x 800 x 120.
  const auto travel = std::find_if(scene.clouds.begin(), scene.clouds.end(),
                                   [](const auto& c) { return c.paint == scene::Paint::travel; });
  ASSERT_NE(travel, scene.clouds.end());
  EXPECT_EQ(travel->boxes.front().lower, Vec3(50.0, 30.0, 17.0));
  EXPECT_EQ(travel->boxes.front().upper, Vec3(1250.0, 830.0, 137.0));
}

TEST(BuildScene, WithAMovingTableTheTravelBoxGoesWithTheWork) {
  const Demo demo("moving-table.toml");
  SceneMeshes meshes;
  const auto box_at = [&](double y) {
    const scene::Scene scene = scene_at(demo, {0.0, y, 0.0}, meshes);
    return std::find_if(scene.clouds.begin(), scene.clouds.end(),
                        [](const auto& c) { return c.paint == scene::Paint::travel; })
        ->boxes.front();
  };
  EXPECT_NEAR(box_at(100.0).lower.y - box_at(0.0).lower.y, -100.0, 1e-9);
  EXPECT_EQ(work_translation(demo.machine, {0.0, 100.0, 0.0}), Vec3(0.0, -100.0, 0.0));
}

TEST(BuildScene, SelectionIsShown) {
  const Demo demo("plan.toml", "in the chains");
  SceneMeshes meshes;
  SceneOptions options;
  options.selected = scene::Thing{scene::ThingKind::chain, "X chain"};
  options.hovered = scene::Thing{scene::ThingKind::part, "beam"};
  const scene::Scene scene = scene_at(demo, {0.0, 0.0, 0.0}, meshes, options);
  std::size_t selected = 0;
  for (const auto& i : scene.instances) selected += i.emphasis == scene::Emphasis::selected ? 1 : 0;
  EXPECT_EQ(selected, 2U);  // its links and its brackets
  EXPECT_EQ(solid_of(scene, "beam")->emphasis, scene::Emphasis::hovered);
}

TEST(BuildScene, PoseOfNamesTakesHomeForTheRestAndRefusesUnknownJoints) {
  const Demo demo("plan.toml", "in the chains");
  std::string problem;
  const auto pose = pose_of(demo.machine, {{"Y", 250.0}}, LengthUnit::mm, problem);
  ASSERT_TRUE(pose);
  EXPECT_EQ(*pose, (std::vector<double>{0.0, 250.0, 0.0}));
  EXPECT_FALSE(pose_of(demo.machine, {{"Q", 1.0}}, LengthUnit::mm, problem));
  EXPECT_NE(problem.find("Q"), std::string::npos);
}

TEST(Overlays, AFindingAboutARunMarksItsLinesAndHasASign) {
  const Demo demo("plan.toml", "hung from the rafter");
  const study::StudyResult result = study::run_study(demo.plan, demo.machine);
  const auto finding =
      std::find_if(result.findings.begin(), result.findings.end(),
                   [](const auto& f) { return f.severity != study::Severity::note; });
  ASSERT_NE(finding, result.findings.end());  // the cord is 17 mm short
  SceneMeshes meshes;
  scene::Scene scene = scene_at(demo, finding->pose, meshes);
  add_finding(scene, demo.plan, demo.machine, result, *finding);
  ASSERT_EQ(scene.signs.size(), 1U);
  EXPECT_EQ(scene.signs[0].mark, scene::Mark::act);
  const bool marked = std::any_of(scene.tubes.begin(), scene.tubes.end(), [&](const auto& tube) {
    return tube.emphasis == scene::Emphasis::selected &&
           scene.thing_of(tube.id)->name == "router cord";
  });
  EXPECT_TRUE(marked);
}

TEST(Overlays, TheDimensionOfAClearanceReadsItsDistance) {
  scene::Scene scene;
  study::ClearancePair pair;
  pair.lower_mm = 3.214;
  pair.upper_mm = 3.22;
  pair.wanted_mm = 5.0;
  pair.point_b = {3.22, 0.0, 0.0};
  add_witness(scene, pair);
  ASSERT_EQ(scene.dimensions.size(), 1U);
  EXPECT_EQ(scene.dimensions[0].text, "3.22 mm");
  EXPECT_EQ(scene.dimensions[0].mark, scene::Mark::act);
  pair.lower_mm = 0.0;
  add_witness(scene, pair);
  EXPECT_EQ(scene.dimensions[1].text, "contact");
  scene.unit = LengthUnit::inch;
  pair.lower_mm = 25.4;
  pair.upper_mm = 25.4;
  add_witness(scene, pair);
  EXPECT_EQ(scene.dimensions[2].text, "1.0000 in");
  EXPECT_EQ(scene.dimensions[2].mark, scene::Mark::clear);
}

TEST(Overlays, BlockedCellsThatShareAFaceBecomeOneBoxAtTheTip) {
  const Demo demo("plan.toml", "in the chains");
  clearance::BlockedRegion region;
  for (const double x : {0.0, 10.0, 20.0}) {
    region.cells.push_back(
        {{{x, x + 10.0}, {0.0, 5.0}, {-120.0, -100.0}}, clearance::CellState::blocked, {0}});
  }
  scene::Scene scene;
  add_blocked_region(scene, demo.machine, region);
  ASSERT_EQ(scene.clouds.size(), 1U);
  ASSERT_EQ(scene.clouds[0].boxes.size(), 1U);
  EXPECT_EQ(scene.clouds[0].boxes[0].lower, Vec3(50.0, 30.0, 17.0));
  EXPECT_EQ(scene.clouds[0].boxes[0].upper, Vec3(80.0, 35.0, 37.0));
}

TEST(Overlays, ReachMapPaintsHeightsAndBlockedCells) {
  study::ReachMap map;
  map.map.grid = {{0.0, 0.0}, {30.0, 10.0}, 10.0};
  map.map.columns = 3;
  map.map.rows = 1;
  const double inf = std::numeric_limits<double>::infinity();
  map.map.cells = {
      {20.0, 20.0, true, true, 0}, {60.0, 60.0, true, false, 0}, {60.0, inf, true, false, 0}};
  scene::Scene scene;
  add_reach_map(scene, map, 18.0);
  ASSERT_EQ(scene.maps.size(), 1U);
  ASSERT_EQ(scene.maps[0].cells.size(), 2U);
  EXPECT_DOUBLE_EQ(scene.maps[0].cells[0].value, 1.0);  // deepest
  EXPECT_DOUBLE_EQ(scene.maps[0].cells[1].value, 0.0);
  EXPECT_EQ(scene.maps[0].cells[1].corner, Vec3(10.0, 0.0, 18.0));
  ASSERT_EQ(scene.clouds.size(), 1U);  // the cell that the tool never gets to
  EXPECT_EQ(scene.clouds[0].paint, scene::Paint::blocked);
  ASSERT_EQ(scene.legends.size(), 1U);
  EXPECT_EQ(scene.legends[0].at_low, "60.0 mm");
  EXPECT_EQ(scene.legends[0].at_high, "20.0 mm");
}

TEST(Overlays, HookMapKeepsCellsThatWorkAndMarksTheBest) {
  free::HookMap map;
  map.valid = true;
  const auto place = [](double s, double t, double margin) {
    free::HookPlaceWindow p;
    p.at = {s, t};
    p.place = {1000.0 * s, 500.0 * t, 1600.0};
    p.margin_mm = margin;
    p.works = margin > 0.0;
    p.recommended_mm = 1200.0;
    return p;
  };
  map.places = {place(0.0, 0.0, 40.0), place(0.5, 0.0, 40.0), place(0.0, 1.0, 80.0),
                place(0.5, 1.0, 80.0), place(1.0, 0.0, -5.0), place(1.0, 1.0, -5.0)};
  map.cells = {{{0, 1, 2, 3}, 0, free::HookCellKind::works},
               {{1, 4, 3, 5}, 0, free::HookCellKind::fails}};
  map.best = 2;
  scene::Scene scene;
  add_hook_map(scene, "hook", map, {{0.0, 0.0, 1600.0}, {1000.0, 0.0, 0.0}, {0.0, 500.0, 0.0}});
  ASSERT_EQ(scene.maps[0].cells.size(), 1U);
  EXPECT_DOUBLE_EQ(scene.maps[0].cells[0].value, 0.75);
  EXPECT_EQ(scene.maps[0].cells[0].across, Vec3(500.0, 0.0, 0.0));
  ASSERT_EQ(scene.signs.size(), 1U);
  EXPECT_EQ(scene.signs[0].at, Vec3(0.0, 500.0, 1600.0));
  EXPECT_EQ(scene.labels[0].text, "best: 1200 mm");
}

TEST(Overlays, APathGoesThroughThePlacesOfTheTip) {
  const Demo demo("plan.toml", "in the chains");
  scene::Scene scene;
  add_path(scene, demo.machine, std::vector<std::vector<double>>{{0, 0, 0}, {100, 50, -10}});
  ASSERT_EQ(scene.strokes.size(), 1U);
  EXPECT_EQ(scene.strokes[0].points[1], Vec3(150.0, 80.0, 127.0));
}

TEST(LinkMesh, IsClosedAsWideAsThePlanSaysAndShorterThanThePitch) {
  const Demo demo("plan.toml", "in the chains");
  const plan::Chain& chain = demo.plan.chains.front();
  const shape::Mesh mesh = make_link_mesh(chain);
  const Vec3 size = shape::bounds(mesh).size();
  EXPECT_LT(size.x, chain.pitch);
  EXPECT_NEAR(size.y, chain.outer_width, 1e-9);
  EXPECT_NEAR(size.z, chain.outer_height, 1e-9);
  EXPECT_GT(shape::signed_volume(mesh), 0.0);
  EXPECT_LT(shape::bounds(make_bracket_mesh(chain)).upper.x, 1e-9);
}

TEST(ChainSection, DrawsEveryLineInsideTheWallsAndNamesIt) {
  const Demo demo("plan.toml", "in the chains");
  const study::StudyResult result = study::run_study(demo.plan, demo.machine);
  ASSERT_FALSE(result.chains.empty());
  const study::ChainFigures& figures = result.chains.front();
  const plan::Chain& chain =
      *std::find_if(demo.plan.chains.begin(), demo.plan.chains.end(),
                    [&](const plan::Chain& c) { return c.name == figures.name; });
  const Drawing drawing = chain_section(chain, figures, LengthUnit::mm);
  ASSERT_EQ(drawing.circles.size(), 2 * figures.line_names.size());
  for (std::size_t i = 0; i < figures.line_names.size(); ++i) {
    const DrawnCircle& line = drawing.circles[2 * i + 1];
    EXPECT_NEAR(2.0 * line.radius_mm, figures.line_diameters_mm[i], 1e-9);
    EXPECT_GE(line.centre.x - line.radius_mm, 0.0);
    EXPECT_LE(line.centre.x + line.radius_mm, chain.inner_width);
    EXPECT_GE(line.centre.y - line.radius_mm, 0.0);
    EXPECT_LE(line.centre.y + line.radius_mm, chain.inner_height);
    const bool named = std::any_of(drawing.texts.begin(), drawing.texts.end(), [&](const auto& t) {
      return t.text.find(figures.line_names[i]) != std::string::npos;
    });
    EXPECT_TRUE(named);
  }
  const bool width = std::any_of(drawing.texts.begin(), drawing.texts.end(), [&](const auto& t) {
    return t.text == length_text(chain.inner_width, LengthUnit::mm);
  });
  EXPECT_TRUE(width);
}

}  // namespace
}  // namespace bight::picture
