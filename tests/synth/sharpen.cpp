#include "synth/sharpen.h"

#include <opencv2/imgproc.hpp>

namespace tapersight {

void sharpen(double amount, double radius_px, cv::Mat& codes) {
  if (amount == 0) return;
  cv::Mat blurred;
  cv::GaussianBlur(codes, blurred, cv::Size(), radius_px, radius_px, cv::BORDER_REPLICATE);
  cv::addWeighted(codes, 1 + amount, blurred, -amount, 0, codes);
}

void sharpen(const SharpenScene& scene, cv::Mat& codes) {
  if (scene.amount == 0) return;
  const cv::Mat before = codes.clone();
  sharpen(scene.amount, scene.radius_px, codes);
  if (!(scene.threshold > 0)) return;
  cv::Mat blurred, difference;
  cv::GaussianBlur(before, blurred, cv::Size(), scene.radius_px, scene.radius_px, cv::BORDER_REPLICATE);
  cv::absdiff(before, blurred, difference);
  before.copyTo(codes, difference <= scene.threshold);
}

}  // namespace tapersight
