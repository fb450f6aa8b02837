// What a phone does to the picture, and its files.
#include "synth/phone.h"
#include "synth/sharpen.h"

#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>
#include <vector>

namespace tapersight {
namespace {

cv::Mat lopsided() {
  cv::Mat image(48, 64, CV_8UC1, cv::Scalar(200));
  image(cv::Rect(0, 0, 32, 16)).setTo(40);
  image(cv::Rect(0, 0, 16, 32)).setTo(90);
  return image;
}

TEST(Phone, FilesAreLookedAtUprightUnderEveryOrientation) {
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const auto bytes = photo_file_bytes(lopsided(), 100, orientation);
    const cv::Mat viewed = cv::imdecode(bytes, cv::IMREAD_GRAYSCALE);
    ASSERT_EQ(viewed.size(), lopsided().size()) << orientation;
    EXPECT_LT(cv::norm(viewed, lopsided(), cv::NORM_INF), 4) << orientation;  // code values: JPEG
    const cv::Mat stored = cv::imdecode(bytes, cv::IMREAD_GRAYSCALE | cv::IMREAD_IGNORE_ORIENTATION);
    EXPECT_EQ(stored.size(), orientation < 5 ? cv::Size(64, 48) : cv::Size(48, 64)) << orientation;
    if (orientation > 1 && orientation < 5) {
      EXPECT_GT(cv::norm(stored, lopsided(), cv::NORM_INF), 100) << orientation;
    }
  }
}

// CIPA DC-008 (Exif 2.3), 4.5.4 and 4.6.4 (from memory): APP1 after SOI, "Exif" and two zeros, a TIFF header,
// one tag 0x0112 of type SHORT.
TEST(Phone, ExifSegmentIsWrittenOnlyWhenTurned) {
  const auto turned = photo_file_bytes(lopsided(), 90, 8);
  const std::vector<unsigned char> expected = {
      0xff, 0xd8, 0xff, 0xe1, 0, 34, 'E', 'x', 'i', 'f', 0, 0, 'I', 'I', 0x2a, 0, 8, 0, 0,   0,
      1,    0,    0x12, 1,    3, 0,  1,   0,   0,   0,   8, 0, 0,   0,   0,    0, 0, 0, 0xff};
  EXPECT_EQ(std::vector<unsigned char>(turned.begin(), turned.begin() + 39), expected);
  const auto upright = photo_file_bytes(lopsided(), 90, 1);
  EXPECT_EQ(upright[3], 0xe0);  // APP0: JFIF
}

TEST(Phone, SharpeningOvershootsBothSidesAndKeepsPlainAreas) {
  cv::Mat codes(20, 80, CV_8UC1, cv::Scalar(60));
  codes.colRange(40, 80).setTo(180);
  sharpen(0.8, 1.5, codes);
  EXPECT_EQ(codes.at<uchar>(10, 5), 60);
  EXPECT_EQ(codes.at<uchar>(10, 75), 180);
  EXPECT_LT(codes.at<uchar>(10, 39), 40);
  EXPECT_GT(codes.at<uchar>(10, 40), 200);
}

TEST(Phone, MotionBlurKeepsLightAndItsMiddle) {
  PhotoScene scene;
  scene.phone.blur_px = 0;
  scene.phone.motion_px = 9;
  scene.phone.motion_deg = 35;
  cv::Mat light = cv::Mat::zeros(41, 41, CV_32F);
  light.at<float>(20, 20) = 1;
  phone_light_and_blur(scene, light);
  double sum = 0;
  double x = 0;
  double xx = 0;
  for (int r = 0; r < 41; ++r)
    for (int c = 0; c < 41; ++c) {
      const auto value = static_cast<double>(light.at<float>(r, c));
      sum += value;
      x += value * (c - 20);
      xx += value * (c - 20) * (c - 20);
    }
  EXPECT_NEAR(sum, 1, 1e-5);
  EXPECT_NEAR(x, 0, 1e-3);  // px
  const double along = 9 * std::cos(35 * M_PI / 180);
  EXPECT_NEAR(xx, along * along / 12, 0.3);  // px^2; each point is spread over two cells: up to 1/4
}

}  // namespace
}  // namespace tapersight
