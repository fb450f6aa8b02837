// Draws a strip with its side wall and its shadow into a linear-light picture.
#pragma once
#include <cstdint>
#include <opencv2/core.hpp>

#include "synth/scan_truth.h"

namespace tapersight {

void paint_strip(const StripScene& strip, const StripTruth& truth, const ScannerMap& map, std::uint64_t seed,
                 cv::Mat& light);

}  // namespace tapersight
