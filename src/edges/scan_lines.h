// The picture as scan lines that cross a strip's side: rows for an upright strip, columns for a lying one.
#pragma once
#include <opencv2/core.hpp>
#include <vector>

#include "imaging/picture.h"
#include "model/sheet_map.h"
#include "model/strip.h"

namespace tapersight {

class ScanLines {
 public:
  // upright: the lines are rows, `line` counts v and `place` counts u; otherwise the other way round.
  ScanLines(const cv::Mat& grey, bool upright) : grey_(&grey), upright_(upright) {}
  bool upright() const { return upright_; }
  int lines() const { return upright_ ? grey_->rows : grey_->cols; }
  int places() const { return upright_ ? grey_->cols : grey_->rows; }
  double light(int line, int place) const { return double{light_of_code()[code(line, place)]}; }
  uchar code(int line, int place) const {
    return upright_ ? grey_->ptr<uchar>(line)[place] : grey_->ptr<uchar>(place)[line];
  }
  Eigen::Vector2d picture_px(double line, double place) const {
    return upright_ ? Eigen::Vector2d(place, line) : Eigen::Vector2d(line, place);
  }
  double line_of(const Eigen::Vector2d& picture_px) const {
    return upright_ ? picture_px.y() : picture_px.x();
  }
  double place_of(const Eigen::Vector2d& picture_px) const {
    return upright_ ? picture_px.x() : picture_px.y();
  }

 private:
  const cv::Mat* grey_;
  bool upright_;
};

// Where a side of the strip is expected on each scan line: a chain of picture points, straight between them.
class SidePath {
 public:
  SidePath(const ScanLines& lines, const SheetMap& map, const StripOutline& outline, int side);
  int first_line() const { return first_; }  // the lines between the strip's ends, clipped to the picture
  int last_line() const { return last_; }
  double place(double line) const;
  double inward() const { return inward_; }  // +1: the strip lies at larger places, -1: at smaller ones
  // -1 at the first line, +1 at the last.
  double along(double line) const {
    return (2.0 * line - first_ - last_) / static_cast<double>(std::max(1, last_ - first_));
  }
  // The path moved inward by offset_px + lean_px * t + bow_px * (3 t^2 - 1) / 2, t = along(line).
  void shift(double offset_px, double lean_px, double bow_px = 0);
  // The path moved inward by these offsets, each in the middle of an even part of it; straight between them.
  void follow(const std::vector<double>& offset_px);

 private:
  std::vector<double> line_, place_;
  int first_ = 0, last_ = 0;
  double inward_ = 1;
};

}  // namespace tapersight
