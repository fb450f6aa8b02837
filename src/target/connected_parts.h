// The connected parts of a picture of two tones, one row in memory at a time.
#pragma once
#include <functional>
#include <opencv2/core.hpp>

namespace tapersight {

// Calls use(box) once for each part of the pixels that are set (not nought), or of those that are not,
// connected by their sides and corners: the smallest rectangle about it. In the order in which parts end.
// `picture`: CV_8UC1.
void each_part(const cv::Mat& picture, bool set, const std::function<void(const cv::Rect&)>& use);

}  // namespace tapersight
