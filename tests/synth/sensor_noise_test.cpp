// Proves that measured noise is read from darktable's form of it, and that pictures show it.
#include "synth/sensor_noise.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "synth/sensor.h"

namespace tapersight {
namespace {

constexpr char kProfiles[] =
    R"({"version": 0, "noiseprofiles": [{"maker": "M", "models": [{"model": "N", "profiles": [
  {"name": "iso 100", "iso": 100, "a": [4e-6, 2e-6, 3e-6], "b": [1e-8, 2e-8, 3e-8]},
  {"name": "iso 800", "iso": 800, "a": [4e-5, 2e-5, 3e-5], "b": [1e-7, -2e-7, 3e-7]},
  {"name": "iso 6400", "iso": 6400, "a": [4e-4, 2e-4, 3e-4], "b": [1e-6, 2e-6, 3e-6]}]}]}]})";

TEST(SensorNoise, ReadsGreenOfTheIsoRange) {
  const auto noises = parse_noises(kProfiles);
  ASSERT_TRUE(noises.ok());
  ASSERT_EQ(noises->size(), 2U);
  EXPECT_EQ((*noises)[0].a, 2e-6);
  EXPECT_EQ((*noises)[0].b, 2e-8);
  EXPECT_EQ((*noises)[1].a, 2e-5);
  EXPECT_EQ((*noises)[1].b, 0);
}

TEST(SensorNoise, BrokenAndMissingFilesAreTold) {
  EXPECT_EQ(parse_noises("{}").failure().code, "noise-data-broken");
  const auto missing = read_noises("no/such/file");
  EXPECT_EQ(missing.failure().code, "noise-data-missing");
  EXPECT_THAT(missing.failure().remedy, ::testing::HasSubstr(kNoisePackage));
}

TEST(SensorNoise, VarianceIsAxPlusB) {
  constexpr double kA = 4e-4;
  constexpr double kB = 1e-5;
  constexpr double kExposure = 1.25;
  for (const double x : {0.0, 0.2, 0.9}) {
    cv::Mat light(400, 500, CV_32FC1, cv::Scalar(x / kExposure));
    add_signal_noise(kA, kB, kExposure, 7, light);
    cv::Scalar mean, deviation;
    cv::meanStdDev(light, mean, deviation);
    EXPECT_NEAR(mean[0] * kExposure, x, 2e-4);
    EXPECT_NEAR(std::pow(deviation[0] * kExposure, 2), kA * x + kB, 0.02 * (kA * x + kB));
  }
}

}  // namespace
}  // namespace tapersight
