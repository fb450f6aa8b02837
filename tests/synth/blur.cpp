#include "synth/blur.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace tapersight {
namespace {

void gaussian(double sd_px, const cv::Mat& from, cv::Mat& to) {
  const int side = 2 * static_cast<int>(std::ceil(4.5 * sd_px)) + 1;
  cv::GaussianBlur(from, to, cv::Size(side, side), sd_px, sd_px, cv::BORDER_REPLICATE);
}

// Of the shape with half width or radius 1, not normalised.
double density(Psf shape, double x, double y) {
  const double ax = std::abs(x);
  const double ay = std::abs(y);
  if (shape == Psf::kBox) return ax < 1 && ay < 1 ? 1 : 0;
  if (shape == Psf::kTent) return std::max(0.0, 1 - ax) * std::max(0.0, 1 - ay);
  return x * x + y * y < 1 ? 1 : 0;
}

// The shape of this half width, averaged over every pixel by many points.
cv::Mat kernel_of(Psf shape, double half_px) {
  constexpr int kPoints = 24;
  const int reach = static_cast<int>(std::ceil(half_px + 0.5));
  cv::Mat kernel(2 * reach + 1, 2 * reach + 1, CV_32F);
  for (int r = -reach; r <= reach; ++r)
    for (int c = -reach; c <= reach; ++c) {
      double sum = 0;
      for (int i = 0; i < kPoints; ++i)
        for (int j = 0; j < kPoints; ++j)
          sum += density(shape, (c + (i + 0.5) / kPoints - 0.5) / half_px,
                         (r + (j + 0.5) / kPoints - 0.5) / half_px);
      kernel.at<float>(r + reach, c + reach) = static_cast<float>(sum);
    }
  return kernel / cv::sum(kernel)[0];
}

double sd_along_x(const cv::Mat& kernel) {
  const int reach = kernel.cols / 2;
  double square = 0;
  for (int r = 0; r < kernel.rows; ++r)
    for (int c = 0; c < kernel.cols; ++c)
      square += static_cast<double>(kernel.at<float>(r, c)) * (c - reach) * (c - reach);
  return std::sqrt(square);
}

void add_halo(const PsfScene& psf, cv::Mat& light) {
  const auto part = [&](double sd_px) {
    // A halo is smooth: found in a picture of a quarter the size, which costs a sixteenth.
    constexpr int kSmaller = 4;
    cv::Mat small;
    cv::resize(light, small,
               cv::Size((light.cols + kSmaller - 1) / kSmaller, (light.rows + kSmaller - 1) / kSmaller), 0, 0,
               cv::INTER_AREA);
    gaussian(std::max(sd_px / kSmaller, 0.3), small, small);
    cv::Mat halo;
    cv::resize(small, halo, light.size(), 0, 0, cv::INTER_LINEAR);
    return halo;
  };
  const cv::Mat halo = part(psf.tail_px) / 2 + part(3 * psf.tail_px) / 2;
  light = (1 - psf.tail_share) * light + psf.tail_share * halo;
}

}  // namespace

cv::Mat psf_kernel(Psf shape, double sd_px) {
  double low = 0.05;
  double high = 4 * sd_px + 2;
  for (int i = 0; i < 30; ++i) {
    const double middle = (low + high) / 2;
    (sd_along_x(kernel_of(shape, middle)) < sd_px ? low : high) = middle;
  }
  return kernel_of(shape, (low + high) / 2);
}

void blur(const PsfScene& psf, double sd_px, cv::Mat& light) {
  if (psf.shape == Psf::kLongTail) add_halo(psf, light);
  if (!(sd_px > 0)) return;
  if (psf.shape == Psf::kGaussian || psf.shape == Psf::kLongTail)
    gaussian(sd_px, light, light);
  else
    cv::filter2D(light, light, -1, psf_kernel(psf.shape, sd_px), cv::Point(-1, -1), 0, cv::BORDER_REPLICATE);
}

}  // namespace tapersight
