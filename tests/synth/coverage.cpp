#include "synth/coverage.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

constexpr double kLongestSideMm = 0.5;  // the lens bends a chord of this length by less than 1e-5 mm

// A piece of an outline's side on the glass, and what crossing it adds to the area on its right.
struct Segment {
  Eigen::Vector2d from, to;
  double weight;
};

// A part of a segment within one row: columns in cell coordinates (pixel c covers [c, c + 1)), `height` is
// the part of the row's height it spans, signed. Sums up so that a running sum along the row is the area.
void accumulate(float* row, int width, double from, double to, double height) {
  if (from > to) std::swap(from, to);
  const double length = to - from;
  for (double at = from;;) {
    const double cell = std::floor(at);
    const double end = std::min(cell + 1, to);
    const double part = length > 0 ? height * (end - at) / length : height;
    if (cell >= width) return;
    if (cell < 0) {
      row[0] += static_cast<float>(length > 0 ? height * (std::min(to, 0.0) - at) / length : height);
      if (to <= 0) return;
      at = 0;
      continue;
    }
    const double left_of = (at + end) / 2 - cell;  // the cell's part on the left of the side
    const int c = static_cast<int>(cell);
    row[c] += static_cast<float>(part * (1 - left_of));
    row[c + 1] += static_cast<float>(part * left_of);
    if (end >= to) return;
    at = end;
  }
}

void add_segment(const Segment& s, const ScannerMap& map, const cv::Rect& roi, cv::Mat& sums) {
  const auto rows = map.rows_seeing(s.from, s.to);
  const int last = std::min(rows.last, roi.y + roi.height - 1);
  for (int r = std::max(rows.first, roi.y); r <= last; ++r) {
    const double w0 = s.from.y() - map.skew_of_row(r) * s.from.x();
    const double w1 = s.to.y() - map.skew_of_row(r) * s.to.x();
    const double top = map.way_top_of_row(r);
    const double bottom = map.way_bottom_of_row(r);
    const double begin = std::max(std::min(w0, w1), top);
    const double end = std::min(std::max(w0, w1), bottom);
    if (!(begin < end)) continue;
    const double slope = (s.to.x() - s.from.x()) / (w1 - w0);
    const double x0 = s.from.x() - map.shift_of_row(r);
    const double stretch = map.stretch_of_row(r);
    const double c0 = map.column_of_x((x0 + slope * (begin - w0)) / stretch) + 0.5 - roi.x;
    const double c1 = map.column_of_x((x0 + slope * (end - w0)) / stretch) + 0.5 - roi.x;
    const double weight = w1 > w0 ? s.weight : -s.weight;
    accumulate(sums.ptr<float>(r - roi.y), roi.width, c0, c1, weight * (end - begin) / (bottom - top));
  }
}

// Rows are one pixel high and their borders lie halfway between pixel centres.
void add_segment_px(const Segment& s, const cv::Rect& roi, cv::Mat& sums) {
  const double x0 = s.from.x() + 0.5 - roi.x;
  const double y0 = s.from.y() + 0.5 - roi.y;
  const double x1 = s.to.x() + 0.5 - roi.x;
  const double y1 = s.to.y() + 0.5 - roi.y;
  if (y0 == y1) return;
  const double top = std::max(std::min(y0, y1), 0.0);
  const double bottom = std::min(std::max(y0, y1), static_cast<double>(roi.height));
  const double slope = (x1 - x0) / (y1 - y0);
  for (double begin = top; begin < bottom;) {
    const double row = std::floor(begin);
    const double end = std::min(row + 1, bottom);
    const double weight = y1 > y0 ? s.weight : -s.weight;
    accumulate(sums.ptr<float>(static_cast<int>(row)), roi.width, x0 + slope * (begin - y0),
               x0 + slope * (end - y0), weight * (end - begin));
    begin = end;
  }
}

// The running sum must grow at the left side: it has to run downwards, which it does when the area is
// negative.
double running_weight(const Outline& outline) {
  return signed_area(outline.points) > 0 ? -outline.weight : outline.weight;
}

// As the chip with this offset sees it.
void add_outline(const Outline& outline, const ScannerMap& map, const Eigen::Vector2d& offset_mm,
                 const cv::Rect& roi, cv::Mat& sums) {
  const double weight = running_weight(outline);
  const auto count = outline.points.size();
  for (std::size_t i = 0; i < count; ++i) {
    const Eigen::Vector2d p = outline.points[i] - offset_mm;
    const Eigen::Vector2d side = outline.points[(i + 1) % count] - outline.points[i];
    const int parts = std::max(1, static_cast<int>(std::ceil(side.norm() / kLongestSideMm)));
    Eigen::Vector2d from = p;
    for (int k = 1; k <= parts; ++k) {
      const Eigen::Vector2d to = p + side * (static_cast<double>(k) / parts);
      add_segment({from, to, weight}, map, roi, sums);
      from = to;
    }
  }
}

// From sums over the sides to areas, row by row.
Coverage summed_up(const cv::Rect& roi, cv::Mat& sums) {
  for (int r = 0; r < roi.height; ++r) {
    float* row = sums.ptr<float>(r);
    double sum = 0;
    for (int c = 0; c < roi.width; ++c) {
      sum += static_cast<double>(row[c]);
      row[c] = std::clamp(static_cast<float>(sum), 0.0F, 1.0F);
    }
  }
  return {roi, sums.colRange(0, roi.width)};
}

cv::Rect clipped(const Eigen::AlignedBox2d& pixels, double spare, const cv::Size& size_px) {
  const Eigen::Vector2d size(size_px.width, size_px.height);
  const Eigen::Vector2d from = (pixels.min().array() - spare).matrix().cwiseMax(Eigen::Vector2d::Zero());
  const Eigen::Vector2d to = (pixels.max().array() + spare).matrix().cwiseMin(size);
  if (!(from.x() < to.x() && from.y() < to.y())) return {};
  return cv::Rect(cv::Point(static_cast<int>(from.x()), static_cast<int>(from.y())),
                  cv::Point(static_cast<int>(to.x()), static_cast<int>(to.y())));
}

}  // namespace

double signed_area(const std::vector<Eigen::Vector2d>& points) {
  double twice = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto& p = points[i];
    const auto& q = points[(i + 1) % points.size()];
    twice += p.x() * q.y() - q.x() * p.y();
  }
  return twice / 2;
}

Coverage cover(const std::vector<Outline>& outlines, const ScannerMap& map, const cv::Rect& roi) {
  if (roi.empty()) return {};
  const auto& chips = map.chips();
  Coverage whole;
  for (std::size_t k = 0; k < chips.size(); ++k) {
    const int from = std::max(roi.x, chips[k].first_column);
    const int to =
        k + 1 < chips.size() ? std::min(roi.x + roi.width, chips[k + 1].first_column) : roi.x + roi.width;
    if (from >= to) continue;
    const cv::Rect part(from, roi.y, to - from, roi.height);
    cv::Mat sums(part.height, part.width + 1, CV_32F, cv::Scalar(0));
    for (const Outline& outline : outlines) add_outline(outline, map, chips[k].offset_mm, part, sums);
    const Coverage seen = summed_up(part, sums);
    if (part == roi) return seen;
    if (whole.empty()) whole = {roi, cv::Mat(roi.height, roi.width, CV_32F)};
    seen.area.copyTo(whole.area.colRange(from - roi.x, to - roi.x));
  }
  return whole;
}

Coverage cover_px(const std::vector<Outline>& outlines, const cv::Rect& roi) {
  if (roi.empty()) return {};
  cv::Mat sums(roi.height, roi.width + 1, CV_32F, cv::Scalar(0));
  for (const Outline& outline : outlines) {
    const double weight = running_weight(outline);
    const auto count = outline.points.size();
    for (std::size_t i = 0; i < count; ++i)
      add_segment_px({outline.points[i], outline.points[(i + 1) % count], weight}, roi, sums);
  }
  return summed_up(roi, sums);
}

cv::Rect bounds_px(const std::vector<Outline>& outlines, const ScannerMap& map, int spare_px) {
  Eigen::AlignedBox2d glass;
  for (const Outline& outline : outlines)
    for (const Eigen::Vector2d& point : outline.points) glass.extend(point);
  if (glass.isEmpty()) return {};
  // The box bends by a few pixels at most between its corners: wobble, jitter.
  Eigen::AlignedBox2d pixels;
  for (int corner = 0; corner < 4; ++corner)
    pixels.extend(map.pixel_from_glass(glass.corner(static_cast<Eigen::AlignedBox2d::CornerType>(corner))));
  return clipped(pixels, spare_px + 8, map.size_px());
}

cv::Rect bounds_of_px(const std::vector<Outline>& outlines, const cv::Size& size_px, int spare_px) {
  Eigen::AlignedBox2d pixels;
  for (const Outline& outline : outlines)
    for (const Eigen::Vector2d& point : outline.points) pixels.extend(point);
  return pixels.isEmpty() ? cv::Rect() : clipped(pixels, spare_px + 2, size_px);
}

Outline rectangle(const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  return {{from, {to.x(), from.y()}, to, {from.x(), to.y()}}, 1};
}

}  // namespace tapersight
