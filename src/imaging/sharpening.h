// Sharpening that a scanner's driver or a phone put into the picture, and the picture without it.
#pragma once
#include <opencv2/core.hpp>

namespace tapersight {

// Unsharp masking in code values (how drivers do it; common practice, no published source):
//     code += amount * (code - code blurred by a Gaussian)
struct Sharpening {
  double amount = 0;     // 0: none
  double radius_px = 1;  // standard deviation of that Gaussian
};

// The picture as it was before: the mask's inverse, found by iteration. Where the sharpened code ran into 0
// or 255, what was there is lost and stays clipped.
//   grey    CV_8UC1; itself where the amount is 0
//   region  the part that matters; the rest is handed on as it is
cv::Mat without_sharpening(const cv::Mat& grey, const Sharpening& sharpening, const cv::Rect& region);

}  // namespace tapersight
