#include "edges/parted_strip.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "edges/region_view.h"

namespace tapersight {
namespace {

constexpr double kPx = RegionView::kPxPerMm;

float median_of(std::vector<float> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// How much the strip differs from the ground, straightened: rows along the strip, columns across, the outer
// tenths of the width and the last 7 mm (splinters) left out.
cv::Mat straightened(const cv::Mat& unlike, const cv::RotatedRect& box) {
  const bool wide = box.size.width >= box.size.height;
  const double angle = (double{box.angle} + (wide ? 0 : 90)) * CV_PI / 180;
  const cv::Point2d along(std::cos(angle), std::sin(angle));
  const cv::Point2d across(-along.y, along.x);
  const double length = double{std::max(box.size.width, box.size.height)} - 14 * kPx;
  const double width = 0.8 * double{std::min(box.size.width, box.size.height)};
  const int rows = std::max(1, static_cast<int>(length));
  const int columns = std::max(1, static_cast<int>(width));
  cv::Mat face(rows, columns, CV_32FC1);
  for (int r = 0; r < rows; ++r)
    for (int c = 0; c < columns; ++c) {
      const cv::Point2d p =
          cv::Point2d(box.center) + (r - (rows - 1) / 2.0) * along + (c - (columns - 1) / 2.0) * across;
      face.at<float>(r, c) =
          unlike.at<float>(std::clamp(static_cast<int>(std::lround(p.y)), 0, unlike.rows - 1),
                           std::clamp(static_cast<int>(std::lround(p.x)), 0, unlike.cols - 1));
    }
  return face;
}

// Where the face sinks half way to the ground. Each column is compared with its own usual tone: the wood's
// dark lines run along the columns.
cv::Mat sunk_places(const cv::Mat& face) {
  cv::Mat sunk = cv::Mat::zeros(face.size(), CV_8UC1);
  for (int c = 0; c < face.cols; ++c) {
    const cv::Mat column = face.col(c).clone();
    const float limit = 0.55F * median_of(std::vector<float>(column.begin<float>(), column.end<float>()));
    for (int r = 0; r < face.rows; ++r) sunk.at<uchar>(r, c) = face.at<float>(r, c) < limit;
  }
  return sunk;
}

// A ragged crack: along some straight line across, up to 45 degrees off square, half of the width has sunk
// within 1.5 mm of the length.
bool has_crack(const cv::Mat& face) {
  const cv::Mat sunk = sunk_places(face);
  const int reach = static_cast<int>(1.5 * kPx);
  for (int slope = -8; slope <= 8; ++slope) {
    std::vector<int> count(static_cast<std::size_t>(face.rows) + static_cast<std::size_t>(face.cols), 0);
    for (int c = 0; c < face.cols; ++c) {
      const int shift = slope * (c - face.cols / 2) / 8 + face.cols / 2;
      int last = -reach;  // the last sunk row counts for all windows that hold it
      for (int r = 0; r < face.rows; ++r) {
        if (sunk.at<uchar>(r, c)) last = r;
        count[static_cast<std::size_t>(r + shift)] += r - last < reach;
      }
    }
    if (*std::max_element(count.begin(), count.end()) > 0.5 * face.cols) return true;
  }
  return false;
}

// A gap, whatever its direction: what is clearly wood falls into two lengths. Lines of the wood run along the
// strip and burns reach in from one side: neither does that.
bool falls_apart(const cv::Mat& wood, double area_px, double width_px, bool upright) {
  cv::Mat labels, stats, centres;
  const int count = cv::connectedComponentsWithStats(wood, labels, stats, centres, 4);
  int first = 0;
  for (int k = 1; k < count; ++k)
    if (first == 0 || stats.at<int>(k, cv::CC_STAT_AREA) > stats.at<int>(first, cv::CC_STAT_AREA)) first = k;
  const auto low = [&](int k) { return stats.at<int>(k, upright ? cv::CC_STAT_TOP : cv::CC_STAT_LEFT); };
  const auto length = [&](int k) {
    return stats.at<int>(k, upright ? cv::CC_STAT_HEIGHT : cv::CC_STAT_WIDTH);
  };
  for (int k = 1; k < count; ++k) {
    const double area = stats.at<int>(k, cv::CC_STAT_AREA);
    if (k == first || area < 0.04 * area_px) continue;
    const int shared =
        std::min(low(k) + length(k), low(first) + length(first)) - std::max(low(k), low(first));
    if (shared < 0.3 * length(k) && area > 0.5 * length(k) * width_px) return true;
  }
  return false;
}

}  // namespace

bool is_parted(const cv::Mat& code, const cv::Mat& ground, const std::vector<cv::Point>& contour) {
  cv::Mat unlike;
  code.convertTo(unlike, CV_32F);
  unlike = cv::abs(unlike - ground);
  const cv::RotatedRect box = cv::minAreaRect(contour);
  const cv::Mat face = straightened(unlike, box);
  if (has_crack(face)) return true;
  const float usual = median_of(std::vector<float>(face.begin<float>(), face.end<float>()));
  cv::Mat whole = cv::Mat::zeros(code.size(), CV_8UC1);
  cv::drawContours(whole, std::vector<std::vector<cv::Point>>{contour}, 0, cv::Scalar(255), cv::FILLED);
  cv::Mat wood = unlike > 0.6 * double{usual};
  cv::bitwise_and(wood, whole, wood);
  const cv::Rect bounds = cv::boundingRect(contour);
  return falls_apart(wood, cv::contourArea(contour), double{std::min(box.size.width, box.size.height)},
                     bounds.height >= bounds.width);
}

}  // namespace tapersight
