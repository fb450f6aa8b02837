#include "edges/scan_lines.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {
constexpr int kNodes = 65;
}

SidePath::SidePath(const ScanLines& lines, const SheetMap& map, const StripOutline& outline, int side) {
  for (int i = 0; i < kNodes; ++i) {
    const double part = i / static_cast<double>(kNodes - 1);
    const double position =
        outline.side_far_mm(side) + (outline.side_fence_mm(side) - outline.side_far_mm(side)) * part;
    const Eigen::Vector2d p = map.picture_from_sheet(outline.on_side(side, position));
    line_.push_back(lines.line_of(p));
    place_.push_back(lines.place_of(p));
  }
  if (line_.front() > line_.back()) {
    std::reverse(line_.begin(), line_.end());
    std::reverse(place_.begin(), place_.end());
  }
  first_ = std::max(0, static_cast<int>(std::ceil(line_.front())));
  last_ = std::min(lines.lines() - 1, static_cast<int>(std::floor(line_.back())));
  const Eigen::Vector2d inside = outline.point(0, (outline.side_at_mm[0] + outline.side_at_mm[1]) / 2);
  const Eigen::Vector2d border = outline.on_side(side, 0);
  inward_ = lines.place_of(map.picture_from_sheet(inside)) > lines.place_of(map.picture_from_sheet(border))
                ? 1
                : -1;
}

double SidePath::place(double line) const {
  // The nodes are almost evenly spaced: start from the even guess.
  const double even = (line - line_.front()) / (line_.back() - line_.front()) * (kNodes - 1);
  int i = std::clamp(static_cast<int>(even), 0, kNodes - 2);
  while (i > 0 && line < line_[static_cast<std::size_t>(i)]) --i;
  while (i < kNodes - 2 && line > line_[static_cast<std::size_t>(i) + 1]) ++i;
  const auto k = static_cast<std::size_t>(i);
  const double f = (line - line_[k]) / (line_[k + 1] - line_[k]);
  return place_[k] + f * (place_[k + 1] - place_[k]);
}

void SidePath::shift(double offset_px, double lean_px, double bow_px) {
  for (std::size_t i = 0; i < line_.size(); ++i) {
    const double t = along(line_[i]);
    place_[i] += inward_ * (offset_px + lean_px * t + bow_px * (1.5 * t * t - 0.5));
  }
}

void SidePath::follow(const std::vector<double>& offset_px) {
  const auto n = static_cast<double>(offset_px.size());
  for (std::size_t i = 0; i < line_.size(); ++i) {
    const double at = std::clamp((along(line_[i]) + 1) / 2 * n - 0.5, 0.0, n - 1);
    const auto k = std::min(offset_px.size() - 2, static_cast<std::size_t>(at));
    const double f = at - static_cast<double>(k);
    place_[i] += inward_ * ((1 - f) * offset_px[k] + f * offset_px[k + 1]);
  }
}

}  // namespace tapersight
