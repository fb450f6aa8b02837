// The class sheet: everybody is on it, counted right, and whatever a roster holds is shown as text.
#include "page/class_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "base/markup.h"
#include "page/sample_class.h"
#include "support/run_program.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing::sample_class;

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

TEST(ClassSheet, BeginsWithTheCountsAndThenWhoMustDoSomething) {
  const std::string html = class_sheet_html(sample_class());
  std::size_t last = html.find("<main>");
  for (const char* part :
       {"<h1>1\u00a0square, 2\u00a0to adjust, 1\u00a0too close to call, 1\u00a0to cut or scan again.</h1>",
        "Who must adjust", "15.7 thou (0.0157 in) toward you", "180.0 thou (0.1800 in) toward you",
        "Who must cut or scan again", "There is more than one strip", "Too close to call", "Unplug the saw",
        "Hold small pieces with a hold-down", "<table"}) {
    const std::size_t at = html.find(part, last);
    ASSERT_NE(at, std::string::npos) << part;
    last = at;
  }
}

TEST(ClassSheet, HasARowABenchInTheOrderGiven) {
  const std::string html = class_sheet_html(sample_class());
  const std::string table = html.substr(html.find("<tbody>"));
  EXPECT_EQ(count(table, "<tr>"), 5U);
  EXPECT_EQ(count(table, "class=\"drawing mark\""), 4U);  // the refused one has its picture instead
  EXPECT_EQ(count(table, "<img"), 1U);
  EXPECT_THAT(table, HasSubstr("-4.20\u00a0\u00b1\u00a00.24 thou"));  // -0.00035 * 12 in
  EXPECT_THAT(table, HasSubstr("Note: </b>An edge is not straight."));
  EXPECT_LT(table.find("<bdi>1</bdi>"), table.find("<bdi>2</bdi>"));
  EXPECT_LT(table.find("<bdi>2</bdi>"), table.find("<bdi>bench 3</bdi>"));
}

TEST(ClassSheet, LinksLeadBesideTheSheetOnly) {
  const std::string html = class_sheet_html(sample_class());
  EXPECT_THAT(html, HasSubstr("href=\"./pages/bench%203.html\""));
  EXPECT_THAT(html, HasSubstr("href=\"./javascript%3Aalert%284%29\""));
  EXPECT_THAT(html, Not(HasSubstr("href=\"javascript:")));
}

TEST(ClassSheet, ARosterIsShownAsText) {
  const std::string html = class_sheet_html(sample_class());
  EXPECT_EQ(count(html, "<script"), 1U);  // its own
  for (const char* name : {testing::kScriptName, testing::kQuotedName, testing::kRightToLeftName,
                           testing::kOverrideName, testing::kEmojiName})
    EXPECT_THAT(html, HasSubstr("<bdi>" + html_escape(name) + "</bdi>"));
  EXPECT_THAT(html, HasSubstr("\u2068Period 3 &lt;/title&gt;&lt;script&gt;\u2069</title>"));
}

// The far outlier of bench 5 is cut off at the scale's end instead of pressing the others together.
TEST(ClassSheet, AllIntervalsShareAScaleOnWhichTheToleranceIsSeen) {
  const std::string html = class_sheet_html(sample_class());
  EXPECT_THAT(html, HasSubstr("on one scale from -8.0 to +8.0 thou"));
  const std::regex band("<rect x=\"([0-9.]+)\" y=\"1.0\" width=\"([0-9.]+)\"");
  std::size_t bands = 0;
  for (std::sregex_iterator it(html.begin(), html.end(), band), end; it != end; ++it, ++bands) {
    EXPECT_EQ((*it)[1], "45.8");  // 60 - 2 / 8 * 57
    EXPECT_EQ((*it)[2], "28.5");
  }
  EXPECT_EQ(bands, 4U);
}

TEST(ClassSheet, RowsComeFromReports) {
  MeasurementReport report = testing::sample_report();
  const ClassRow measured = class_row(report);
  EXPECT_EQ(measured.standing, Standing::kAdjust);
  EXPECT_DOUBLE_EQ(measured.error.value(), 0.00025);
  EXPECT_EQ(measured.to_do, "Move the right end of the fence 0.250 mm toward you.");
  EXPECT_EQ(measured.warnings.size(), 1U);
  report.measurement = Failure{"two-strips", "Two strips.", "Leave one."};
  const ClassRow refused = class_row(report);
  EXPECT_EQ(refused.standing, Standing::kNotMeasured);
  EXPECT_EQ(refused.reason, "Two strips.");
  EXPECT_EQ(refused.to_do, "Leave one.");
  EXPECT_FALSE(refused.error.has_value());
}

TEST(ClassSheet, AnEmptyClassAndOneWithoutToleranceAreSheetsToo) {
  ClassSheet sheet = sample_class();
  sheet.tolerance.reset();
  const std::string open = class_sheet_html(sheet);
  EXPECT_THAT(open, HasSubstr("no tolerance given"));
  EXPECT_THAT(open, HasSubstr("Out of square"));
  EXPECT_THAT(open, Not(HasSubstr("class=\"band\"")));
  sheet.rows.clear();
  EXPECT_THAT(class_sheet_html(sheet), HasSubstr("<h1>No bench yet.</h1>"));
}

TEST(ClassSheet, IsTheSameTwice) {
  EXPECT_EQ(class_sheet_html(sample_class()), class_sheet_html(sample_class()));
}

// Independent: coreutils' sha256sum.
TEST(ClassSheet, TheBrowserIsToldTheRightScript) {
  const TempDir dir;
  ASSERT_TRUE(write_file_whole(dir.file("script.js"), class_sheet_script()).ok());
  const auto run = testing::run_program("sha256sum", {dir.file("script.js")});
  ASSERT_EQ(run.status, 0);
  std::string digest;
  for (std::size_t i = 0; i < 64; i += 2)
    digest += static_cast<char>(std::stoi(run.out.substr(i, 2), nullptr, 16));
  EXPECT_EQ(class_sheet_script_hash(), base64(digest));
}

}  // namespace
}  // namespace tapersight
