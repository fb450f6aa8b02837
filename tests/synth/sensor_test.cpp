// Transfer curve, noise and uneven light.
#include "synth/sensor.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

// IEC 61966-2-1:1999, 5.2: the curve's two branches meet at 0.0031308 <-> 0.04045. Values from memory of the
// curve's published tables: half signal is 21.4 % light; 18 % grey is signal 0.461.
TEST(Transfer, IsTheSrgbCurve) {
  const EncodingScene srgb;
  EXPECT_NEAR(code_of_light(srgb, 0.21404), 127.5, 0.01);
  EXPECT_NEAR(code_of_light(srgb, 0.18) / 255, 0.4614, 0.0002);
  EXPECT_NEAR(code_of_light(srgb, 0.0031308) / 255, 0.04045, 0.00002);
  EXPECT_EQ(code_of_light(srgb, 0), 0);
  EXPECT_NEAR(code_of_light(srgb, 1), 255, 1e-9);
  EXPECT_EQ(code_of_light(srgb, 1.7), code_of_light(srgb, 1));
}

TEST(Transfer, InverseBringsLightBack) {
  for (const auto transfer :
       {EncodingScene::Transfer::kSrgb, EncodingScene::Transfer::kGamma, EncodingScene::Transfer::kLinear}) {
    EncodingScene encoding;
    encoding.transfer = transfer;
    encoding.exposure = 1.3;
    for (const double s_curve : {0.0, 0.3}) {
      encoding.s_curve = s_curve;
      for (double light = 0; light < 0.76; light += 0.01)
        EXPECT_NEAR(light_of_code(encoding, code_of_light(encoding, light)), light, 1e-6);
    }
  }
}

TEST(Transfer, SCurveDarkensShadowsAndKeepsItsEndsAndMiddle) {
  EncodingScene plain;
  EncodingScene curved;
  curved.s_curve = 0.3;
  EXPECT_LT(code_of_light(curved, 0.05), code_of_light(plain, 0.05) - 8);  // code values
  EXPECT_GT(code_of_light(curved, 0.5), code_of_light(plain, 0.5) + 8);
  EXPECT_NEAR(code_of_light(curved, 0.21404), 127.5, 0.02);
  EXPECT_EQ(code_of_light(curved, 0), 0);
  EXPECT_NEAR(code_of_light(curved, 1), 255, 1e-9);
}

TEST(Encode, RoundsTheCurveToTheNearestCode) {
  cv::Mat light(1, 1001, CV_32F);
  for (int i = 0; i <= 1000; ++i) light.at<float>(0, i) = static_cast<float>(i) / 1000.0F;
  for (const double exposure : {1.0, 0.7}) {
    EncodingScene encoding;
    encoding.exposure = exposure;
    const cv::Mat codes = encode(light, encoding, 0, 1);
    // 0.51: half a code and the table's interpolation
    for (int i = 0; i <= 1000; ++i)
      EXPECT_NEAR(codes.at<uchar>(0, i), code_of_light(encoding, i / 1000.0), 0.51);
  }
}

TEST(Encode, NoiseHasTheAskedStandardDeviationInCodeValues) {
  const cv::Mat light(500, 500, CV_32F, cv::Scalar(0.3));
  cv::Scalar mean, sd;
  cv::meanStdDev(encode(light, EncodingScene(), 2.5, 7), mean, sd);
  // 250 000 pixels: sd known to 0.15 %; rounding adds a variance of 1/12
  EXPECT_NEAR(sd[0], std::sqrt(2.5 * 2.5 + 1.0 / 12), 0.02);
  EXPECT_NEAR(mean[0], code_of_light(EncodingScene(), 0.3), 0.03);
}

TEST(LightAndBlur, FallsOffAndTiltsAsStated) {
  ScannerScene scanner;
  scanner.blur_px = 0;
  scanner.light_fall_off = 0.1;
  scanner.light_tilt = 0.04;
  scanner.light_drift = -0.06;
  const ScannerMap map(scanner, 254, {-108, -150}, cv::Size(2161, 3001), 1);
  cv::Mat light(map.size_px(), CV_32F, cv::Scalar(1));
  light_and_blur(scanner, map, light);
  EXPECT_NEAR(light.at<float>(1500, 1080), 1, 1e-6);
  EXPECT_NEAR(light.at<float>(1500, 2160), 1 - 0.1 + 0.02, 1e-6);
  EXPECT_NEAR(light.at<float>(1500, 0), 1 - 0.1 - 0.02, 1e-6);
  EXPECT_NEAR(light.at<float>(0, 1080), 1.03, 1e-6);
}

TEST(LightAndBlur, BlurHasTheStatedStandardDeviation) {
  ScannerScene scanner;
  scanner.blur_px = 1.3;
  const ScannerMap map(scanner, 254, {0, 0}, cv::Size(41, 41), 1);
  cv::Mat light(map.size_px(), CV_32F, cv::Scalar(0));
  light.at<float>(20, 20) = 1;
  light_and_blur(scanner, map, light);
  double sum = 0;
  double variance = 0;
  for (int r = 0; r < 41; ++r)
    for (int c = 0; c < 41; ++c) {
      const auto value = static_cast<double>(light.at<float>(r, c));
      sum += value;
      variance += value * (c - 20) * (c - 20);
    }
  EXPECT_NEAR(sum, 1, 1e-5);
  EXPECT_NEAR(std::sqrt(variance), 1.3, 0.005);
}

}  // namespace
}  // namespace tapersight
