// Parts come out as OpenCV's connectedComponents finds them, in pictures of noise from sparse to dense, of
// odd sizes, and in shapes that meet late: rings, combs and spirals.
#include "target/connected_parts.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <tuple>
#include <vector>

#include "base/rng.h"

namespace tapersight {
namespace {

using Boxes = std::vector<std::tuple<int, int, int, int>>;

Boxes by_opencv(const cv::Mat& picture) {
  cv::Mat labels, stats, centres;
  const int count = cv::connectedComponentsWithStats(picture, labels, stats, centres, 8, CV_32S);
  Boxes boxes;
  for (int i = 1; i < count; ++i)
    boxes.emplace_back(stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                       stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT));
  std::sort(boxes.begin(), boxes.end());
  return boxes;
}

Boxes by_rows(const cv::Mat& picture, bool set) {
  Boxes boxes;
  each_part(picture, set,
            [&](const cv::Rect& box) { boxes.emplace_back(box.x, box.y, box.width, box.height); });
  std::sort(boxes.begin(), boxes.end());
  return boxes;
}

void expect_the_same(const cv::Mat& picture, const std::string& what) {
  const cv::Mat turned = picture == 0;
  EXPECT_EQ(by_rows(picture, true), by_opencv(picture)) << what;
  EXPECT_EQ(by_rows(picture, false), by_opencv(turned)) << what << ", what is not set";
}

TEST(ConnectedParts, AreThoseOfOpencvInNoise) {
  Rng rng(4);
  for (int i = 0; i < 200; ++i) {
    cv::Mat picture(rng.integer(1, 40), rng.integer(1, 40), CV_8UC1);
    const double dense = rng.uniform();
    for (int y = 0; y < picture.rows; ++y)
      for (int x = 0; x < picture.cols; ++x) picture.at<uchar>(y, x) = rng.uniform() < dense ? 255 : 0;
    expect_the_same(picture, "noise " + std::to_string(i));
  }
}

TEST(ConnectedParts, AreThoseOfOpencvInShapesThatMeetLate) {
  cv::Mat rings(41, 41, CV_8UC1, cv::Scalar(0)), comb = rings.clone(), spiral = rings.clone();
  for (int r = 2; r < 20; r += 3) cv::circle(rings, {20, 20}, r, 255);
  for (int x = 1; x < 40; x += 2) cv::line(comb, {x, 0}, {x, 38 - x / 4}, 255);
  cv::line(comb, {0, 39}, {40, 39}, 255);
  cv::Point at(20, 20);
  for (int k = 1; k < 18; ++k) {
    const cv::Point step[] = {{2 * k, 0}, {0, 2 * k}, {-2 * k, 0}, {0, -2 * k}};
    cv::line(spiral, at, at + step[k % 4], 255);
    at += step[k % 4];
  }
  expect_the_same(rings, "rings");
  expect_the_same(comb, "comb");
  expect_the_same(spiral, "spiral");
}

}  // namespace
}  // namespace tapersight
