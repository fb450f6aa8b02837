// The page of one measurement: the decision comes first, everything is there, nothing is misread.
#include "page/measurement_page.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "assess/assess.h"
#include "page/budget_words.h"
#include "page/pictures.h"
#include "report/caliper_report.h"
#include "report/sample_report.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing::sample_picture;
using testing::sample_report;

MeasurementReport report_with(const char* tolerance) {
  MeasurementReport report = sample_report();
  report.wishes.tolerance = parse_tolerance(tolerance).value();
  conclude(report);
  return report;
}

std::string page_of(const MeasurementReport& report) {
  const auto page = measurement_page(sample_picture(), report);
  EXPECT_TRUE(page.ok());
  return page ? *page : std::string();
}

// Content of the first element that begins with `start`, tags left out.
std::string words_of(const std::string& page, const std::string& start, const std::string& end) {
  const std::size_t from = page.find(start);
  if (from == std::string::npos) return "(no " + start + ")";
  const std::string inner = page.substr(from, page.find(end, from) - from);
  std::string words;
  bool in_tag = false;
  for (const char c : inner) {
    if (c == '<') in_tag = true;
    if (!in_tag) words += c;
    if (c == '>') in_tag = false;
  }
  return words;
}

std::string headline_of(const std::string& page) {
  return words_of(page, "<h1>", "</h1>");
}

TEST(MeasurementPage, SaysThingsInTheOrderInWhichTheyAreAsked) {
  const std::string page = page_of(report_with("0.1mm/m"));
  std::size_t last = page.find("<main>");
  ASSERT_NE(last, std::string::npos);
  EXPECT_EQ(page.find("<h1>"),
            page.find("<header", last) + std::string("<header class=\"headline adjust\">").size())
      << "a screen reader meets the decision before all else";
  for (const char* part :
       {"<h1>", "Not square", "class=\"sled-figure\"", "class=\"move\"", "id=\"decision\"", "is beyond",
        "id=\"to-do\"", "Unplug the saw", "The strip lay across", "id=\"picture\"", "<image",
        "id=\"residuals\"", "id=\"widths\"", "id=\"budget\"", "id=\"settings\"", "tapersight 9.8.7"}) {
    const std::size_t at = page.find(part, last);
    ASSERT_NE(at, std::string::npos) << part;
    last = at;
  }
}

TEST(MeasurementPage, HeadsWithTheMoveTheRestOrTheNextCut) {
  // theta 0.25 mm/m, U 0.056 mm/m, 1000 mm from the pivot.
  const std::string adjust = page_of(report_with("0.1mm/m"));
  EXPECT_EQ(headline_of(adjust), "Move the right end of the fence 0.250 mm toward you.");
  const std::string square = page_of(report_with("0.4mm/m"));
  EXPECT_EQ(headline_of(square), "Leave the fence as it is: it is square.");
  EXPECT_THAT(square, HasSubstr("headline square"));
  EXPECT_THAT(square, Not(HasSubstr("class=\"cautions\"")));
  EXPECT_THAT(adjust, HasSubstr("class=\"move\""));  // the arrow
  EXPECT_THAT(square, Not(HasSubstr("class=\"move\"")));
  const std::string undecided = page_of(report_with("0.25mm/m"));
  EXPECT_THAT(undecided, HasSubstr("Too close to call"));
  EXPECT_THAT(undecided, HasSubstr("the uncertainty reaches across the limit"));
}

TEST(MeasurementPage, AGuessIsNotAMove) {
  MeasurementReport report = sample_report();
  report.measurement->strip.u_taper = 0.01;
  conclude(report);
  const std::string page = page_of(report);
  EXPECT_EQ(headline_of(page), "Leave the fence, and cut again: which way it is out is a guess.");
  EXPECT_THAT(page, Not(HasSubstr("class=\"move\"")));  // no arrow
  EXPECT_THAT(page, HasSubstr("Keep your hands out of the blade&#39;s path"));
}

TEST(MeasurementPage, WithoutPivotOrToleranceSaysWhatIsMissing) {
  MeasurementReport report = sample_report();
  report.setup.pivot_distance_mm.reset();
  report.move.reset();
  report.advice = {};
  conclude(report);
  const std::string page = page_of(report);
  EXPECT_EQ(headline_of(page),
            "Turn the fence clockwise, seen from above, by 0.125\u00a0\u00b1\u00a00.047 mm over 500 mm.");
  EXPECT_THAT(page, HasSubstr("Out of square"));
  EXPECT_THAT(page, HasSubstr("Give --pivot and --pivot-distance"));
  EXPECT_THAT(page, HasSubstr("no tolerance was given"));
  EXPECT_THAT(page, HasSubstr("Before you touch the fence"));
}

TEST(MeasurementPage, EveryNumberHasItsUnitAndUncertainty) {
  const std::string page = page_of(report_with("0.1mm/m"));
  for (const char* value : {"0.250\u00a0\u00b1\u00a00.095 mm/m", "1.00\u00a0\u00b1\u00a00.22 mm/m",
                            "20.10\u00a0\u00b1\u00a00.11 mm", "19.90\u00a0\u00b1\u00a00.11 mm",
                            "0.005\u00a0\u00b1\u00a00.010 mm"})
    EXPECT_THAT(page, HasSubstr(value));
  EXPECT_THAT(page, HasSubstr("mm over a cut of 500 mm"));
}

TEST(MeasurementPage, TheBudgetHasEveryPartAndAddsUp) {
  MeasurementReport report = report_with("0.1mm/m");
  report.measurement->strip.budget = {{"edges", 0.00008, 10, "roughness <of> the edges"},
                                      {"calibration", 0.00006, kInfiniteDof, "sheet"},
                                      {"unheard-of", 1e-6, kInfiniteDof, "something new"}};
  const std::string page = page_of(report);
  const std::string budget = words_of(page, "id=\"budget\"", "</section>");
  // A taper's u of 1e-4 is one of 1e-4 / 4 * 500 mm = 12.5 um of the fence over the cut.
  for (const char* part : {"edges: roughness &lt;of&gt; the edges (10 degrees of freedom)",
                           "0.0100 64\u00a0%", "calibration: sheet", "0.0075 36\u00a0%",
                           "unheard-of: something new", "0.0125", "k = 2.23", "\u00b10.028 mm over 500 mm"})
    EXPECT_THAT(budget, HasSubstr(part));
  for (const BudgetRow& row : report.measurement->strip.budget)
    EXPECT_THAT(budget, HasSubstr(what_would_shrink(row.source)));
}

TEST(MeasurementPage, ShowsTheCaliperBesideThePicture) {
  MeasurementReport report = report_with("0.1mm/m");
  CaliperFile file;
  file.readings.fence_end_mm = {20.10, 20.11, 20.09};
  file.readings.far_end_mm = {19.91, 19.90, 19.89};
  const StripMeasurement& strip = report.measurement->strip;
  const auto judged = judge_beside(file, {strip.taper, strip.u_taper, strip.dof, strip.fence_end_width_mm,
                                          strip.far_end_width_mm, strip.u_width_mm, strip.length_mm()});
  ASSERT_TRUE(judged.ok());
  report.caliper = *judged;
  const std::string widths = words_of(page_of(report), "id=\"widths\"", "</section>");
  EXPECT_THAT(widths, HasSubstr("Caliper, where it sat"));
  EXPECT_THAT(widths, HasSubstr("Fence end20.10\u00a0\u00b1\u00a00.11 mm20.10"));
}

TEST(MeasurementPage, ARefusedPictureHasAPageWithTheReasonAndTheRemedy) {
  MeasurementReport report = sample_report();
  report.measurement = Failure{"two-strips", "There are <two> strips.", "Leave one."};
  const std::string page = page_of(report);
  EXPECT_EQ(headline_of(page), "Leave one.");
  EXPECT_THAT(page, HasSubstr("<p class=\"why\">There are &lt;two&gt; strips.</p>"));
  EXPECT_THAT(page, HasSubstr("<span>Not measured</span>"));
  EXPECT_THAT(page, HasSubstr("href=\"data:image/jpeg;base64,"));
  EXPECT_THAT(page, HasSubstr("How it should look"));
  EXPECT_THAT(page, HasSubstr("If you cut a new strip"));
  EXPECT_THAT(page, Not(HasSubstr("id=\"budget\"")));
  EXPECT_THAT(page, HasSubstr("tapersight measure bench-07.jpg"));
}

TEST(MeasurementPage, AFileNameIsShownAsText) {
  MeasurementReport report = sample_report();
  report.picture.file = "<script>alert(1)</script>\xff.jpg";
  const std::string page = page_of(report);
  EXPECT_THAT(page, Not(HasSubstr("<script")));
  EXPECT_THAT(page, HasSubstr("<bdi>&lt;script&gt;alert(1)&lt;/script&gt;\xef\xbf\xbd.jpg</bdi>"));
}

TEST(MeasurementPage, IsTheSameTwiceAndRefersToNothingOutside) {
  const std::string page = page_of(report_with("0.1mm/m"));
  EXPECT_EQ(page, page_of(report_with("0.1mm/m")));
  EXPECT_THAT(page, Not(HasSubstr("http://")));
  EXPECT_THAT(page, Not(HasSubstr("https://")));
  EXPECT_THAT(page, Not(HasSubstr("url(")));
}

TEST(EnlargedForTheEye, DoesNotBlowUpWhatIsOnlyUncertain) {
  StripMeasurement strip = testing::sample_measurement().strip;
  strip.taper = 1e-7;
  strip.u_taper = 0.001;
  const Enlarged enlarged = enlarged_for_the_eye(strip);
  const double shown_mm = enlarged.lean * strip.taper * strip.length_mm();
  EXPECT_LT(shown_mm, 0.01 * strip.fence_end_width_mm);
  strip.taper = -0.001;
  strip.u_taper = 0.00001;
  const double seen_mm = enlarged_for_the_eye(strip).lean * 0.2;  // 0.2 mm over the strip
  EXPECT_GT(seen_mm, 0.25 * strip.fence_end_width_mm);
  EXPECT_LT(seen_mm, 0.55 * strip.fence_end_width_mm);
}

}  // namespace
}  // namespace tapersight
