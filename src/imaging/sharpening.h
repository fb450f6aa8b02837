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

// The picture as it was before: what is sharpened twice as much at an edge as on plain ground is divided by
// as much again. Where the sharpened code ran into 0 or 255 that is no longer known, and stays clipped.
//   grey    CV_8UC1; itself where the amount is 0
//   region  the part that matters; the rest is handed on as it is
cv::Mat without_sharpening(const cv::Mat& grey, const Sharpening& sharpening, const cv::Rect& region);

}  // namespace tapersight
