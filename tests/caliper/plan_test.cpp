// The plan keeps its promise: measured as planned, the uncertainty is what was planned.
#include "caliper/plan.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/units.h"
#include "caliper/caliper_taper.h"

namespace tapersight {
namespace {

PlanRequest shop_request() {
  PlanRequest request;
  request.scatter_mm = 0.02;
  request.resolution_mm = 0.0127;
  request.limit_of_error_mm = 0.0254;
  return request;
}

// By hand: 5 readings an end, scatter 20 um: u = 20 um * sqrt(2/5) = 12.65 um with 8 degrees of freedom;
// limit 25.4 um * sqrt(2/3) = 20.74 um; rounding 3.67 um * exp(-2 pi^2 (400 - 13.44)/161.29) = 0.
// Together 24.29 um with 8 (24.29/12.65)^4 = 108.8 degrees of freedom, t = 1.982, U = 48.1 um; over 215.9 mm
// (9 in less two quarters) and four turns 5.57e-5, that is 0.67 thou over 12 in.
TEST(Plan, PlansTheUncertaintyThatAHandComputationGives) {
  const double U = planned_uncertainty(shop_request(), 5, 9 * kMmPerInch);
  EXPECT_NEAR(U, 48.14e-3 / 215.9 / 4, 0.01e-5);
  EXPECT_NEAR(U * 12 * 1000, 0.669, 0.002) << "thou over 12 in";
}

TEST(Plan, EveryRowJustMeetsTheToleranceAndMoreReadingsNeverNeedALongerStrip) {
  const PlanRequest request = shop_request();
  const auto plan = plan_readings(request, 0);
  ASSERT_TRUE(plan.ok());
  ASSERT_EQ(plan->rows.size(), 8U) << "3 to 10 readings";
  EXPECT_FALSE(plan->for_strip) << "no strip at hand";
  double last_mm = 1e9;
  for (const PlanRow& row : plan->rows) {
    EXPECT_NEAR(planned_uncertainty(request, row.readings, row.strip_length_mm),
                request.share * request.tolerance, 1e-12);
    EXPECT_LT(row.strip_length_mm, last_mm);
    last_mm = row.strip_length_mm;
  }
  EXPECT_GT(plan->advised.readings, 3);
  EXPECT_LE(plan->advised.strip_length_mm, 1.1 * last_mm);
}

TEST(Plan, TheStripAtHandGetsTheFewestReadingsThatWillDoOrNone) {
  const PlanRequest request = shop_request();
  const double just_five = plan_readings(request, 0)->rows[2].strip_length_mm;
  const auto plan = plan_readings(request, just_five + 0.01);
  ASSERT_TRUE(plan->for_strip.has_value());
  EXPECT_EQ(plan->for_strip->readings, 5);
  EXPECT_FALSE(plan_readings(request, 50)->for_strip) << "50 mm are too short whatever the readings";
}

// Measured exactly as planned, on readings whose scatter comes out as assumed, the budget agrees with the
// plan.
TEST(Plan, AgreesWithTheBudgetOfSuchReadings) {
  const PlanRequest request = shop_request();
  const double a = request.scatter_mm * std::sqrt(0.75);  // +-a, +-a gives s = a * sqrt(4/3)
  CaliperReadings readings;
  for (const double sign : {-1.0, 1.0, -1.0, 1.0}) {
    readings.fence_end_mm.push_back(14 + sign * a);
    readings.far_end_mm.push_back(14 + sign * a);
  }
  readings.distance_mm = 250 - 2 * request.from_end_mm;
  CaliperSpec spec;
  spec.resolution_mm = request.resolution_mm;
  spec.limit_of_error_mm = request.limit_of_error_mm;
  const auto taper = caliper_taper(readings, spec);
  ASSERT_TRUE(taper.ok());
  EXPECT_NEAR(taper->U_taper / 4, planned_uncertainty(request, 4, 250), 1e-12);
}

TEST(Plan, RefusesWhatMakesNoSense) {
  PlanRequest request = shop_request();
  request.tolerance = 0;
  EXPECT_EQ(plan_readings(request, 0).failure().code, "caliper-bad-plan");
  request = shop_request();
  request.scatter_mm = request.resolution_mm = request.limit_of_error_mm = 0;
  EXPECT_EQ(plan_readings(request, 0).failure().code, "caliper-bad-plan");
}

TEST(Plan, SaysWhenMoreReadingsAreOfNoUse) {
  PlanRequest request = shop_request();
  request.scatter_mm = 0.002;
  const auto plan = plan_readings(request, 0);
  EXPECT_EQ(plan->advised.readings, 3);
  EXPECT_GT(plan->limit_share, 0.9);
}

}  // namespace
}  // namespace tapersight
