// The ground that the strip lies on, as seen around it.
#pragma once
#include <opencv2/core.hpp>

namespace tapersight {

struct Ground {
  cv::Mat code;      // CV_32FC1, the ground's code value expected at each place
  double sigma = 0;  // robust standard deviation around it
};

// A quadratic surface through the pixels that have the ground's tone. `sure` (CV_8UC1) marks pixels that most
// likely show the ground; `valid` those that may be used at all.
Ground model_ground(const cv::Mat& code, const cv::Mat& sure, const cv::Mat& valid);

}  // namespace tapersight
