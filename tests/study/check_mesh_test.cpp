#include "study/check_mesh.h"

#include <filesystem>
#include <fstream>

#include "plan_fixture.h"

namespace bight::study {
namespace {

/// A plan with one mesh part beside the small machine, in a folder of its own.
class CheckMesh : public testing::Test {
 protected:
  void SetUp() override {
    std::string name =
        (std::filesystem::temp_directory_path() / "bight-check-mesh-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  /// Studies the plan with a box of `x` x `y` x `z` file units as its mesh. The last triangle is
  /// left out, or all are turned over.
  StudyResult study_box(double x, double y, double z, const std::string& keys = "",
                        bool complete = true, bool outward = true) const {
    std::ofstream file(folder_ / "clamp.obj");
    for (int corner = 0; corner < 8; ++corner) {
      file << "v " << (corner & 1 ? x : 0.0) << ' ' << (corner & 2 ? y : 0.0) << ' '
           << (corner & 4 ? z : 0.0) << '\n';
    }
    const int faces[12][3] = {{1, 3, 2}, {2, 3, 4}, {5, 6, 7}, {6, 8, 7}, {1, 2, 5}, {2, 6, 5},
                              {3, 7, 4}, {4, 7, 8}, {1, 5, 3}, {3, 5, 7}, {2, 4, 6}, {4, 8, 6}};
    for (int f = 0; f < (complete ? 12 : 11); ++f) {
      file << "f " << faces[f][0] << ' ' << faces[f][outward ? 1 : 2] << ' '
           << faces[f][outward ? 2 : 1] << '\n';
    }
    file.close();
    const std::string plan = small_machine() +
                             "[[part]]\nname = \"clamp\"\nrole = \"clamp\"\nshape = \"mesh\"\n"
                             "file = \"clamp.obj\"\nat = [200, 400, 0]\n" +
                             keys;
    return study_text(plan, "", {}, (folder_ / "plan.toml").string());
  }

  std::filesystem::path folder_;
};

TEST_F(CheckMesh, ASoundMeshOfALikelySizeHasNoFinding) {
  EXPECT_EQ(find(study_box(150, 40, 30), "mesh"), nullptr);
}

TEST_F(CheckMesh, AFileInMetresReadAsMillimetresIsDoubted) {
  const StudyResult result = study_box(0.15, 0.04, 0.03);
  const Finding* finding = find(result, "mesh");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NEAR(finding->value, 0.15, 1e-6);
  // The longest travel, 1000 mm, is the size of the machine.
  EXPECT_NEAR(finding->limit, 1000.0 / 30.0, 1e-9);
  EXPECT_NE(finding->what.find("0.150 mm across"), std::string::npos) << finding->what;
  EXPECT_NE(finding->advice.find("file_unit of clamp to \"m\" (150 mm)"), std::string::npos)
      << finding->advice;
  EXPECT_EQ(find(study_box(0.15, 0.04, 0.03, "file_unit = \"m\"\n"), "mesh"), nullptr);
}

TEST_F(CheckMesh, AFileInInchesReadAsMillimetresIsANoteWithTheUnitsThatFit) {
  // 300 mm are 11.81 in; read as mm that could be a small part, so it only asks to look.
  const StudyResult result = study_box(300 / 25.4, 2, 2);
  const Finding* finding = find(result, "mesh");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_NE(finding->advice.find("\"cm\" (118 mm) or \"in\" (300 mm)"), std::string::npos)
      << finding->advice;
}

TEST_F(CheckMesh, AFileInMillimetresReadAsMetresIsDoubted) {
  const StudyResult result = study_box(150, 40, 30, "file_unit = \"m\"\n");
  const Finding* finding = find(result, "mesh");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NE(finding->advice.find("\"mm\" (150 mm)"), std::string::npos) << finding->advice;
}

TEST_F(CheckMesh, AHoleAsksToBeClosed) {
  const StudyResult result = study_box(150, 40, 30, "", false);
  const Finding* finding = find(result, "mesh");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->value, 3.0);  // the edges of one triangle
  EXPECT_EQ(finding->unit, "edges");
  EXPECT_NE(finding->what.find("clamp.obj has 3 open edges"), std::string::npos) << finding->what;
}

TEST_F(CheckMesh, AnInsideOutMeshIsANoteSinceItStillCountsAsSolid) {
  const StudyResult result = study_box(150, 40, 30, "", true, false);
  const Finding* finding = find(result, "mesh");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_NE(finding->what.find("inside out"), std::string::npos) << finding->what;
  EXPECT_EQ(result.verdict, Verdict::clear);
}

TEST_F(CheckMesh, TwoPartsOfOneFileAreOneFinding) {
  const StudyResult result =
      study_box(0.15, 0.04, 0.03,
                "[[part]]\nname = \"second\"\nrole = \"clamp\"\nshape = \"mesh\"\n"
                "file = \"clamp.obj\"\nat = [600, 400, 0]\n");
  ASSERT_EQ(std::count_if(result.findings.begin(), result.findings.end(),
                          [](const Finding& f) { return f.check == "mesh"; }),
            1);
  EXPECT_EQ(find(result, "mesh")->things, (std::vector<std::string>{"clamp", "second"}));
}

}  // namespace
}  // namespace bight::study
