// The corner that people cut off the strip's far end, so that a strip laid the wrong way round shows it.
#pragma once
#include <opencv2/core.hpp>

#include "pipeline/measure_picture.h"

namespace tapersight {

enum class CutCorner { kNone, kFarEnd, kFenceEnd };

// Where one of the strip's four corners is missing: the ground shows in a triangle of 4 mm along either side
// of it. kNone as well when more than one is missing, or when strip and ground look too much alike to say.
CutCorner find_cut_corner(const cv::Mat& grey, const PictureMeasurement& measured);

}  // namespace tapersight
