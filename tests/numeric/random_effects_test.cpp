// Means of results that scatter, against a published meta-analysis.
#include "numeric/random_effects.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace tapersight {
namespace {

// The thirteen trials of the BCG vaccine (G. A. Colditz and others, JAMA 271, 1994, 698-702): tuberculosis
// and none with the vaccine, tuberculosis and none without. Data, and the variance by the moments with equal
// weights (0.3286), the mean and its standard error with DerSimonian and Laird's variance 0.3088 (-0.7141,
// 0.1787) as meta-analysis packages print them: from memory.
TEST(RandomEffects, ReproducesThePublishedTrials) {
  constexpr std::array<std::array<double, 4>, 13> kTrials = {{{4, 119, 11, 128},
                                                              {6, 300, 29, 274},
                                                              {3, 228, 11, 209},
                                                              {62, 13536, 248, 12619},
                                                              {33, 5036, 47, 5761},
                                                              {180, 1361, 372, 1079},
                                                              {8, 2537, 10, 619},
                                                              {505, 87886, 499, 87892},
                                                              {29, 7470, 45, 7232},
                                                              {17, 1699, 65, 1600},
                                                              {186, 50448, 141, 27197},
                                                              {5, 2493, 3, 2338},
                                                              {27, 16886, 29, 17825}}};
  std::vector<double> results, u;
  for (const auto& [a, b, c, d] : kTrials) {
    results.push_back(std::log(a / (a + b) / (c / (c + d))));
    u.push_back(std::sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)));
  }
  EXPECT_NEAR(excess_variance(results, u), 0.3286, 5e-5);
  const RandomEffectsMean mean = random_effects_mean(results, u, 0.3088);
  EXPECT_NEAR(mean.mean, -0.7141, 5e-5);
  EXPECT_NEAR(mean.u, 0.1787, 1e-4);  // 0.3088 is rounded
  // Without a variance between them: Cochran's Q = 152.23 about the fixed-effect mean, 12 degrees of freedom.
  EXPECT_NEAR(random_effects_mean(results, u, 0).birge, std::sqrt(152.233 / 12), 1e-4);
}

TEST(RandomEffects, OneResultIsItself) {
  const RandomEffectsMean mean = random_effects_mean({3}, {0.3}, 0.16);
  EXPECT_EQ(mean.mean, 3);
  EXPECT_NEAR(mean.u, 0.5, 1e-12);
  EXPECT_EQ(mean.birge, 1);
}

}  // namespace
}  // namespace tapersight
