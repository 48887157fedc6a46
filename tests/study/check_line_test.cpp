#include "study/check_line.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

std::string with_line(const std::string& points, const std::string& bend,
                      const std::string& circuit) {
  return small_machine() + R"(
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.2
bend_radius_fixed = 35
cores = 3
core_area = 1.5
price = 2.0
purchase_step = 500
[[run]]
name = "along the wall"
[[run.leg]]
way = "fixed"
body = "ground"
points = )" +
         points + "\nbend_radius = " + bend + R"(
[[line]]
name = "supply"
article = "cable"
run = "along the wall"
termination_start = 100
termination_end = 50
service_loop = 200
)" + circuit;
}

TEST(CheckLine, TheCutLengthAddsUpAndIsRoundedToThePurchaseStep) {
  // 300 + 200 with one corner rounded to 40: 482.83185 (legs + r (a - 2 tan(a / 2)), plane
  // geometry).
  const StudyResult result = study_text(with_line("[[0,0,0],[300,0,0],[300,200,0]]", "40", ""));
  ASSERT_EQ(result.lines.size(), 1U);
  EXPECT_NEAR(result.lines[0].net_mm, 482.83185 + 350.0, 1e-5);
  EXPECT_NEAR(result.lines[0].cut_mm, 1.05 * (482.83185 + 350.0), 1e-5);
  EXPECT_EQ(result.lines[0].buy_mm, 1000.0);
  EXPECT_NEAR(result.lines[0].price.value(), 2.0, 1e-12);
}

TEST(CheckLine, ACornerTighterThanTheLineAllowsIsNamed) {
  // 35 mm inner radius is 40 mm at the centre line.
  const StudyResult result = study_text(with_line("[[0,0,0],[300,0,0],[300,200,0]]", "38", ""));
  const Finding* finding = find(result, "clipped bend");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->value, 38.0);
  EXPECT_EQ(finding->limit, 40.0);
  EXPECT_EQ(finding->severity, Severity::act);
}

TEST(CheckLine, CornersTooCloseForTheirRadiusStop) {
  const StudyResult result =
      study_text(with_line("[[0,0,0],[300,0,0],[300,60,0],[0,60,0]]", "40", ""));
  const Finding* finding = find(result, "clipped bend");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_NEAR(finding->value, -20.0, 1e-9);  // two tangents of 40 in a leg of 60
}

TEST(CheckLine, AVoltageDropAboveItsLimitAsksForALargerConductor) {
  // 24 V DC, 2 A over the 8.4 m that are cut (8 m and 5 %) of 0.5 mm^2 at 20 deg C drop 5.46 % (IEC
  // 60228 class 5: 39.0 ohm/km).
  std::string plan = with_line("[[0,0,0],[7650,0,0]]", "0", R"(
[line.circuit]
system = "dc"
voltage = 24
current = 2
temperature = 20
max_drop_percent = 5
)");
  plan.replace(plan.find("core_area = 1.5"), 15, "core_area = 0.5");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "voltage drop");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 5.46, 1e-9);
  // 0.75 mm^2: 26.0 ohm/km, 3.64 %.
  EXPECT_NE(finding->advice.find("0.75 mm^2 conductors (3.64 %)"), std::string::npos)
      << finding->advice;
}

TEST(CheckLine, TheLoopThatAMeterShowsIsThatOfThePieceThatIsCut) {
  // 1000 + 350 mm and 5 %: 1.4175 m out and back of 13.3 ohm/km (IEC 60228 class 5, 1.5 mm^2).
  const StudyResult result = study_text(
      with_line("[[0,0,0],[1000,0,0]]", "0", "[line.circuit]\nvoltage = 230\ncurrent = 1\n"));
  ASSERT_TRUE(result.lines[0].drop.has_value());
  EXPECT_NEAR(result.lines[0].drop->loop_ohm, 2.0 * 1.4175 * 0.0133, 1e-9);
}

TEST(CheckLine, AStretchThatNoLegCoversIsNoticed) {
  std::string plan = with_line("[[0,0,0],[300,0,0]]", "0", "");
  const std::string line = "[[line]]";
  plan.insert(plan.find(line), R"([[run.leg]]
way = "fixed"
body = "ground"
points = [[300,0,400],[600,0,400]]
)");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "gap in a run");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NEAR(finding->value, 400.0, 1e-9);
  EXPECT_NE(finding->advice.find("(300.0, 0.0, 400.0) mm"), std::string::npos) << finding->advice;
}

}  // namespace
}  // namespace bight::study
