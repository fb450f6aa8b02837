// The stages that pictures of one strip and of several share. Only for this folder.
#pragma once
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "edges/find_strip.h"
#include "pipeline/measure_picture.h"

namespace tapersight {

// Of a long side, as it lies on the sheet, fence end down.
constexpr const char* side_word(int side) {
  return side == 1 ? "right" : "left";
}

// A taper measured on the sheet as uncertain as this (standard uncertainty; 4 thou over 7.5 in) helps nobody.
inline constexpr double kMostUTaper = 5e-4;

// What a person said of the strip.
struct ToldOfStrip {
  std::optional<double> thickness_mm;  // in a photo
  std::string take;                    // in a scan: see PictureOptions
};

// A picture whose printed sheet was found, and a measurement that still lacks its strip.
struct CalibratedPicture {
  cv::Mat grey;  // as the strip is measured in it: a scan's channel without the driver's sharpening
  PictureMeasurement m;
  StripFitOptions fit;
  StripSearch channel;        // true mm
  std::vector<SeenTag> tags;  // anywhere in the picture
  ToldOfStrip told;
};

// Some pixels wide, no sheet and no strip can be seen, and the filters of the search have nothing to stand
// on: "picture-too-small".
std::optional<Failure> check_picture_size(const cv::Mat& grey);

// Failures: those of check_picture_size, find_sheet and fit_plane, "too-blurred", "resolution-too-low",
// "sheet-distorted", "target-covered", those of photo_trouble (photo.h).
Result<CalibratedPicture> calibrate_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                            std::optional<double> dpi_v, const PictureOptions& options);

// From the calibrated picture on: the strip, its edges, the taper.
Result<PictureMeasurement> measure_calibrated(const cv::Mat& grey, PictureMeasurement m,
                                              const StripSearch& search, const StripFitOptions& fit,
                                              const ToldOfStrip& told);

}  // namespace tapersight
