// Pictures as JPEG bytes.
#pragma once
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "base/result.h"

namespace tapersight {

// CV_8UC1 or CV_8UC3 (blue green red); quality from 1 to 100. Failure "jpeg-not-written".
Result<std::string> encode_jpeg(const cv::Mat& pixels, int quality);

// As its header says; nothing when the bytes are no JPEG.
std::optional<cv::Size> size_of_jpeg(const std::string& bytes);

}  // namespace tapersight
