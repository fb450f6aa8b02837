// A fiducial found in the picture.
#pragma once
#include <Eigen/Core>

namespace tapersight {

struct Correspondence {
  Eigen::Vector2d picture_px;  // where it was found
  Eigen::Vector2d sheet_mm;    // where it was printed
  int block = 0;               // left 0, right 1
  int row = 0;                 // along the channel, 0 at the far end
  int column = 0;              // within the block, 0 at its left
  double blur_px = 0;          // standard deviation of the optical blur at this point
};

}  // namespace tapersight
