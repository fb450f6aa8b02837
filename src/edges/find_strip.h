// Finds the strip in the channel, or anywhere on the glass, without a hint.
#pragma once
#include <opencv2/core.hpp>

#include "base/result.h"
#include "model/plane_map.h"
#include "model/strip.h"

namespace tapersight {

struct StripSearch {
  Eigen::Vector2d low_mm, high_mm;        // the rectangle to look in, sheet frame
  Eigen::Vector2d fence_direction{0, 1};  // the fence end is the end towards this direction
  bool only_the_strip = true;   // false: other things may lie around; the one long straight piece is taken
  double side_margin_mm = 2.5;  // along the rectangle's sides: cut paper, hairline
  double end_margin_mm = 0.6;   // along its ends
  double least_length_mm = 50;  // shorter pieces cannot be measured usefully
  double least_aspect = 2.5;    // length over width
};

// Failures: "no-strip", "no-contrast", "two-strips", "strip-broken", "strip-across-fiducials",
// "strip-too-long", "strip-cut-off", "not-a-strip", "strip-too-short".
Result<StripOutline> find_strip(const cv::Mat& grey, const PlaneMap& map, const StripSearch& search);

}  // namespace tapersight
