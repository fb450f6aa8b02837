// A scan, from the calibrated sheet, or the file's dpi, to the strip's taper. Only for this folder.
#pragma once
#include <opencv2/core.hpp>
#include <string>

#include "pipeline/stages.h"

namespace tapersight {

// `take`: letters of the lines that a person said are the edges, where an earlier refusal ("edge-unclear")
// named them. Failures: those of locate_strip, choose_border and measure_strip, "saturated", "edge-doubled",
// "edge-unclear", "take-unknown".
Result<PictureMeasurement> measure_scan(const cv::Mat& grey, PictureMeasurement m, const StripSearch& search,
                                        const StripFitOptions& fit, const std::string& take);

}  // namespace tapersight
