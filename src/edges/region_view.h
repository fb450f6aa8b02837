// A small straightened view of the region in which the strip lies. Only for finding it: nothing is measured
// here.
#pragma once
#include <opencv2/core.hpp>

#include "model/sheet_map.h"

namespace tapersight {

struct RegionView {
  static constexpr double kPxPerMm = 4;
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero();  // sheet point of the view's top left corner
  cv::Mat code;                                         // CV_8UC1, code values
  cv::Mat inside;                                       // CV_8UC1, 255 where the picture covers the view
  Eigen::Vector2d sheet_from_view(double x, double y) const {
    return origin_mm + Eigen::Vector2d(x + 0.5, y + 0.5) / kPxPerMm;
  }
};

// The rectangle from `low_mm` to `high_mm` (sheet frame), each view pixel averaged over a few picture pixels.
RegionView view_region(const cv::Mat& grey, const SheetMap& map, const Eigen::Vector2d& low_mm,
                       const Eigen::Vector2d& high_mm);

}  // namespace tapersight
