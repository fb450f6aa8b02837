// The roughness process has the rms and the covariance asked for.
#include "synth/roughness.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

namespace tapersight {
namespace {

double covariance(const std::vector<double>& profile, std::size_t lag) {
  double sum = 0;
  for (std::size_t i = 0; i + lag < profile.size(); ++i) sum += profile[i] * profile[i + lag];
  return sum / static_cast<double>(profile.size() - lag);
}

class Roughness : public testing::TestWithParam<bool> {};

// 6 m of edge with c = 0.5 mm: some 6000 independent places, so the correlation is known to about 0.02.
TEST_P(Roughness, HasTheAskedRmsAndCorrelation) {
  const RoughnessModel model = {0.030, 0.5, GetParam()};
  const auto profile = rough_profile(model, 0.02, 300000, 42);
  const double variance = covariance(profile, 0);
  EXPECT_NEAR(std::sqrt(variance), 0.030, 0.030 * 0.03);
  for (const std::size_t lag : {5U, 12U, 25U, 50U}) {
    const double distance = 0.02 * static_cast<double>(lag) / model.correlation_mm;
    const double expected = model.gaussian ? std::exp(-distance * distance) : std::exp(-distance);
    EXPECT_NEAR(covariance(profile, lag) / variance, expected, 0.06) << "lag " << lag;
  }
}

TEST_P(Roughness, StreamsAreIndependentAndReproducible) {
  const RoughnessModel model = {1, 0.5, GetParam()};
  const auto a = rough_profile(model, 0.02, 100000, stream_seed(7, "left"));
  const auto b = rough_profile(model, 0.02, 100000, stream_seed(7, "right"));
  EXPECT_EQ(a, rough_profile(model, 0.02, 100000, stream_seed(7, "left")));
  // 2 m, about 2000 independent places: a correlation of 0.1 would be more than four standard deviations
  EXPECT_LT(std::abs(std::inner_product(a.begin(), a.end(), b.begin(), 0.0)) / 100000, 0.1);
}

INSTANTIATE_TEST_SUITE_P(Covariances, Roughness, testing::Bool());

TEST(RoughnessProfile, NoRoughnessIsExactlyZero) {
  for (double value : rough_profile({0, 0.5, false}, 0.02, 100, 1)) EXPECT_EQ(value, 0);
}

TEST(StreamSeed, DiffersByNameAndByScene) {
  EXPECT_NE(stream_seed(1, "noise"), stream_seed(1, "dust"));
  EXPECT_NE(stream_seed(1, "noise"), stream_seed(2, "noise"));
}

}  // namespace
}  // namespace tapersight
