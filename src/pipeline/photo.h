// A photo, from the found sheet to the strip's taper. Only for this folder.
#pragma once
#include <opencv2/core.hpp>
#include <optional>

#include "pipeline/stages.h"
#include "target/find_sheet.h"
#include "target/fit_camera.h"

namespace tapersight {

// "too-small": too few pixels a millimetre of the sheet, of which then hardly a point is found.
std::optional<Failure> too_small(const FoundSheet& sheet);

// Is the picture good enough to be worth measuring? What is wrong, with its remedy: "too-blurred",
// "too-small", "too-oblique", "under-exposed", "over-exposed", "glare", "target-cut-off", "target-covered",
// "sheet-not-flat".
std::optional<Failure> photo_trouble(const cv::Mat& grey, const FoundSheet& sheet, const CameraFit& camera);

// From the calibrated photo on; `thickness_mm` of the strip, if known, makes its widths right. Failures:
// those of find_raised_strip, choose_border and measure_strip, "glare", "edges-unclear".
Result<PictureMeasurement> measure_photo(const cv::Mat& grey, PictureMeasurement m, const StripSearch& search,
                                         const StripFitOptions& fit, std::optional<double> thickness_mm);

}  // namespace tapersight
