// The stages that pictures of one strip and of several share. Only for this folder.
#pragma once
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "edges/find_strip.h"
#include "pipeline/measure_picture.h"

namespace tapersight {

// A picture whose printed sheet was found: a measurement that still lacks its strip.
struct CalibratedPicture {
  PictureMeasurement m;
  StripFitOptions fit;
  StripSearch channel;                 // true mm
  std::vector<SeenTag> tags;           // anywhere in the picture
  std::optional<double> thickness_mm;  // of the strip in a photo
};

// Failures: those of find_sheet and fit_plane, "too-blurred", those of photo_trouble (photo.h).
Result<CalibratedPicture> calibrate_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                            std::optional<double> dpi_v, const PictureOptions& options);

// From the calibrated picture on: the strip, its edges, the taper.
Result<PictureMeasurement> measure_calibrated(const cv::Mat& grey, PictureMeasurement m,
                                              const StripSearch& search, const StripFitOptions& fit,
                                              std::optional<double> thickness_mm = std::nullopt);

}  // namespace tapersight
