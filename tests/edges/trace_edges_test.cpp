// Tracing ends at its deadline, and what it had no time for is not valid.
#include "edges/trace_edges.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "base/rng.h"
#include "edges/straight_path.h"

namespace tapersight {
namespace {

TEST(TraceEdges, AsksItsDeadline) {
  cv::Mat grey(1200, 200, CV_8UC1, cv::Scalar(60));
  grey.colRange(41, 200).setTo(180);
  cv::GaussianBlur(grey, grey, {}, 1);
  Rng rng(2);
  for (int row = 0; row < grey.rows; ++row)
    for (int col = 0; col < grey.cols; ++col)
      grey.at<uchar>(row, col) = cv::saturate_cast<uchar>(grey.at<uchar>(row, col) + rng.normal());
  const ScanLines lines(grey, true);
  const SidePath left = straight_path(lines, 0);
  const auto valid = [&](const Deadline& deadline) {
    TraceOptions options;
    options.deadline = deadline;
    const EdgeTrace trace = trace_edges(lines, left, left, options);
    EXPECT_FALSE(trace.points[0].empty());
    return std::count_if(trace.points[0].begin(), trace.points[0].end(),
                         [](const EdgePoint& p) { return p.valid; });
  };
  EXPECT_GT(valid(Deadline::never()), 10);
  EXPECT_EQ(valid(Deadline::in(0)), 0);
}

}  // namespace
}  // namespace tapersight
