// What was sharpened is put back, and nothing else is touched.
#include "imaging/sharpening.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "synth/sharpen.h"

namespace tapersight {
namespace {

constexpr int kSide = 200;
const cv::Rect kWhole(0, 0, kSide, kSide);

// Bars aslant, blurred: codes 100 to 150, so that no halo is clipped.
cv::Mat bars() {
  cv::Mat codes(kSide, kSide, CV_32F);
  for (int v = 0; v < kSide; ++v)
    for (int u = 0; u < kSide; ++u) codes.at<float>(v, u) = ((4 * u + v) / 120) % 2 == 0 ? 100.0F : 150.0F;
  cv::GaussianBlur(codes, codes, cv::Size(), 0.8);
  return codes;
}

cv::Mat rounded(const cv::Mat& codes) {
  cv::Mat grey;
  codes.convertTo(grey, CV_8U);
  return grey;
}

double largest_difference(const cv::Mat& a, const cv::Mat& b) {
  return cv::norm(a, b, cv::NORM_INF);
}

class TakenBack : public testing::TestWithParam<Sharpening> {};

TEST_P(TakenBack, IsThePictureAsItWas) {
  cv::Mat sharp = bars();
  sharpen(GetParam().amount, GetParam().radius_px, sharp);
  EXPECT_GT(largest_difference(rounded(sharp), rounded(bars())), 4) << "there is a halo to take back";
  // One code value of rounding before, one after; 1 % of the halo may stay.
  EXPECT_LE(largest_difference(without_sharpening(rounded(sharp), GetParam(), kWhole), rounded(bars())), 2);
}

INSTANTIATE_TEST_SUITE_P(Sharpening, TakenBack,
                         testing::Values(Sharpening{0.4, 1.5}, Sharpening{0.8, 1}, Sharpening{1.6, 1.4},
                                         Sharpening{3, 2}));

TEST(Sharpening, OutsideTheRegionNothingChanges) {
  const cv::Mat grey = rounded(bars());
  const cv::Rect region(50, 60, 100, 80);
  const cv::Mat back = without_sharpening(grey, {1, 1.5}, region);
  EXPECT_GT(cv::countNonZero(back(region) != grey(region)), 1000);
  cv::Mat outside = cv::Mat::ones(grey.size(), CV_8U);
  outside(region) = 0;
  EXPECT_EQ(cv::countNonZero((back != grey) & outside), 0);
}

TEST(Sharpening, NoneLeavesThePictureItself) {
  const cv::Mat grey = rounded(bars());
  EXPECT_EQ(without_sharpening(grey, {0, 1.5}, kWhole).data, grey.data);
}

}  // namespace
}  // namespace tapersight
