// Where the pixels of a photo look on a level plane: on a coarse grid of pixels exactly, bilinear between.
// For textures and light, not for outlines.
#pragma once
#include <Eigen/Core>
#include <opencv2/core.hpp>
#include <vector>

#include "synth/camera.h"

namespace tapersight {

class PlaneGrid {
 public:
  PlaneGrid(const PinholeCamera& camera, double height_mm, const cv::Rect& roi);

  // Bench x, y of every pixel of picture row `row` from roi.x on; the buffer is reused.
  const std::vector<Eigen::Vector2d>& row(int row);

 private:
  cv::Rect roi_;
  int columns_ = 0;
  std::vector<Eigen::Vector2d> nodes_, mixed_, points_;
};

}  // namespace tapersight
