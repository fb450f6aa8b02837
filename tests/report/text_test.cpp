// What a person reads: everything is there, in the order in which it is asked for, in the units wanted.
#include "report/text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "report/answer.h"
#include "report/sample_report.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing::sample_report;

std::string details_of(const MeasurementReport& report) {
  return measurement_text(report, {}, true);
}

int lines_of(const std::string& text) {
  return static_cast<int>(std::count(text.begin(), text.end(), '\n'));
}

TEST(MeasurementText, SaysThingsInTheOrderInWhichTheyAreAsked) {
  const std::string text = details_of(sample_report());
  std::size_t last = 0;
  for (const char* part :
       {"Out of square: ", "Move the right end", "toward you", "Sure to ", "Measured: bench-07.jpg",
        "fence end near", "Note: ", "Unplug the saw", "What to do, in order", "1. Unplug the saw",
        "The fence's error", "counter-clockwise", "The move", "The strip", "Width at the fence end",
        "How it was measured", "Note", "The strip lay across"}) {
    const std::size_t at = text.find(part, last);
    ASSERT_NE(at, std::string::npos) << part << "\n" << text;
    last = at;
  }
}

TEST(MeasurementText, EveryValueCarriesItsUncertaintyAndUnit) {
  const std::string text = details_of(sample_report());
  // U = 2.228 * u (t_95(10) = 2.23, JCGM 100:2008, table G.2), two digits.
  EXPECT_THAT(text, HasSubstr("Taper: 1.00 +/- 0.22 mm/m (95 %, k = 2.23), wider at the fence end."));
  EXPECT_THAT(text, HasSubstr("This strip alone shows 0.125 +/- 0.028 mm over a cut"));
  EXPECT_THAT(text, HasSubstr("by 0.125 +/- 0.047 mm over a cut")) << "the fence: with the cutting's scatter";
  EXPECT_THAT(text, HasSubstr("Width at the fence end: 20.10 +/- 0.11 mm."));
  EXPECT_THAT(text, HasSubstr("0.250 +/- 0.095 mm toward you"));
}

TEST(MeasurementText, InchesWhenAskedFor) {
  MeasurementReport report = sample_report();
  report.units = Units::kInch;
  const std::string text = details_of(report);
  EXPECT_THAT(text, HasSubstr("Taper: 0.00100 +/- 0.00022 in per inch"));
  EXPECT_THAT(text, HasSubstr("0.50 thou"));  // roughness 12.7 um
  EXPECT_THAT(text, HasSubstr("thou over a cut of"));
}

TEST(MeasurementText, ASquareFenceIsLeftAloneBeforeAnyMoveIsTold) {
  MeasurementReport report = sample_report();
  report.wishes.tolerance = parse_tolerance("1mm/m").value();
  conclude(report);
  const std::string text = details_of(report);
  EXPECT_THAT(text, Not(HasSubstr("The move\n")));
  const std::size_t leave = text.find("Leave the fence alone"),
                    nearer = text.find("If you want it closer still"), move = text.find("Move the right end");
  ASSERT_NE(move, std::string::npos) << text;
  EXPECT_LT(leave, nearer);
  EXPECT_LT(nearer, move);
  EXPECT_THAT(measurement_text(report), Not(HasSubstr("Move the right end")));
  report.wishes.tolerance = parse_tolerance("0.1mm/m").value();
  conclude(report);
  EXPECT_THAT(details_of(report), HasSubstr("The move\n"));
}

TEST(MeasurementText, AsksForThePivotWhenTheMoveCannotBeTold) {
  MeasurementReport report = sample_report();
  report.setup.pivot_distance_mm.reset();
  report.move.reset();
  conclude(report);
  EXPECT_THAT(measurement_text(report), HasSubstr("Give --pivot and --pivot-distance"));
  EXPECT_THAT(details_of(report), HasSubstr("Give --pivot left|right and --pivot-distance"));
}

TEST(MeasurementText, AnErrorWithinItsUncertaintyIsNotGivenADirectionToTrust) {
  MeasurementReport report = sample_report();
  report.measurement->strip.u_taper = 0.01;
  conclude(report);
  EXPECT_THAT(details_of(report), HasSubstr("Which way the fence is out is a guess"));
  EXPECT_THAT(measurement_text(report), HasSubstr("Too close to call"));
  EXPECT_THAT(measurement_text(report), Not(HasSubstr("Move the")));
}

TEST(MeasurementText, LinesFitATerminal) {
  const std::string text = details_of(sample_report());
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    ASSERT_NE(end, std::string::npos);
    EXPECT_LE(end - at, 100U) << text.substr(at, end - at);
    at = end + 1;
  }
  EXPECT_THAT(text, Not(HasSubstr("(95\n")));
}

// Eight lines of 80 columns: the answer is read before anything scrolls, whatever it is.
TEST(MeasurementText, TheFirstScreenIsEightLines) {
  for (const char* tolerance : {"", "1mm/m", "0.25mm/m", "0.1mm/m"})
    for (const bool pivot : {true, false}) {
      MeasurementReport report = sample_report();
      report.units = pivot ? Units::kInch : Units::kMillimetre;
      if (*tolerance != '\0') report.wishes.tolerance = parse_tolerance(tolerance).value();
      if (!pivot) report.setup.pivot_distance_mm.reset(), report.move.reset();
      conclude(report);
      const std::string text = measurement_text(report, {80, false});
      EXPECT_LE(lines_of(text), 8) << text;
      EXPECT_THAT(text, HasSubstr("fence end near the bottom."));
      EXPECT_THAT(text, HasSubstr("--details"));
    }
}

TEST(MeasurementText, IsWrappedToTheTerminalAndStyledOnlyWhereAskedFor) {
  const MeasurementReport report = sample_report();
  const std::string narrow = measurement_text(report, {44, false}, true);
  for (std::size_t at = 0; at < narrow.size();) {
    const std::size_t end = narrow.find('\n', at);
    EXPECT_LE(end - at, 44U) << narrow.substr(at, end - at);
    at = end + 1;
  }
  EXPECT_THAT(narrow, Not(HasSubstr("\033")));
  std::string bold = measurement_text(report, {80, true});
  EXPECT_THAT(bold, HasSubstr("\033[1;31mOut of square\033[0m"));
  for (const char* code : {"\033[1;31m", "\033[1m", "\033[0m"})
    for (auto at = bold.find(code); at != std::string::npos; at = bold.find(code))
      bold.erase(at, std::string(code).size());
  EXPECT_EQ(bold, measurement_text(report, {80, false})) << "colour carries nothing alone";
}

MeasurementReport bowed_report(const char* tolerance) {
  MeasurementReport report = sample_report();
  report.measurement->strip.edges[1].bow_mm = -0.0254;
  report.measurement->warnings.push_back({"edge-bowed", "The right long edge is not straight."});
  report.wishes.tolerance = parse_tolerance(tolerance).value();
  conclude(report);
  return report;
}

// The cut's direction at its ends is 4 x 0.0254 / 200 away from its chord, a quarter of that for the fence:
// 0.13 mm/m either way. Where every one of these directions is within the tolerance, that is no headline.
TEST(MeasurementText, ABowThatChangesNothingIsANote) {
  const MeasurementReport report = bowed_report("1mm/m");
  EXPECT_EQ(standing_of(report), Standing::kSquare);
  const Answer answer = answer_of(report);
  EXPECT_THAT(answer.notes, ::testing::Contains("An edge is hollow by 0.025 mm in its middle. That is too "
                                                "little to change this answer."));
  MeasurementReport far = bowed_report("0.01mm/m");  // out whichever part of the cut is asked
  far.measurement->strip.taper = 0.01;
  conclude(far);
  EXPECT_EQ(standing_of(far), Standing::kAdjust);
}

// Where some of them are beyond it, no one angle describes the cut.
TEST(MeasurementText, ABowThatDecidesIsTheHeadline) {
  MeasurementReport report = bowed_report("0.4mm/m");
  EXPECT_EQ(standing_of(report), Standing::kBowed);
  const std::string text = measurement_text(report);
  EXPECT_EQ(text.rfind("Bowed: an edge is hollow by 0.025 mm", 0), 0U) << text;
  EXPECT_THAT(text, Not(HasSubstr("quare:")));
  EXPECT_FALSE(report.advice.is_square());
  EXPECT_FALSE(report.advice.adjustment.has_value());
  EXPECT_EQ(report.advice.decision->verdict, Verdict::kCannotBeTold);
}

TEST(CheckEnds, ThePersonsWiderEndIsHeldAgainstThePicture) {
  MeasurementReport report = sample_report();  // 0.2 mm wider at the fence end
  EXPECT_FALSE(check_ends(report).has_value());
  report.wider = WiderEnd::kFenceEnd;
  EXPECT_FALSE(check_ends(report).has_value());
  report.wider = WiderEnd::kFarEnd;
  ASSERT_TRUE(check_ends(report).has_value());
  EXPECT_EQ(check_ends(report)->code, "wider-end-differs");
  EXPECT_THAT(check_ends(report)->text, HasSubstr("by 0.200 mm"));
  report.measurement->strip.u_taper = 0.01;  // no picture of this end or that
  EXPECT_FALSE(check_ends(report).has_value());
}

TEST(CheckEnds, ACutCornerAtTheFenceEndIsAStripTheWrongWayRound) {
  MeasurementReport report = sample_report();
  report.cut_corner = CutCorner::kFarEnd;
  EXPECT_FALSE(check_ends(report).has_value());
  EXPECT_THAT(measurement_text(report), HasSubstr("away from the cut corner"));
  report.cut_corner = CutCorner::kFenceEnd;
  ASSERT_TRUE(check_ends(report).has_value());
  EXPECT_EQ(check_ends(report)->code, "cut-corner-at-fence-end");
  report.wider = WiderEnd::kFenceEnd;  // the person looked: the corner only broke off
  EXPECT_FALSE(check_ends(report).has_value());
}

TEST(FailureText, SaysWhatIsTheMatterAndWhatToDo) {
  EXPECT_EQ(failure_text({"no-strip", "No strip.", "Lay one in."}),
            "tapersight: No strip.\n            Lay one in.\n");
}

}  // namespace
}  // namespace tapersight
