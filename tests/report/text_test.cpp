// What a person reads: everything is there, in the order in which it is asked for, in the units wanted.
#include "report/text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/sample_report.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing::sample_report;

TEST(MeasurementText, SaysThingsInTheOrderInWhichTheyAreAsked) {
  const std::string text = measurement_text(sample_report());
  std::size_t last = 0;
  for (const char* part : {"Measured", "bench-07.jpg", "The fence's error", "counter-clockwise", "The move",
                           "Move the right end", "What to do, in order", "1. Unplug the saw", "The strip",
                           "Width at the fence end", "Mind", "An edge is not straight."}) {
    const std::size_t at = text.find(part);
    ASSERT_NE(at, std::string::npos) << part << "\n" << text;
    EXPECT_GT(at + 1, last) << part;
    last = at;
  }
}

TEST(MeasurementText, EveryValueCarriesItsUncertaintyAndUnit) {
  const std::string text = measurement_text(sample_report());
  // U = 2.228 * u (t_95(10) = 2.23, JCGM 100:2008, table G.2), two digits.
  EXPECT_THAT(text, HasSubstr("Taper: 1.00 +/- 0.22 mm/m (95 %, k = 2.23), wider at the fence end."));
  EXPECT_THAT(text, HasSubstr("by 0.250 +/- 0.056 mm/m (95 %, k = 2.23)"));
  EXPECT_THAT(text, HasSubstr("Width at the fence end: 20.10 +/- 0.11 mm."));
  EXPECT_THAT(text, HasSubstr("0.250 +/- 0.056 mm toward the operator"));
}

TEST(MeasurementText, InchesWhenAskedFor) {
  MeasurementReport report = sample_report();
  report.units = Units::kInch;
  const std::string text = measurement_text(report);
  EXPECT_THAT(text, HasSubstr("Taper: 0.00100 +/- 0.00022 in per inch"));
  EXPECT_THAT(text, HasSubstr("0.50 thou"));  // roughness 12.7 um
  EXPECT_THAT(text, HasSubstr("thou over a cut of"));
}

TEST(MeasurementText, ASquareFenceIsLeftAloneBeforeAnyMoveIsTold) {
  MeasurementReport report = sample_report();
  report.wishes.tolerance = parse_tolerance("1mm/m").value();
  conclude(report);
  const std::string text = measurement_text(report);
  EXPECT_THAT(text, Not(HasSubstr("The move\n")));
  const std::size_t leave = text.find("Leave the fence as it is"),
                    nearer = text.find("If you want it nearer still"), move = text.find("Move the right end");
  ASSERT_NE(move, std::string::npos) << text;
  EXPECT_LT(leave, nearer);
  EXPECT_LT(nearer, move);
  report.wishes.tolerance = parse_tolerance("0.1mm/m").value();
  conclude(report);
  EXPECT_THAT(measurement_text(report), HasSubstr("The move\n"));
}

TEST(MeasurementText, AsksForThePivotWhenTheMoveCannotBeTold) {
  MeasurementReport report = sample_report();
  report.setup.pivot_distance_mm.reset();
  report.move.reset();
  conclude(report);
  EXPECT_THAT(measurement_text(report), HasSubstr("Give --pivot left|right and --pivot-distance"));
}

TEST(MeasurementText, AnErrorWithinItsUncertaintyIsNotGivenADirectionToTrust) {
  MeasurementReport report = sample_report();
  report.measurement->strip.u_taper = 0.01;
  conclude(report);
  EXPECT_THAT(measurement_text(report), HasSubstr("which way the fence is out cannot be told"));
}

TEST(MeasurementText, LinesFitATerminal) {
  const std::string text = measurement_text(sample_report());
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    ASSERT_NE(end, std::string::npos);
    EXPECT_LE(end - at, 100U) << text.substr(at, end - at);
    at = end + 1;
  }
  EXPECT_THAT(text, Not(HasSubstr("(95\n")));
}

TEST(FailureText, SaysWhatIsTheMatterAndWhatToDo) {
  EXPECT_EQ(failure_text({"no-strip", "No strip.", "Lay one in."}),
            "tapersight: No strip.\n            Lay one in.\n");
}

}  // namespace
}  // namespace tapersight
