// Pictures as PNG bytes.
#pragma once
#include <opencv2/core.hpp>
#include <string>

#include "base/result.h"

namespace tapersight {

// 8-bit grey pixels, row by row without padding; dpi goes into the pHYs chunk: what image viewers and
// printers need to show a sheet to scale.
Result<std::string> encode_png_grey(const unsigned char* pixels, int width, int height, double dpi);

// CV_8UC3, blue green red. `compression` from 0 (none) to 9.
Result<std::string> encode_png_colour(const cv::Mat& pixels, int compression);

}  // namespace tapersight
