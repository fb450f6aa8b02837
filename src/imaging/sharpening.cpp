#include "imaging/sharpening.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <opencv2/imgproc.hpp>

namespace tapersight {
namespace {

constexpr int kPerCode = 128;       // steps of a code value that the passes work in
constexpr double kLeftOver = 0.01;  // of the sharpening that may stay
constexpr int kMostPasses = 40;

}  // namespace

cv::Mat without_sharpening(const cv::Mat& grey, const Sharpening& sharpening, const cv::Rect& region) {
  const cv::Rect part = region & cv::Rect({0, 0}, grey.size());
  if (!(sharpening.amount > 0) || part.empty()) return grey;
  // x = (y + a G x) / (1 + a), again and again: each pass leaves a / (1 + a) of what was wrong. In whole
  // numbers, so that every machine gives the same bytes.
  const double share = sharpening.amount / (1 + sharpening.amount);
  const int passes =
      std::min(kMostPasses, static_cast<int>(std::ceil(std::log(kLeftOver) / std::log(share))));
  constexpr int kOne = 1 << 14;
  const int of_blurred = static_cast<int>(std::lround(share * kOne));
  cv::Mat sharp, blurred;
  grey(part).convertTo(sharp, CV_16U, kPerCode);
  cv::Mat before = sharp.clone();
  for (int pass = 0; pass < passes; ++pass) {
    cv::GaussianBlur(before, blurred, cv::Size(), sharpening.radius_px, sharpening.radius_px,
                     cv::BORDER_REPLICATE);
    for (int v = 0; v < part.height; ++v) {
      const auto* y = sharp.ptr<std::uint16_t>(v);
      const auto* g = blurred.ptr<std::uint16_t>(v);
      auto* x = before.ptr<std::uint16_t>(v);
      for (int u = 0; u < part.width; ++u)
        x[u] = static_cast<std::uint16_t>((y[u] * (kOne - of_blurred) + g[u] * of_blurred + kOne / 2) / kOne);
    }
  }
  cv::Mat result = grey.clone();
  for (int v = 0; v < part.height; ++v) {
    const auto* x = before.ptr<std::uint16_t>(v);
    auto* r = result.ptr<uchar>(part.y + v) + part.x;
    for (int u = 0; u < part.width; ++u)
      r[u] = static_cast<uchar>(std::min(255, (x[u] + kPerCode / 2) / kPerCode));
  }
  return result;
}

}  // namespace tapersight
