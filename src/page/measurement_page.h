// One picture's result as one page for the eye: what to do, how sure that is, and what was seen.
#pragma once
#include <opencv2/core.hpp>
#include <string>

#include "assess/measurement_report.h"
#include "base/result.h"

namespace tapersight {

// A whole HTML document without outside references or scripts, in the order in which a person asks: what to
// do, the decision, the picture, the residuals, the widths, the uncertainty budget, the set-up, all settings.
// A report without a measurement gives a page with the reason, the remedy and the picture made small. `grey`
// is the picture that was measured, CV_8UC1. The same bytes for the same input. Failure "page-not-drawn".
Result<std::string> measurement_page(const cv::Mat& grey, const MeasurementReport& report);

}  // namespace tapersight
