// A scan, from the calibrated sheet, or the file's dpi, to the strip's taper. Only for this folder.
#pragma once
#include <opencv2/core.hpp>

#include "pipeline/stages.h"

namespace tapersight {

// Failures: those of find_strip, choose_border and measure_strip, "saturated", "edge-doubled".
Result<PictureMeasurement> measure_scan(const cv::Mat& grey, PictureMeasurement m, const StripSearch& search,
                                        const StripFitOptions& fit);

}  // namespace tapersight
