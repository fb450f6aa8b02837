// Is the picture worth looking at?
#pragma once
#include <opencv2/core.hpp>

namespace tapersight {

struct PictureQuality {
  double spread_codes = 0;  // 99.5th minus 0.5th percentile of the code values
  double white_part = 0;    // part of the pixels at 254 or 255
  double black_part = 0;    // part of the pixels at 0 or 1
  double blur_px = 0;       // standard deviation of the blur of the sharpest strong edges
};

// Of a picture of any size (CV_8UC1); some milliseconds for one of 2 megapixels.
PictureQuality assess_quality(const cv::Mat& grey);

}  // namespace tapersight
