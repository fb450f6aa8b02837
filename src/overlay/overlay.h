// One picture for the eye: was the right thing measured, and how well do its edges keep to straight lines?
#pragma once
#include <opencv2/core.hpp>
#include <string>

#include "assess/measurement_report.h"
#include "base/result.h"

namespace tapersight {

inline constexpr int kOverlayPicturePx = 1600;  // the shown picture's long side, at most

// PNG bytes: the picture (`grey`, CV_8UC1, the one that was measured), reduced, with what was found in it;
// the strip laid straight; the residuals of both edges along it. Only for a report that holds a measurement.
// Failure "overlay-not-drawn".
Result<std::string> draw_overlay(const cv::Mat& grey, const MeasurementReport& report);

}  // namespace tapersight
