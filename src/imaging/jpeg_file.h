// Pictures as JPEG bytes.
#pragma once
#include <opencv2/core.hpp>
#include <string>

#include "base/result.h"

namespace tapersight {

// CV_8UC1 or CV_8UC3 (blue green red); quality from 1 to 100. Failure "jpeg-not-written".
Result<std::string> encode_jpeg(const cv::Mat& pixels, int quality);

}  // namespace tapersight
