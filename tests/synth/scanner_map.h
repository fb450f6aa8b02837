// Where the pixels of a synthetic scanner look on the glass. Exact: a column has its place along the sensor,
// a row its place along the carriage's way, its sideways shift and its stretch, a chip of the sensor its
// offset.
#pragma once
#include <Eigen/Core>
#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "synth/scan_scene.h"

namespace tapersight {

class ScannerMap {
 public:
  // `origin_mm`: nominal place of pixel (0, 0) on the glass.
  ScannerMap(const ScannerScene& scanner, int dpi, const Eigen::Vector2d& origin_mm, const cv::Size& size_px,
             std::uint64_t seed);

  cv::Size size_px() const { return size_; }

  Eigen::Vector2d glass_from_pixel(const Eigen::Vector2d& pixel) const;
  // Inverse, by iteration, to better than 1e-9 px; continued smoothly outside the picture.
  Eigen::Vector2d pixel_from_glass(const Eigen::Vector2d& glass_mm) const;

  // The parts of the map. With (x, y) on the glass, a row sees the way coordinate y - skew_of_row * x.
  double skew_of_row(int row) const { return row_skew_[static_cast<std::size_t>(row)]; }
  double x_of_column(double column) const;  // without the row's shift and stretch
  double column_of_x(double x_mm) const;    // inverse of x_of_column
  double shift_of_row(int row) const {
    return row_shift_[static_cast<std::size_t>(row)];
  }  // add to x_of_column times ...
  double stretch_of_row(int row) const { return row_stretch_[static_cast<std::size_t>(row)]; }
  double way_top_of_row(int row) const {
    return row_top_[static_cast<std::size_t>(row)];
  }  // upper border of the row's light
  double way_bottom_of_row(int row) const { return row_bottom_[static_cast<std::size_t>(row)]; }
  double way_of_row(int row) const { return (way_top_of_row(row) + way_bottom_of_row(row)) / 2; }
  // Rows that may see anything of the straight line between two points of the glass; empty (first > last)
  // outside the picture.
  struct RowRange {
    int first, last;
  };
  RowRange rows_seeing(const Eigen::Vector2d& from_mm, const Eigen::Vector2d& to_mm) const;

  // The sensor's chips from left to right: what a chip sees lies `offset_mm` further on the glass than all of
  // the above says. The first chip reaches to the left without end, the last to the right.
  struct Chip {
    int first_column;
    Eigen::Vector2d offset_mm;
  };
  const std::vector<Chip>& chips() const { return chips_; }
  const Chip& chip_of_column(double column) const;

 private:
  void place_chips();
  Eigen::Vector2d pixel_on_one_chip(const Eigen::Vector2d& glass_mm) const;
  double stretch_at(double row) const;
  double smooth_way(double row) const;     // without jitter
  double smooth_row(double way_mm) const;  // inverse of smooth_way
  double skew_at(double row) const;
  double wobble(double row) const;    // mm
  double jitter_y(double row) const;  // mm, interpolated between rows
  double jitter_x(double row) const;

  ScannerScene scanner_;
  Eigen::Vector2d origin_;
  cv::Size size_;
  double pitch_x_, pitch_y_;
  std::vector<double> jitter_x_, jitter_y_;  // one per row, mm
  std::vector<double> row_shift_, row_top_, row_bottom_, row_skew_, row_stretch_;
  std::vector<Chip> chips_;
  int spare_rows_ = 0;  // how many rows jitter and yaw can move what a row sees, rounded up
};

}  // namespace tapersight
