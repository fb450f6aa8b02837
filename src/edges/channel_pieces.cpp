#include "edges/channel_pieces.h"

#include <Eigen/Core>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

namespace tapersight {
namespace {

constexpr double kPitch = 1 / RegionView::kPxPerMm;

cv::Mat disc(double diameter_mm) {
  const int size = std::max(1, static_cast<int>(std::lround(diameter_mm * RegionView::kPxPerMm)) | 1);
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size});
}

std::vector<Piece> pieces_of(const cv::Mat& mask) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(mask, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  std::vector<Piece> pieces;
  for (auto& contour : contours) {
    if (contour.size() < 40) continue;
    Piece piece;
    piece.area_mm2 = cv::contourArea(contour) * kPitch * kPitch;
    if (piece.area_mm2 < 40) continue;
    piece.box = cv::minAreaRect(contour);
    piece.contour = std::move(contour);
    pieces.push_back(std::move(piece));
  }
  std::sort(pieces.begin(), pieces.end(),
            [](const Piece& a, const Piece& b) { return a.area_mm2 > b.area_mm2; });
  return pieces;
}

cv::Mat shown_of(const RegionView& view, const std::vector<OutlineMm>& hidden_mm) {
  cv::Mat shown(view.code.size(), CV_8UC1, cv::Scalar(255));
  for (const OutlineMm& outline : hidden_mm) {
    std::vector<cv::Point> corners;
    for (const Eigen::Vector2d& p : outline) {
      const Eigen::Vector2d q = (p - view.origin_mm) * RegionView::kPxPerMm - Eigen::Vector2d(0.5, 0.5);
      corners.emplace_back(static_cast<int>(std::lround(q.x())), static_cast<int>(std::lround(q.y())));
    }
    cv::fillConvexPoly(shown, corners, cv::Scalar(0));
  }
  return shown;
}

// Code values by which a place must differ from the ground to count.
double least_difference(const Segmentation& s) {
  return std::max(7.0, 5 * s.ground.sigma);
}

// Where the view differs from the ground by more than `codes`, cleaned of specks and holes.
cv::Mat differing(const Segmentation& s, double codes) {
  cv::Mat code;
  s.view.code.convertTo(code, CV_32F);
  cv::Mat mask = cv::abs(code - s.ground.code) > codes;
  cv::Mat within = cv::Mat::zeros(mask.size(), CV_8UC1);
  mask(s.inner).copyTo(within(s.inner));
  cv::bitwise_and(within, s.view.inside, within);
  cv::bitwise_and(within, s.shown, within);
  cv::morphologyEx(within, within, cv::MORPH_OPEN, disc(0.75));
  cv::morphologyEx(within, within, cv::MORPH_CLOSE, disc(1.25));
  return within;
}

cv::Mat faint_traces(const Segmentation& s) {
  // The ground as it is beside: a surface through all of it would have been drawn towards the strip.
  const int band = static_cast<int>(std::lround(3 / kPitch));
  cv::Mat code;
  s.view.code.convertTo(code, CV_32F);
  cv::Mat unlike = cv::Mat::zeros(code.size(), CV_32FC1);
  cv::Mat left, right;
  cv::reduce(code(cv::Rect(s.inner.x, 0, band, code.rows)), left, 1, cv::REDUCE_AVG);
  cv::reduce(code(cv::Rect(s.inner.br().x - band, 0, band, code.rows)), right, 1, cv::REDUCE_AVG);
  for (int y = s.inner.y; y < s.inner.br().y; ++y)
    for (int x = s.inner.x; x < s.inner.br().x; ++x) {
      const float f = static_cast<float>(x - s.inner.x) / static_cast<float>(s.inner.width);
      unlike.at<float>(y, x) =
          std::abs(code.at<float>(y, x) - (1 - f) * left.at<float>(y) - f * right.at<float>(y));
    }
  cv::GaussianBlur(unlike, unlike, cv::Size(), 1.0 / kPitch);
  std::vector<float> beside;
  for (int y = s.inner.y; y < s.inner.br().y; y += 2)
    for (int x = 0; x < band; ++x) {
      beside.push_back(unlike.at<float>(y, s.inner.x + x));
      beside.push_back(unlike.at<float>(y, s.inner.br().x - 1 - x));
    }
  const auto high = beside.begin() + static_cast<std::ptrdiff_t>(beside.size() * 9 / 10);
  std::nth_element(beside.begin(), high, beside.end());
  cv::Mat within = cv::Mat::zeros(unlike.size(), CV_8UC1);
  cv::Mat(unlike > 1.3 * double{*high} + 0.2)(s.inner).copyTo(within(s.inner));
  cv::bitwise_and(within, s.view.inside, within);
  cv::bitwise_and(within, s.shown, within);
  cv::morphologyEx(within, within, cv::MORPH_CLOSE, disc(3));
  return within;
}

}  // namespace

double Piece::along_rad() const {
  const bool wide = box.size.width >= box.size.height;
  return (double{box.angle} + (wide ? 0 : 90)) * CV_PI / 180;
}

Segmentation segment_region(const cv::Mat& grey, const SheetMap& map, const StripSearch& search) {
  Segmentation s;
  s.view = view_region(grey, map, search.low_mm, search.high_mm);
  const int side = static_cast<int>(std::lround(search.side_margin_mm / kPitch));
  const int end = static_cast<int>(std::lround(search.end_margin_mm / kPitch));
  s.inner = cv::Rect(side, end, s.view.code.cols - 2 * side, s.view.code.rows - 2 * end);
  cv::Mat valid = cv::Mat::zeros(s.view.code.size(), CV_8UC1);
  s.view.inside(s.inner).copyTo(valid(s.inner));
  s.shown = shown_of(s.view, search.hidden_mm);
  cv::bitwise_and(valid, s.shown, valid);
  cv::Mat sure = valid.clone();
  if (search.only_the_strip) {
    // In the channel the ground shows along the sides.
    const int band = static_cast<int>(std::lround(3 / kPitch));
    sure.colRange(side + band, s.view.code.cols - side - band).setTo(0);
  }
  s.ground = model_ground(s.view.code, sure, valid);
  return s;
}

std::vector<Piece> pieces_in(const Segmentation& s) {
  return pieces_of(differing(s, least_difference(s)));
}

std::vector<Piece> faint_pieces_in(const Segmentation& s) {
  return pieces_of(faint_traces(s));
}

}  // namespace tapersight
