// Is the strip one piece, or two that lie close together?
#pragma once
#include <opencv2/core.hpp>
#include <vector>

namespace tapersight {

// Looks for a gap or a crack right across the strip, narrower than what the search for the strip bridges.
//   code     CV_8UC1, the small view of edges/region_view.h
//   ground   CV_32FC1, the ground's code values
//   contour  the strip's outline in the view
bool is_parted(const cv::Mat& code, const cv::Mat& ground, const std::vector<cv::Point>& contour);

}  // namespace tapersight
