// Exact area coverage of polygons on the pixels of a synthetic scanner or camera.
#pragma once
#include <Eigen/Core>
#include <opencv2/core.hpp>
#include <vector>

#include "synth/scanner_map.h"

namespace tapersight {

// A closed outline on the glass (mm) or in a picture (px), either way round. `weight` 1 adds its area, -1
// takes it away.
struct Outline {
  std::vector<Eigen::Vector2d> points;
  double weight = 1;
};

// Part of every pixel's area that lies inside, CV_32FC1, for the pixels of `roi`.
struct Coverage {
  cv::Rect roi;
  cv::Mat area;
  bool empty() const { return roi.empty(); }
};

// Outlines of weight 1 must not overlap. The area is exact for straight sides (signed areas are summed cell
// by cell, as font renderers do); the scanner's bending is followed to below 1e-4 px.
Coverage cover(const std::vector<Outline>& outlines, const ScannerMap& map, const cv::Rect& roi);

// The same for outlines in the pixel frame, their sides straight in the picture.
Coverage cover_px(const std::vector<Outline>& outlines, const cv::Rect& roi);

// Area in the outline; positive when it runs clockwise as seen with y down.
double signed_area(const std::vector<Eigen::Vector2d>& points);

// The pixels that the outlines can touch, with `spare_px` around, cut at the picture.
cv::Rect bounds_px(const std::vector<Outline>& outlines, const ScannerMap& map, int spare_px);

// The same for outlines in the pixel frame, in a picture of this size.
cv::Rect bounds_of_px(const std::vector<Outline>& outlines, const cv::Size& size_px, int spare_px);

Outline rectangle(const Eigen::Vector2d& from, const Eigen::Vector2d& to);

}  // namespace tapersight
