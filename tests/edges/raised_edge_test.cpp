#include "edges/raised_edge.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "base/rng.h"
#include "edges/straight_path.h"
#include "imaging/blurred_step.h"
#include "imaging/picture.h"

namespace tapersight {
namespace {

constexpr int kRows = 1200;
constexpr double kBlur = 1.0;
constexpr double kWall = 0.1, kFace = 0.35;

// Rows with an edge at 40 px that leans by 0.6 px from the middle to the last row, its ground in a shadow
// that deepens towards it, the more the further down; behind it a wall of `wall_px`, then the face.
cv::Mat photo_with_wall(double wall_px, std::uint64_t seed) {
  cv::Mat grey(kRows, 80, CV_8U);
  Rng rng(seed);
  for (int row = 0; row < kRows; ++row) {
    const double t = 2.0 * row / (kRows - 1) - 1;
    for (int col = 0; col < grey.cols; ++col) {
      const double x = col - 40 - 0.6 * t;
      const double ground = 0.6 + (0.012 + 0.006 * t) * std::min(0.0, x);
      const double outer = BlurredStep::exact(x, kBlur).value;
      const double inner = wall_px > 0 ? BlurredStep::exact(x - wall_px, kBlur).value : outer;
      const double light = ground * (1 - outer) + kWall * (outer - inner) + kFace * inner;
      const double code = 1.055 * std::pow(light, 1 / 2.4) - 0.055;
      grey.at<uchar>(row, col) = cv::saturate_cast<uchar>(255 * code + rng.normal());
    }
  }
  return grey;
}

TEST(FitRaisedEdge, AShadowThatDeepensTowardsTheEdgeDoesNotTurnIt) {
  const cv::Mat grey = photo_with_wall(0, 1);
  const ScanLines lines(grey, true);
  RaisedEdgeOptions options;
  options.blur_px = kBlur;
  const auto edge = fit_raised_edge(lines, straight_path(lines, 1.2), options);
  ASSERT_TRUE(edge);
  EXPECT_EQ(edge->gap_px, 0);
  EXPECT_NEAR(edge->offset_px, -1.2, 0.05);
  EXPECT_NEAR(edge->lean_px, 0.6, 0.03);
  EXPECT_NEAR(edge->blur_px, kBlur, 0.05);
  EXPECT_NEAR(edge->step, kFace - 0.6, 0.02);
  EXPECT_LT(edge->wander_px, 0.1);
}

TEST(FitRaisedEdge, ANarrowWallHasTwoLines) {
  const cv::Mat grey = photo_with_wall(3, 2);
  const ScanLines lines(grey, true);
  RaisedEdgeOptions options;
  options.blur_px = kBlur;
  const auto edge = fit_raised_edge(lines, straight_path(lines, 0.5), options);
  ASSERT_TRUE(edge);
  EXPECT_NEAR(edge->gap_px, 3, 0.1);
  EXPECT_FALSE(edge->inner_is_stronger());
  EXPECT_NEAR(edge->place_px(), -0.5, 0.05);
  EXPECT_NEAR(edge->second_px(), 3, 0.1);
  EXPECT_NEAR(edge->second_step(), kFace - kWall, 0.03);
  EXPECT_NEAR(edge->lean_px, 0.6, 0.04);
}

}  // namespace
}  // namespace tapersight
