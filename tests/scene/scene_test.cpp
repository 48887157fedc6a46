#include "scene/scene.h"

#include <gtest/gtest.h>

#include "shape/primitive.h"

namespace bight::scene {
namespace {

TEST(Scene, AThingKeepsItsIdAndIdsLeadBackToThings) {
  Scene scene;
  const Id a = scene.id_of({ThingKind::part, "bed"});
  const Id b = scene.id_of({ThingKind::line, "cord", 2});
  EXPECT_NE(a, b);
  EXPECT_EQ(scene.id_of({ThingKind::part, "bed"}), a);
  ASSERT_NE(scene.thing_of(b), nullptr);
  EXPECT_EQ(scene.thing_of(b)->name, "cord");
  EXPECT_EQ(scene.thing_of(0), nullptr);
  EXPECT_EQ(scene.thing_of(99), nullptr);
}

TEST(Scene, BoxOfAThingHoldsAllItsDrawables) {
  Scene scene;
  const Id id = scene.id_of({ThingKind::part, "block"});
  Solid solid;
  solid.mesh = std::make_shared<const shape::Mesh>(shape::make_box(Vec3(0.0), Vec3(10.0)));
  solid.translation = {100.0, 0.0, 0.0};
  solid.id = id;
  scene.solids.push_back(solid);
  scene.tubes.push_back({{{0.0, 0.0, 0.0}, {0.0, 50.0, 0.0}}, {}, 2.0, Paint::support, id});
  const Box box = box_of(scene, id);
  EXPECT_EQ(box.lower, Vec3(-2.0, -2.0, -2.0));
  EXPECT_EQ(box.upper, Vec3(110.0, 52.0, 10.0));
  EXPECT_TRUE(box_of(scene, 0).empty());
}

}  // namespace
}  // namespace bight::scene
