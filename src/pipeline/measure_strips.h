// A picture with several strips, each measured by itself and named by its tag.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "pipeline/measure_picture.h"

namespace tapersight {

struct StripOnSheet {
  std::optional<int> bench;   // of its tag
  Eigen::Vector2d centre_mm;  // sheet frame, true mm
  Result<PictureMeasurement> measured = Failure{"not-measured", "Nothing was measured.", "Measure it first."};
};

struct TagProblem {
  int bench = 0;
  Failure failure;
};

struct StripsMeasurement {
  const SheetLayout* layout = nullptr;
  std::vector<StripOnSheet> strips;  // from left to right on the sheet as printed
  std::vector<TagProblem> tags;      // those that name no strip
};

// Every strip in the channel. With one strip and no tag at all the fence end is the sheet's and `bench`
// unset; otherwise a strip is measured only when its tag is plain (match_tags.h), and its `measured` says why
// not. Failures: those of the sheet and its calibration, "no-strip".
Result<StripsMeasurement> measure_strips(const cv::Mat& grey, std::optional<double> dpi_u,
                                         std::optional<double> dpi_v, const PictureOptions& options = {});

// The picture's one strip, with or without its tag. Failures: those of measure_strips and of the strip,
// "several-strips".
Result<PictureMeasurement> measure_only_strip(const cv::Mat& grey, std::optional<double> dpi_u,
                                              std::optional<double> dpi_v,
                                              const PictureOptions& options = {});

}  // namespace tapersight
