// What can be seen of a picture that could not be measured, so that a person finds the fault in it.
#pragma once
#include <Eigen/Core>
#include <opencv2/core.hpp>
#include <vector>

namespace tapersight {

// Pixel frame of the picture.
struct FaultMarks {
  std::vector<Eigen::Vector2d> seen_px;     // points of the printed sheet that were found
  std::vector<Eigen::Vector2d> missing_px;  // where its other points should be, inside the picture or not
  std::vector<Eigen::Vector2d> channel_px;  // the channel's outline, in order; empty when it is not known
  std::vector<std::vector<Eigen::Vector2d>> pieces_px;  // outlines of what lies in it, the largest first
  bool sheet_seen() const { return !seen_px.empty(); }
};

// Without a sheet in the picture nothing is marked. `with_sheet`: the picture should hold one.
//   grey  CV_8UC1
FaultMarks fault_marks(const cv::Mat& grey, bool with_sheet);

}  // namespace tapersight
