#include "edges/line_beside.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "base/rng.h"
#include "edges/straight_path.h"
#include "imaging/picture.h"

namespace tapersight {
namespace {

constexpr int kRows = 1200;
constexpr double kBlur = 0.8;

// Rows with the strip to the right of an edge at 40 px that leans by 0.8 px from the middle to the last row,
// and a wall of tone 0.35 before it, `gap` px wide at the middle and `widens` px more at the last row.
cv::Mat scan_with_wall(double gap, double widens, double noise, std::uint64_t seed) {
  cv::Mat grey(kRows, 80, CV_8U);
  Rng rng(seed);
  for (int row = 0; row < kRows; ++row) {
    const double t = 2.0 * row / (kRows - 1) - 1;
    for (int col = 0; col < grey.cols; ++col) {
      const double x = col - 40 - 0.8 * t;
      const double width = std::max(0.0, gap + widens * t);
      const double wall =
          gap == 0 ? 0
                   : 0.3 * (BlurredStep::exact(x + width, 1.3).value - BlurredStep::exact(x, kBlur).value);
      const double light = 0.05 + 0.5 * BlurredStep::exact(x, kBlur).value + wall;
      const double code = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
      grey.at<uchar>(row, col) = cv::saturate_cast<uchar>(255 * code + noise * rng.normal());
    }
  }
  return grey;
}

TEST(FindLineBeside, FindsAWallTooNarrowToSeeAndTheEdgeBehindIt) {
  const cv::Mat grey = scan_with_wall(1.4, 1.0, 1, 3);
  const ScanLines lines(grey, true);
  const auto found = find_line_beside(lines, straight_path(lines, 0), kBlur, 10);
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->edge_px, 0, 0.06);
  EXPECT_NEAR(found->edge_lean_px, 0.8, 0.06);
  EXPECT_NEAR(found->gap_px, 1.4, 0.25);
  EXPECT_NEAR(found->gap_lean_px, 1.0, 0.25);
  EXPECT_GT(found->u_lean_px, 0);
  EXPECT_LT(found->u_lean_px, 0.1);
}

TEST(FindLineBeside, FindsNothingBesideASingleEdge) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const cv::Mat grey = scan_with_wall(0, 0, 2, seed);
    const ScanLines lines(grey, true);
    EXPECT_FALSE(find_line_beside(lines, straight_path(lines, 0.3), kBlur, 10)) << seed;
  }
}

}  // namespace
}  // namespace tapersight
