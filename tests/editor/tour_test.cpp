#include "editor/tour.h"

#include <set>

#include "clearance/query.h"
#include "editor/series.h"
#include "editor/table.h"
#include "editor_fixture.h"
#include "machine/limits.h"
#include "study/free_run.h"

namespace bight::editor {
namespace {

std::shared_ptr<const Model> demo(const std::string& option = {}) {
  machine::MeshCache cache;
  return read_model(text_of(k_demo), k_demo, option, cache).model;
}

TEST(Tour, GoesFromHomeOverAllCornersAndEdgesToTheLeastMargins) {
  const auto model = demo();
  const study::StudyResult study = study::run_study(model->plan, model->machine);
  const Tour tour = make_tour(model->machine, &study);
  EXPECT_EQ(tour.stops.front().pose, machine::home_pose(model->machine.joints));
  std::set<std::vector<double>> stops;
  std::set<std::pair<std::vector<double>, std::vector<double>>> ways;
  for (std::size_t i = 0; i < tour.stops.size(); ++i) {
    stops.insert(tour.stops[i].pose);
    if (i == 0) continue;
    EXPECT_GT(tour.stops[i].time_s, tour.stops[i - 1].time_s);
    ways.insert(std::minmax(tour.stops[i - 1].pose, tour.stops[i].pose));
  }
  const auto corners = machine::corner_poses(machine::soft_travel(model->machine.joints));
  std::size_t edges = 0;
  for (const auto& a : corners) {
    EXPECT_EQ(stops.count(a), 1U);
    for (const auto& b : corners) {
      int differ = 0;
      for (std::size_t j = 0; j < a.size(); ++j) differ += a[j] != b[j] ? 1 : 0;
      if (differ == 1 && a < b) edges += ways.count({a, b});
    }
  }
  EXPECT_EQ(edges, 12U);  // of a box
  EXPECT_EQ(stops.count(study.clearance.front().pose), 1U);
}

TEST(Tour, MovesStraightAtTheRapidRate) {
  const auto model = demo();
  const Tour tour = make_tour(model->machine, nullptr);
  // X has 9000 mm/min = 150 mm/s and 1200 mm of travel.
  const auto x = std::find_if(tour.stops.begin(), tour.stops.end(),
                              [](const TourStop& s) { return s.what == "X+ Y\u2013 Z\u2013"; });
  ASSERT_NE(x, tour.stops.end());
  EXPECT_NEAR(x->time_s - std::prev(x)->time_s, 1200.0 / 150.0 + 0.5, 1e-9);
  EXPECT_EQ(pose_at(tour, x->time_s), x->pose);
  EXPECT_EQ(pose_at(tour, -1.0), tour.stops.front().pose);
  EXPECT_EQ(pose_at(tour, 1e9), tour.stops.back().pose);
  for (double t = 0.0; t < tour.duration_s; t += 0.37) {
    EXPECT_EQ(pose_at(tour, t), clamped_pose(model->machine, pose_at(tour, t)));
  }
}

TEST(TourSeries, NeverGoesBelowWhatIsProvedForTheWholeTravel) {
  const auto model = demo("hung from the rafter");
  const study::StudyResult study = study::run_study(model->plan, model->machine);
  const Tour tour = make_tour(model->machine, &study);
  const TourSeries series = tour_series(*model, tour, 60);
  ASSERT_FALSE(series.series.empty());
  double least = 1e9;
  for (const double value : series.series[0].values) least = std::min(least, value);
  EXPECT_GE(least, study.clearance.front().lower_mm - 1e-6);
  // The tour visits the pose of the least clearance, so it is attained.
  EXPECT_LE(least, study.clearance.front().upper_mm + 1e-6);
  ASSERT_EQ(series.series.size(), 1 + 3 * study.free_runs.size());
  const study::FreeRunFigures& run = study.free_runs.front();
  double slack = 1e9;
  for (const double value : series.series[1].values) slack = std::min(slack, value);
  EXPECT_NEAR(slack, run.length_mm - run.farthest_mm, 1e-6);  // attained at a corner
}

TEST(TourSeries, SlackFallsBelowItsLimitWhereTheCheckSaysTooShort) {
  // 1150 mm are given, and at the farthest pose the wanted slack is lacking.
  const auto model = demo("hung from the rafter");
  const study::StudyResult study = study::run_study(model->plan, model->machine);
  const study::FreeRunFigures& run = study.free_runs.front();
  ASSERT_LT(run.length_mm, run.min_mm);
  const TourSeries series = tour_series(*model, make_tour(model->machine, &study), 60);
  const Series& slack = series.series[1];
  const double least = *std::min_element(slack.values.begin(), slack.values.end());
  EXPECT_LT(least, slack.limit);
  EXPECT_NEAR(slack.limit - least, run.min_mm - run.length_mm, 1e-6);
}

TEST(TourSeries, SaysWhyACurveIsNotKnown) {
  const auto model = demo("plug at the head");
  const TourSeries series = tour_series(*model, make_tour(model->machine, nullptr), 5);
  EXPECT_TRUE(std::any_of(series.series.begin(), series.series.end(),
                          [](const Series& s) { return s.unknown == "no length works"; }));
}

TEST(TourSeries, EachFreeRunHasCurvesUnderANameOfItsOwn) {
  // Two of its runs hang between the same two anchors.
  const auto model = demo("in the chains");
  const TourSeries series = tour_series(*model, make_tour(model->machine, nullptr), 5);
  std::set<std::string> names;
  for (const Series& s : series.series) names.insert(s.name);
  EXPECT_EQ(names.size(), series.series.size());
  EXPECT_TRUE(names.contains("slack, extraction from above"));
}

TEST(TourSeries, DoesNotDependOnTheThreadsAndStopsWhenAsked) {
  const auto model = demo();
  const Tour tour = make_tour(model->machine, nullptr);
  const TourSeries one = tour_series(*model, tour, 20, nullptr, 1);
  const TourSeries four = tour_series(*model, tour, 20, nullptr, 4);
  for (std::size_t s = 0; s < one.series.size(); ++s) {
    for (std::size_t i = 0; i < one.time_s.size(); ++i) {
      const double a = one.series[s].values[i];
      const double b = four.series[s].values[i];
      EXPECT_TRUE(a == b || (std::isnan(a) && std::isnan(b)));
    }
  }
  Progress progress;
  progress.cancel();
  EXPECT_TRUE(tour_series(*model, tour, 20, &progress).cancelled);
}

TEST(CarriedPose, KeepsTheValuesOfJointsThatAreStillThere) {
  machine::Machine from;
  machine::Machine to;
  from.joints.resize(2);
  from.joints[0].name = "X";
  from.joints[1].name = "Z";
  to.joints.resize(2);
  to.joints[0].name = "Z";
  to.joints[0].travel = {-50.0, 0.0};
  to.joints[1].name = "Y";
  to.joints[1].travel = {10.0, 20.0};
  EXPECT_EQ(carried_pose(from, {5.0, -80.0}, to), (std::vector<double>{-50.0, 10.0}));
}

TEST(Table, HasAllOptionsLinesAndPrices) {
  const auto model = demo();
  const study::StudyResult study = study::run_study(model->plan, model->machine);
  const Table lengths = length_table(study.lines, "EUR", LengthUnit::mm);
  ASSERT_EQ(lengths.rows.size(), study.lines.size() + 1);
  EXPECT_EQ(lengths.rows[0][5].value, study.lines[0].buy_mm);
  const Table prices = price_table(study.drums, "EUR", LengthUnit::inch);
  ASSERT_EQ(prices.rows.size(), study.drums.size() + 1);
  double sum = 0.0;
  for (const line::Drum& drum : study.drums) sum += drum.price.value_or(0.0);
  EXPECT_NEAR(prices.rows.back().back().value, sum, 1e-9);
  EXPECT_NE(prices.rows[0][3].text.find(" in"), std::string::npos);
  const study::Comparison comparison =
      study::compare_options({study::option_figures(model->plan, model->machine, study)});
  const Table table = comparison_table(comparison, "EUR", LengthUnit::mm);
  EXPECT_EQ(table.columns.size(), 2U);
  for (const auto& row : table.rows) EXPECT_EQ(row.size(), table.columns.size());
  const std::string text = table_text(table);
  EXPECT_EQ(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')),
            table.rows.size() + 1);
}

TEST(Table, ALengthThatCannotWorkIsMarked) {
  const auto model = demo("plug at the head");
  const study::StudyResult study = study::run_study(model->plan, model->machine);
  const Table table = length_table(study.lines, "EUR", LengthUnit::mm);
  ASSERT_EQ(table.rows[0][0].text, "router cord");
  EXPECT_TRUE(table.rows[0][2].text.ends_with(", no length works")) << table.rows[0][2].text;
  EXPECT_EQ(table.rows[0][4].tone, Tone::bad);
  EXPECT_EQ(table.rows[1][4].tone, Tone::plain);
}

}  // namespace
}  // namespace bight::editor
