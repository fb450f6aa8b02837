#include "edges/strip_face.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace tapersight {
namespace {

constexpr double kPx = RegionView::kPxPerMm;
constexpr double kTornEndMm = 7;  // splinters reach as far

float quantile(std::vector<float> values, double part) {
  if (values.empty()) return 0;
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(part * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Of the wood's own difference, for a tone to be clearly on the ground's other side: more than noise and an
// uneven lid make. From faces painted by hand and one traced scan; a line that is nearer to the ground's tone
// still passes for the ground.
constexpr double kClearlyAcross = 0.3;

// How much a face differs from the ground. Between wood lighter than the ground and a line darker than it
// (spalted wood) the tone passes through the ground's, which is not the ground showing: what lies clearly on
// the ground's other side is no ground, nor is what touches it.
cv::Mat unlike_ground(const cv::Mat& over_ground) {
  const double usual = double{quantile({over_ground.begin<float>(), over_ground.end<float>()}, 0.5)};
  const double limit = -kClearlyAcross * usual;
  cv::Mat across = usual < 0 ? over_ground > limit : over_ground < limit;
  cv::dilate(across, across, cv::Mat::ones(3, 3, CV_8UC1));
  cv::Mat unlike = cv::abs(over_ground);
  unlike.setTo(std::abs(usual), across);
  return unlike;
}

// How much the face is wood, place by place: 1 as its column usually is (the wood's lines run along the
// columns), 0 the ground's own tone. The torn ends are left out, and columns beside the wood.
cv::Mat woodiness(const cv::Mat& unlike) {
  const int end = std::min(static_cast<int>(kTornEndMm * kPx), unlike.rows / 4);
  const cv::Mat inner = unlike.rowRange(end, unlike.rows - end);
  std::vector<float> usual;
  for (int c = 0; c < inner.cols; ++c) {
    const cv::Mat column = inner.col(c).clone();
    usual.push_back(quantile(std::vector<float>(column.begin<float>(), column.end<float>()), 0.5));
  }
  const float of_wood = quantile(usual, 0.5) / 2;
  int first = 0, last = inner.cols - 1;
  while (first < last && usual[static_cast<std::size_t>(first)] < of_wood) ++first;
  while (last > first && usual[static_cast<std::size_t>(last)] < of_wood) --last;
  cv::Mat wood = inner.colRange(first, last + 1).clone();
  for (int c = 0; c < wood.cols; ++c)
    for (int r = 0; r < wood.rows; ++r) {
      float& w = wood.at<float>(r, c);
      w = std::min(1.0F, w / std::max(1.0F, usual[static_cast<std::size_t>(first + c)]));
    }
  return wood;
}

constexpr int kMostSlope = 2;     // rows per column of a crack: 63 degrees off square
constexpr int kParts = 5;         // of the width; the ground must show in each
constexpr double kGround = 0.55;  // mean along the way across where the ground shows, ragged as a crack is
constexpr double kGroundInPart = 0.8;

// A gap or a ragged crack: the way across that shows the most of the ground, found column by column (dynamic
// programming), shows it on the whole and in each part of the width.
bool has_gap_across(const cv::Mat& wood) {
  cv::Mat sum(wood.size(), CV_32FC1), from(wood.size(), CV_32SC1);
  wood.col(0).copyTo(sum.col(0));
  for (int c = 1; c < wood.cols; ++c)
    for (int r = 0; r < wood.rows; ++r) {
      int best = r;
      for (int k = std::max(0, r - kMostSlope); k <= std::min(wood.rows - 1, r + kMostSlope); ++k)
        if (sum.at<float>(k, c - 1) < sum.at<float>(best, c - 1)) best = k;
      sum.at<float>(r, c) = sum.at<float>(best, c - 1) + wood.at<float>(r, c);
      from.at<int>(r, c) = best;
    }
  int r = 0;
  for (int k = 1; k < wood.rows; ++k)
    if (sum.at<float>(k, wood.cols - 1) < sum.at<float>(r, wood.cols - 1)) r = k;
  if (double{sum.at<float>(r, wood.cols - 1)} > kGround * wood.cols) return false;
  double part[kParts] = {}, count[kParts] = {};
  for (int c = wood.cols - 1; c >= 0; --c) {
    part[c * kParts / wood.cols] += double{wood.at<float>(r, c)};
    count[c * kParts / wood.cols] += 1;
    if (c > 0) r = from.at<int>(r, c);
  }
  for (int k = 0; k < kParts; ++k)
    if (part[k] > kGroundInPart * count[k]) return false;
  return true;
}

// A gap at any slant: what is not ground falls into two lengths.
bool falls_apart(const cv::Mat& wood) {
  cv::Mat labels, stats, centres;
  const int count = cv::connectedComponentsWithStats(wood > kGround, labels, stats, centres, 4);
  std::vector<int> large;
  for (int k = 1; k < count; ++k)
    if (stats.at<int>(k, cv::CC_STAT_AREA) > 0.04 * static_cast<double>(wood.total())) large.push_back(k);
  const auto top = [&](int k) { return stats.at<int>(k, cv::CC_STAT_TOP); };
  const auto height = [&](int k) { return stats.at<int>(k, cv::CC_STAT_HEIGHT); };
  for (const int a : large)
    for (const int b : large) {
      const int shared = std::min(top(a) + height(a), top(b) + height(b)) - std::max(top(a), top(b));
      if (top(a) < top(b) && shared < 0.5 * std::min(height(a), height(b))) return true;
    }
  return false;
}

constexpr int kStepPx = static_cast<int>(kPx);  // means over 1 mm on both sides
constexpr double kEndMm = 30, kItselfMm = 3;    // nearer than this it is the end itself
constexpr double kMostColumns = 0.15;           // of them may not show the step
constexpr float kLeastStep = 6;                 // code values

// How much the tone changes at each row, all across: the least change of nearly all columns, of one sign.
std::vector<float> steps_across(const cv::Mat& code) {
  std::vector<float> steps(static_cast<std::size_t>(code.rows), 0);
  for (int r = kStepPx; r + kStepPx <= code.rows; ++r) {
    cv::Mat before, after;
    cv::reduce(code.rowRange(r - kStepPx, r), before, 0, cv::REDUCE_AVG);
    cv::reduce(code.rowRange(r, r + kStepPx), after, 0, cv::REDUCE_AVG);
    const cv::Mat change = after - before;
    const std::vector<float> by_column(change.begin<float>(), change.end<float>());
    const float low = quantile(by_column, kMostColumns), high = quantile(by_column, 1 - kMostColumns);
    steps[static_cast<std::size_t>(r)] = low > 0 ? low : std::max(0.0F, -high);
  }
  return steps;
}

}  // namespace

StripFace straightened(const Segmentation& segmentation, const StripOutline& outline) {
  const int rows = std::max(1, static_cast<int>(outline.length_mm() * kPx));
  const int columns = std::max(1, static_cast<int>(outline.width_mm() * kPx));
  cv::Mat x(rows, columns, CV_32FC1), y(rows, columns, CV_32FC1);
  for (int r = 0; r < rows; ++r)
    for (int c = 0; c < columns; ++c) {
      const double along = outline.far_mm + (r + 0.5) / kPx;
      const double part = (c + 0.5) / columns;
      const Eigen::Vector2d at = (1 - part) * outline.on_side(0, along) + part * outline.on_side(1, along) -
                                 segmentation.view.origin_mm;
      x.at<float>(r, c) = static_cast<float>(at.x() * kPx - 0.5);
      y.at<float>(r, c) = static_cast<float>(at.y() * kPx - 0.5);
    }
  cv::Mat code;
  segmentation.view.code.convertTo(code, CV_32F);
  StripFace face;
  cv::remap(code, face.code, x, y, cv::INTER_NEAREST, cv::BORDER_REPLICATE);
  cv::remap(code - segmentation.ground.code, face.over_ground, x, y, cv::INTER_NEAREST, cv::BORDER_REPLICATE);
  return face;
}

bool shows_ground_across(const StripFace& face) {
  const cv::Mat wood = woodiness(unlike_ground(face.over_ground));
  return has_gap_across(wood) || falls_apart(wood);
}

StripOutline without_end_shadows(const StripFace& face, const StripOutline& outline) {
  const int end = static_cast<int>(kEndMm * kPx), itself = static_cast<int>(kItselfMm * kPx);
  if (face.code.rows < 4 * end) return outline;
  const std::vector<float> steps = steps_across(face.code);
  const float usual = *std::max_element(steps.begin() + end, steps.end() - end);
  const float limit = std::max(kLeastStep, 1.5F * usual);
  StripOutline trimmed = outline;
  // The innermost such step of each end; what is left of the end is there all the same.
  for (int r = end; r > itself; --r) {
    if (steps[static_cast<std::size_t>(r)] < limit) continue;
    trimmed.far_mm = outline.far_mm + (r + kStepPx) / kPx;
    break;
  }
  for (int r = face.code.rows - end; r < face.code.rows - itself; ++r) {
    if (steps[static_cast<std::size_t>(r)] < limit) continue;
    trimmed.fence_mm = outline.far_mm + (r - kStepPx) / kPx;
    break;
  }
  return trimmed;
}

}  // namespace tapersight
