// Chi-squared, F and t against the tables of the NIST/SEMATECH e-Handbook (1.3.6.7.2 to 1.3.6.7.4).
#include "numeric/distributions.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace tapersight {
namespace {

TEST(Distributions, ReproduceTheTablesOfChiSquared) {
  EXPECT_NEAR(chi_squared_quantile(0.95, 1), 3.841, 0.0006);
  EXPECT_NEAR(chi_squared_quantile(0.95, 10), 18.307, 0.0006);
  EXPECT_NEAR(chi_squared_quantile(0.99, 5), 15.086, 0.0006);
  EXPECT_NEAR(chi_squared_quantile(0.025, 10), 3.247, 0.0006);
}

TEST(Distributions, ReproduceTheTablesOfFAndT) {
  EXPECT_NEAR(f_upper_p(4.965, 1, 10), 0.05, 0.0001);
  EXPECT_NEAR(f_upper_p(3.326, 5, 10), 0.05, 0.0001);
  EXPECT_NEAR(f_upper_p(5.636, 5, 10), 0.01, 0.0001);
  EXPECT_DOUBLE_EQ(f_upper_p(0, 5, 10), 1);
  EXPECT_NEAR(t_two_sided_p(2.228, 10), 0.05, 0.0001);
  EXPECT_NEAR(t_two_sided_p(-1.96, std::numeric_limits<double>::infinity()), 0.05, 0.0001);
  EXPECT_DOUBLE_EQ(t_two_sided_p(std::numeric_limits<double>::infinity(), 3), 0);
}

// With 10 degrees of freedom 95 % of the deviations lie between 0.699 s and 1.755 s (sqrt(10/20.483),
// sqrt(10/3.247)).
TEST(Distributions, GiveTheIntervalOfAStandardDeviation) {
  const DeviationInterval interval = deviation_interval(2, 10, 0.95);
  EXPECT_NEAR(interval.low, 2 * std::sqrt(10 / 20.483), 0.001);
  EXPECT_NEAR(interval.high, 2 * std::sqrt(10 / 3.247), 0.001);
}

}  // namespace
}  // namespace tapersight
