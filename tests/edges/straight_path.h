// The path of a strip's left side in a picture made for a test.
#pragma once
#include "edges/scan_lines.h"

namespace tapersight {

// Straight down column 40 + off of a picture of upright lines, of a strip at 12 px per mm that lies to the
// right.
inline SidePath straight_path(const ScanLines& lines, double off) {
  const double half_mm = lines.lines() / 24.0;
  PlaneMap map;
  map.centre_px = {0, 0};
  map.scale_px = {12, 12};
  map.coefficients = Eigen::MatrixX2d::Zero(3, 2);
  map.coefficients(1, 0) = 1;
  map.coefficients(2, 1) = 1;
  StripOutline outline;
  outline.centre_mm = {(40 + off) / 12 + 1, half_mm};
  outline.along = {0, 1};
  outline.far_mm = -half_mm;
  outline.fence_mm = half_mm;
  outline.side_at_mm[0] = -1;
  outline.side_at_mm[1] = 1;
  // across = (along.y, -along.x) = +x: side 0 is the left one.
  return SidePath(lines, map, outline, 0);
}

}  // namespace tapersight
