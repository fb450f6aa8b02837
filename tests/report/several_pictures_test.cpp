// Several pictures of one strip in a report: what scatters is told and widens, what contradicts is refused.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "report/sample_report.h"
#include "report/text.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;

MeasurementReport with_second() {
  MeasurementReport report = testing::sample_report();
  report.further.push_back({"second.jpg", false});
  return report;
}

// So many standard uncertainties of their difference apart, both about 1e-3, each u = 1e-5 its own.
std::vector<ShownTaper> two_apart(double sigmas) {
  const double half = sigmas * 1e-5 / std::sqrt(2.0);
  return {{1e-3 - half, 1e-5, kInfiniteDof, false, 1e-5}, {1e-3 + half, 1e-5, kInfiniteDof, false, 1e-5}};
}

TEST(SeveralPictures, ThatScatterAreToldAndTheIntervalHoldsBoth) {
  MeasurementReport report = with_second();
  const std::size_t before = report.measurement->warnings.size();
  combine_into(report, two_apart(4));
  ASSERT_TRUE(report.measurement.ok());
  EXPECT_FALSE(report.combined->consistent);
  EXPECT_NEAR(report.combined->birge, 4, 1e-9);
  ASSERT_EQ(report.measurement->warnings.size(), before + 1);
  EXPECT_EQ(report.measurement->warnings.back().code, "pictures-scatter");
  const StripMeasurement& strip = report.measurement->strip;
  EXPECT_LT(1e-3 + 4e-5 / std::sqrt(2.0), strip.taper + 2 * strip.u_taper);
}

TEST(SeveralPictures, ThatAgreeAreNotWarnedOf) {
  MeasurementReport report = with_second();
  const std::size_t before = report.measurement->warnings.size();
  combine_into(report, two_apart(1));
  EXPECT_TRUE(report.combined->consistent);
  EXPECT_EQ(report.measurement->warnings.size(), before);
}

TEST(SeveralPictures, ThatContradictEachOtherAreNamedWithWhatEachShows) {
  MeasurementReport report = with_second();
  combine_into(report, two_apart(20));
  ASSERT_FALSE(report.measurement.ok());
  const Failure& failure = report.measurement.failure();
  EXPECT_EQ(failure.code, "pictures-disagree");
  EXPECT_THAT(failure.text,
              HasSubstr("By itself each shows a taper of: " + report.picture.file + ", 0.859 +/-"));
  EXPECT_THAT(failure.text, HasSubstr("; second.jpg, 1.141 +/- 0.020 mm/m."));
  EXPECT_FALSE(report.combined);
}

}  // namespace
}  // namespace tapersight
