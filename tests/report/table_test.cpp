#include "report/table.h"

#include <gtest/gtest.h>

#include <sstream>

namespace bight::report {
namespace {

std::size_t widest_line(const std::string& text) {
  std::istringstream lines(text);
  std::size_t widest = 0;
  for (std::string line; std::getline(lines, line);) widest = std::max(widest, line.size());
  return widest;
}

TEST(Table, ColumnsAlignAndLinesDoNotEndInSpaces) {
  EXPECT_EQ(table_text({{"line", "cut"}, {"cord", "1167 mm"}, {"hose", "90 mm"}},
                       {Align::left, Align::right}),
            "  line      cut\n"
            "  cord  1167 mm\n"
            "  hose    90 mm\n");
}

TEST(Table, TextIsWrappedAtSpacesAndNumbersStayWhole) {
  const std::string text =
      table_text({{"part", "proved clearance"}, {"a clamp at the far left corner", "1234.56 mm"}},
                 {Align::left, Align::right}, 2, 37);
  EXPECT_EQ(text,
            "  part                         proved\n"
            "                            clearance\n"
            "  a clamp at the far       1234.56 mm\n"
            "  left corner\n")
      << text;
}

TEST(Table, MoreColumnsThanAPageHoldsGoOnBelowWithTheFirstColumn) {
  std::vector<std::vector<std::string>> rows = {{"row"}, {"price"}};
  for (int i = 0; i < 12; ++i) {
    rows[0].push_back("option " + std::to_string(i));
    rows[1].push_back(std::to_string(100 + i) + ".00 EUR");
  }
  std::vector<Align> align(13, Align::right);
  align.front() = Align::left;
  const std::string text = table_text(rows, align, 2, 60);
  EXPECT_LE(widest_line(text), 60U) << text;
  EXPECT_NE(text.find("\n\n  row"), std::string::npos) << text;
  for (int i = 0; i < 12; ++i) {
    EXPECT_NE(text.find(std::to_string(100 + i) + ".00 EUR"), std::string::npos) << i;
  }
}

TEST(FittedLines, GoOnUnderTheirLastColumnAndCommandsBehindABackslash) {
  EXPECT_EQ(fitted_lines("  --mass FLOAT  of the chain and its fill\n", 30),
            "  --mass FLOAT  of the chain\n"
            "                and its fill\n");
  EXPECT_EQ(fitted_lines("Example: bight calc hang --dx 2000\n", 24),
            "Example: bight calc \\\n"
            "  hang --dx 2000\n");
  EXPECT_EQ(fitted_lines("short\n", 30), "short\n");
}

}  // namespace
}  // namespace bight::report
