#include "fuzz/changed_picture.h"

#include <opencv2/imgproc.hpp>

#include "base/rng.h"

namespace tapersight::testing {
namespace {

constexpr int kMostChanges = 16;

cv::Rect rectangle(const cv::Mat& grey, Draw& draw) {
  const int x = draw.below(grey.cols), y = draw.below(grey.rows);
  return {x, y, 1 + draw.below(grey.cols - x), 1 + draw.below(grey.rows - y)};
}

cv::Point place(const cv::Mat& grey, Draw& draw) {
  const int x = draw.below(grey.cols);
  return {x, draw.below(grey.rows)};
}

void patch(cv::Mat& grey, Draw& draw) {
  const cv::Rect at = rectangle(grey, draw);
  grey(at).setTo(draw.byte());
}

void copy_elsewhere(cv::Mat& grey, Draw& draw) {
  const cv::Mat piece = grey(rectangle(grey, draw)).clone();
  const int x = draw.below(grey.cols - piece.cols + 1);
  piece.copyTo(grey({x, draw.below(grey.rows - piece.rows + 1), piece.cols, piece.rows}));
}

void blur(cv::Mat& grey, Draw& draw) {
  cv::GaussianBlur(grey, grey, {}, draw.between(0.3, 6));
}

void noise(cv::Mat& grey, Draw& draw) {
  const double levels = draw.between(0, 40);
  Rng rng(static_cast<std::uint64_t>(draw.byte()));
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x)
      grey.at<uchar>(y, x) = cv::saturate_cast<uchar>(grey.at<uchar>(y, x) + levels * rng.normal());
}

void light(cv::Mat& grey, Draw& draw) {
  const double gain = draw.between(-1.5, 3);
  grey.convertTo(grey, CV_8UC1, gain, draw.between(-200, 200));
}

void line(cv::Mat& grey, Draw& draw) {
  const cv::Point from = place(grey, draw), to = place(grey, draw);
  const int thickness = 1 + draw.byte() % 40;
  cv::line(grey, from, to, cv::Scalar(draw.byte()), thickness, cv::LINE_AA);
}

void bare_pixels(cv::Mat& grey, Draw& draw) {
  const cv::Point at = place(grey, draw);
  for (int y = at.y; y < std::min(at.y + 8, grey.rows); ++y)
    for (int x = at.x; x < std::min(at.x + 8, grey.cols); ++x)
      grey.at<uchar>(y, x) = static_cast<uchar>(draw.byte());
}

void shear(cv::Mat& grey, Draw& draw) {
  cv::Matx23d warp;
  for (int i = 0; i < 4; ++i) warp(i / 2, i % 2) = (i % 3 == 0 ? 1 : 0) + draw.between(-0.3, 0.3);
  warp(0, 2) = draw.between(-0.2, 0.2) * grey.cols;
  warp(1, 2) = draw.between(-0.2, 0.2) * grey.rows;
  cv::Mat out;
  cv::warpAffine(grey, out, warp, grey.size(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  grey = out;
}

void crop(cv::Mat& grey, Draw& draw) {
  grey = grey(rectangle(grey, draw)).clone();
}

void mirror(cv::Mat& grey, Draw& draw) {
  const int which = draw.byte() % 4;
  if (which == 3)
    grey = cv::Mat(grey.t());
  else
    cv::flip(grey, grey, which - 1);
}

}  // namespace

void change_picture(cv::Mat& grey, Draw& draw) {
  constexpr void (*kChanges[])(cv::Mat&, Draw&) = {patch, copy_elsewhere, blur,  noise, light,
                                                   line,  bare_pixels,    shear, crop,  mirror};
  for (int i = 0; i < kMostChanges && !draw.empty(); ++i) kChanges[draw.byte() % 10](grey, draw);
}

}  // namespace tapersight::testing
