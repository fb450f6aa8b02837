// The taper from caliper readings against hand computation, and the rounding term against simulation.
#include "caliper/caliper_taper.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "base/units.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

CaliperReadings strip(const std::vector<double>& fence_in, const std::vector<double>& far_in) {
  CaliperReadings readings;
  for (const double value : fence_in) readings.fence_end_mm.push_back(value * kMmPerInch);
  for (const double value : far_in) readings.far_end_mm.push_back(value * kMmPerInch);
  readings.distance_mm = 7.5 * kMmPerInch;
  return readings;
}

// By hand: means .571 and .506 in, s = 1 thou pooled with 4 degrees of freedom, scatter part 1 * sqrt(2/3) =
// 0.8165 thou; limit 1 * sqrt(2/3) = 0.8165 thou; rounding exp(-2 pi^2 (1 - 1/12)) = 0. u = 1.1547 thou with
// 4 * 2^2 = 16 degrees of freedom; t(95 %, 16) = 2.12 (JCGM 100:2008, table G.2); taper 65 thou over 7.5
// in.
TEST(CaliperTaper, AgreesWithAHandComputation) {
  CaliperReadings readings = strip({.571, .570, .572}, {.506, .505, .507});
  readings.u_distance_mm = 0;
  CaliperSpec spec;
  spec.resolution_mm = 0.0254;
  const auto taper = caliper_taper(readings, spec);
  ASSERT_TRUE(taper.ok()) << taper.failure().text;
  const double thou = kMmPerInch / 1000;
  EXPECT_NEAR(taper->difference_mm / thou, 65, 1e-9);
  EXPECT_NEAR(taper->taper, 0.065 / 7.5, 1e-12);
  EXPECT_NEAR(taper->repeatability.s_mm / thou, 1, 1e-9);
  EXPECT_DOUBLE_EQ(taper->repeatability.dof, 4);
  EXPECT_NEAR(taper->u_difference.u / thou, 1.1547, 0.0001);
  EXPECT_NEAR(taper->u_difference.dof, 16, 0.01);
  EXPECT_NEAR(taper->U_difference_mm / thou, 2.12 * 1.1547, 0.006);
  EXPECT_NEAR(taper->U_taper, taper->U_difference_mm / (7.5 * kMmPerInch), 1e-12);
  readings.u_distance_mm = 1;
  EXPECT_NEAR(caliper_taper(readings, spec)->u_taper.u,
              std::hypot(taper->u_taper.u, taper->taper / (7.5 * kMmPerInch)), 1e-12)
      << "a millimetre of distance matters in proportion to the taper";
}

TEST(CaliperTaper, TurningTheStripRoundChangesTheSignAndNothingElse) {
  const auto one = caliper_taper(strip({.571, .570, .572, .571}, {.506, .505, .507}), {});
  const auto other = caliper_taper(strip({.506, .505, .507}, {.571, .570, .572, .571}), {});
  ASSERT_TRUE(one.ok() && other.ok());
  EXPECT_DOUBLE_EQ(one->taper, -other->taper);
  EXPECT_DOUBLE_EQ(one->U_taper, other->U_taper);
}

TEST(CaliperTaper, EqualReadingsStillCarryTheStepOfTheDisplay) {
  CaliperSpec spec;
  spec.limit_of_error_mm = 0;
  const auto taper = caliper_taper(strip({.571, .571, .571}, {.506, .506, .506}), spec);
  ASSERT_TRUE(taper.ok());
  EXPECT_NEAR(taper->u_difference.u, 0.0254 / std::sqrt(6.0), 1e-9) << "two rectangular errors of one step";
}

TEST(CaliperTaper, EndsThatScatterUnlikeKeepTheirOwnScatter) {
  const auto unlike =
      caliper_taper(strip({.571, .501, .641, .571, .560}, {.506, .505, .507, .506, .506}), {});
  ASSERT_TRUE(unlike.ok());
  EXPECT_FALSE(unlike->ends_scatter_alike);
  EXPECT_LT(unlike->u_difference.dof, 4.1) << "the bad end alone counts";
  EXPECT_LT(unlike->far_end.u_mm, unlike->fence_end.u_mm);
}

TEST(CaliperTaper, SaysWhatIsMissing) {
  EXPECT_EQ(caliper_taper(strip({.571}, {.506, .506}), {}).failure().code, "caliper-too-few-readings");
  EXPECT_EQ(caliper_taper(strip({.571, .571}, {}), {}).failure().code, "caliper-too-few-readings");
  CaliperReadings nowhere = strip({.571, .571}, {.506, .506});
  nowhere.distance_mm = 0;
  EXPECT_EQ(caliper_taper(nowhere, {}).failure().code, "caliper-no-distance");
}

// JCGM 100:2008, F.2.2.1: u = 0.29 of the step when the indication does not move. In between, simulation: the
// error of the mean of many rounded readings, over all positions of the true value between two steps.
TEST(CaliperTaper, TheRoundingTermIsWhatSimulationFinds) {
  EXPECT_NEAR(u_rounding(1, 0), 0.29, 0.002);
  EXPECT_LT(u_rounding(1, 1), 1e-6);
  EXPECT_DOUBLE_EQ(u_rounding(0, 0.1), 0);
  Rng rng(5301);
  for (const double sigma : {0.15, 0.3, 0.4}) {
    double bias_square = 0, s_square = 0;
    const int positions = 200, readings = 2000;
    for (int p = 0; p < positions; ++p) {
      const double truth = (p + 0.5) / positions;
      std::vector<double> rounded;
      rounded.reserve(readings);
      for (int i = 0; i < readings; ++i) rounded.push_back(std::round(truth + sigma * rng.normal()));
      const double bias = mean(rounded) - truth;
      const double s = standard_deviation(rounded);
      bias_square += (bias * bias - s * s / readings) / positions;  // less the noise of a finite mean
      s_square += s * s / positions;
    }
    const double found = std::sqrt(std::max(0.0, bias_square));
    const double stated = u_rounding(1, std::sqrt(s_square));
    EXPECT_GT(stated, 0.9 * found - 0.002) << "scatter of " << sigma << " steps";
    EXPECT_LT(stated, 2 * found + 0.004) << "scatter of " << sigma << " steps";
  }
}

TEST(CaliperTaper, InfersTheStepOfTheDisplay) {
  EXPECT_NEAR(inferred_resolution(strip({.571, .570}, {.506})), 0.0254, 1e-12);
  EXPECT_NEAR(inferred_resolution(strip({.5715, .570}, {.506})), 0.0127, 1e-12);
  EXPECT_NEAR(inferred_resolution(strip({37.0 / 64, 36.0 / 64}, {32.0 / 64})), kMmPerInch / 64, 1e-12);
  CaliperReadings metric;
  metric.fence_end_mm = {14.52, 14.50};
  EXPECT_DOUBLE_EQ(inferred_resolution(metric), 0.02);
  metric.fence_end_mm = {14.55, 14.50};
  EXPECT_DOUBLE_EQ(inferred_resolution(metric), 0.05);
  metric.fence_end_mm = {14.53, 14.50};
  EXPECT_DOUBLE_EQ(inferred_resolution(metric), 0.01);
}

TEST(CaliperTaper, PlacesAreMeasuredFromBothEnds) {
  EXPECT_DOUBLE_EQ(*distance_between_places(203.2, 6.35), 190.5);
  EXPECT_EQ(distance_between_places(100, 40).failure().code, "caliper-places-too-close");
  EXPECT_EQ(distance_between_places(100, -1).failure().code, "caliper-places-too-close");
}

}  // namespace
}  // namespace tapersight
