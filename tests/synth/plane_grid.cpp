#include "synth/plane_grid.h"

namespace tapersight {
namespace {

constexpr int kStep = 16;  // px; perspective and distortion bend less than 0.02 px over this

}  // namespace

PlaneGrid::PlaneGrid(const PinholeCamera& camera, double height_mm, const cv::Rect& roi) : roi_(roi) {
  columns_ = roi.width / kStep + 2;
  const int rows = roi.height / kStep + 2;
  nodes_.reserve(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows));
  for (int r = 0; r < rows; ++r)
    for (int c = 0; c < columns_; ++c)
      nodes_.push_back(
          camera.bench_from_pixel(Eigen::Vector2d(roi.x + c * kStep, roi.y + r * kStep), height_mm));
  mixed_.resize(static_cast<std::size_t>(columns_));
  points_.resize(static_cast<std::size_t>(roi.width));
}

const std::vector<Eigen::Vector2d>& PlaneGrid::row(int row) {
  const int node = (row - roi_.y) / kStep;
  const double t = ((row - roi_.y) - node * kStep) / static_cast<double>(kStep);
  const Eigen::Vector2d* above = nodes_.data() + static_cast<std::size_t>(node) * mixed_.size();
  const Eigen::Vector2d* below = above + mixed_.size();
  for (std::size_t c = 0; c < mixed_.size(); ++c) mixed_[c] = (1 - t) * above[c] + t * below[c];
  for (int c = 0; c < roi_.width; ++c) {
    const auto n = static_cast<std::size_t>(c / kStep);
    const double s = (c % kStep) / static_cast<double>(kStep);
    points_[static_cast<std::size_t>(c)] = (1 - s) * mixed_[n] + s * mixed_[n + 1];
  }
  return points_;
}

}  // namespace tapersight
