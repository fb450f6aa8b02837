// The outlier test against Rosner's example and Grubbs' critical values, and its rate of false accusations.
#include "numeric/outliers.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

// Rosner (1983), the 54 values, deviates and critical values as in NIST/SEMATECH e-Handbook, 1.3.5.17.3
// (from memory; a slip in one datum would show in the ten published deviates).
TEST(Outliers, ReproducesRosnersExample) {
  const std::vector<double> data = {-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49,
                                    1.49,  1.55, 1.56, 1.58, 1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91,
                                    1.94,  1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26,
                                    2.35,  2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93,
                                    3.21,  3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01};
  ASSERT_EQ(data.size(), 54U);
  OutlierOptions options;
  options.level = 0.05;
  options.max_outliers = 10;
  const OutlierResult found = find_outliers({data}, options);
  const double deviates[] = {3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067};
  const double critical[] = {3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085};
  ASSERT_EQ(found.steps.size(), 10U);
  for (std::size_t i = 0; i < 10; ++i) {
    // The printed figures are cut, not rounded, after the third digit.
    EXPECT_NEAR(found.steps[i].deviate, deviates[i] + 0.0005, 0.0006) << i;
    EXPECT_NEAR(found.steps[i].critical, critical[i] + 0.0005, 0.0006) << i;
  }
  EXPECT_EQ(found.outliers, 3U)
      << "the third deviate exceeds its limit though the first two do not (masking)";
}

// Two-sided critical values of Grubbs' test, 5 and 1 % (Grubbs and Beck, Technometrics 14, 1972, table 1,
// columns 2.5 and 0.5 % one-sided; the same numbers stand in ISO 5725-2, table 5). From memory.
TEST(Outliers, ReproducesGrubbsCriticalValues) {
  struct Row {
    int n;
    double at_5, at_1;
  };
  for (const Row& row :
       {Row{3, 1.155, 1.155}, Row{4, 1.481, 1.496}, Row{5, 1.715, 1.764}, Row{6, 1.887, 1.973},
        Row{7, 2.020, 2.139}, Row{8, 2.126, 2.274}, Row{10, 2.290, 2.482}}) {
    std::vector<double> values;
    values.reserve(static_cast<std::size_t>(row.n));
    for (int i = 0; i < row.n; ++i) values.push_back(i);
    OutlierOptions options;
    options.max_outliers = 1;
    options.level = 0.05;
    EXPECT_NEAR(find_outliers({values}, options).steps.at(0).critical, row.at_5, 0.0011) << row.n;
    options.level = 0.01;
    EXPECT_NEAR(find_outliers({values}, options).steps.at(0).critical, row.at_1, 0.0011) << row.n;
  }
}

// Clean Gaussian readings, two ends of a strip. Rosner claims his level for n >= 25 (15 in the e-Handbook):
// fewer readings lose one more often, up to 2.5 times the level; one step alone keeps it exactly.
TEST(Outliers, KeepsItsLevelOnCleanReadings) {
  struct Case {
    std::size_t readings, max_outliers;
    double low, high;  // rate of accusation in multiples of the level
  };
  const int trials = 20000;
  for (const Case& c : {Case{3, 1, 0.8, 1.2}, Case{5, 1, 0.8, 1.2}, Case{3, 0, 1.5, 2.7},
                        Case{5, 0, 1.5, 2.7}, Case{10, 0, 0.8, 2.7}}) {
    Rng rng(5101);
    OutlierOptions options;
    options.max_outliers = c.max_outliers;
    int accused = 0;
    for (int trial = 0; trial < trials; ++trial) {
      std::vector<std::vector<double>> groups(2);
      for (auto& group : groups)
        for (std::size_t i = 0; i < c.readings; ++i) group.push_back(rng.normal());
      if (find_outliers(groups, options).outliers > 0) ++accused;
    }
    const double rate = accused / (options.level * trials);  // 200 expected, standard deviation 14 or 0.07
    EXPECT_GE(rate, c.low) << c.readings << " readings an end, at most " << c.max_outliers;
    EXPECT_LE(rate, c.high) << c.readings << " readings an end, at most " << c.max_outliers;
  }
}

TEST(Outliers, FindsOneBadReadingAmongThreeBecauseTheScatterIsPooled) {
  const OutlierResult found = find_outliers({{571, 570, 751}, {506, 507, 506}});
  ASSERT_EQ(found.outliers, 1U);
  EXPECT_EQ(found.steps[0].group, 0U);
  EXPECT_EQ(found.steps[0].index, 2U);
}

TEST(Outliers, TwoBadReadingsDoNotHideEachOther) {
  const OutlierResult found = find_outliers({{571, 751, 570, 751.5, 572}, {506, 507, 506, 505, 507}});
  ASSERT_EQ(found.outliers, 2U);
  EXPECT_EQ(found.steps[0].index + found.steps[1].index, 4U) << "the second and the fourth";
}

TEST(Outliers, AStepOfTheDisplayIsNoOutlierUnderItsFloor) {
  OutlierOptions options;
  const std::vector<std::vector<double>> one_step_off = {{570, 570, 570, 570, 571},
                                                         {506, 506, 506, 506, 506}};
  EXPECT_EQ(find_outliers(one_step_off, options).outliers, 1U)
      << "without a floor any difference is significant";
  options.floor_sd = 0.5;
  EXPECT_EQ(find_outliers(one_step_off, options).outliers, 0U);
  EXPECT_EQ(find_outliers({{570, 570, 570, 570, 580}, {506, 506, 506, 506, 506}}, options).outliers, 1U);
}

TEST(Outliers, NeverAccusesHalfAGroupNorOneOfTwo) {
  EXPECT_EQ(find_outliers({{570, 751}, {506, 507, 506}}).outliers, 0U);
  const OutlierResult found = find_outliers({{1, 1.1, 90, 200}, {5, 5.1, 5.05, 5.02}});
  EXPECT_LE(found.steps.size(), 2U) << "one reading of each four";
  EXPECT_TRUE(find_outliers({{}, {1}, {2, 2}}).steps.empty());
}

}  // namespace
}  // namespace tapersight
