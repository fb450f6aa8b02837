#include "imaging/quality.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace tapersight {
namespace {

struct Gradient {
  cv::Mat u, v;
  std::vector<std::pair<float, int>> strongest;  // magnitude, pixel index; strongest first
};

Gradient strong_gradients(const cv::Mat& grey, std::size_t most) {
  Gradient g;
  cv::Scharr(grey, g.u, CV_32F, 1, 0, 1 / 32.0);
  cv::Scharr(grey, g.v, CV_32F, 0, 1, 1 / 32.0);
  for (int y = 12; y + 12 < grey.rows; y += 3)
    for (int x = 12; x + 12 < grey.cols; x += 3) {
      const float m = std::hypot(g.u.at<float>(y, x), g.v.at<float>(y, x));
      if (m > 3) g.strongest.emplace_back(m, y * grey.cols + x);
    }
  most = std::min(most, g.strongest.size());
  std::partial_sort(g.strongest.begin(), g.strongest.begin() + static_cast<std::ptrdiff_t>(most),
                    g.strongest.end(), [](const auto& a, const auto& b) { return a > b; });
  g.strongest.resize(most);
  return g;
}

// Distance over which the gradient along its own direction stays above half its peak, as a Gaussian's sigma.
double edge_blur(const Gradient& g, int index, int columns) {
  const int x0 = index % columns;
  const int y0 = index / columns;
  const double norm = std::hypot(double{g.u.at<float>(y0, x0)}, double{g.v.at<float>(y0, x0)});
  const double du = double{g.u.at<float>(y0, x0)} / norm;
  const double dv = double{g.v.at<float>(y0, x0)} / norm;
  double profile[23];
  double peak = 0;
  for (int k = -11; k <= 11; ++k) {
    const int x = static_cast<int>(std::lround(x0 + k * du));
    const int y = static_cast<int>(std::lround(y0 + k * dv));
    profile[k + 11] = std::max(0.0, double{g.u.at<float>(y, x)} * du + double{g.v.at<float>(y, x)} * dv);
    if (std::abs(k) < 4) peak = std::max(peak, profile[k + 11]);
  }
  int width = 0;
  for (int k = 11; k < 23 && profile[k] > peak / 2; ++k) ++width;
  for (int k = 10; k >= 0 && profile[k] > peak / 2; --k) ++width;
  const double sigma = width / 2.355;
  return std::sqrt(std::max(0.0, sigma * sigma - 0.6));  // the gradient's own kernel widens the edge
}

}  // namespace

PictureQuality assess_quality(const cv::Mat& grey) {
  PictureQuality q;
  std::array<std::size_t, 256> histogram{};
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) ++histogram[grey.at<uchar>(y, x)];
  const double total = static_cast<double>(grey.total());
  const auto percentile = [&](double part) {
    double sum = 0;
    int code = 0;
    for (; code < 255; ++code) {
      sum += static_cast<double>(histogram[static_cast<std::size_t>(code)]);
      if (sum > part * total) break;
    }
    return code;
  };
  q.spread_codes = percentile(0.995) - percentile(0.005);
  q.white_part = static_cast<double>(histogram[254] + histogram[255]) / total;
  q.black_part = static_cast<double>(histogram[0] + histogram[1]) / total;
  if (grey.cols < 40 || grey.rows < 40) return q;
  const Gradient g = strong_gradients(grey, 400);
  std::vector<double> blurs;
  for (const auto& [magnitude, index] : g.strongest) blurs.push_back(edge_blur(g, index, grey.cols));
  if (!blurs.empty()) {
    const auto quarter = blurs.begin() + static_cast<std::ptrdiff_t>(blurs.size() / 4);
    std::nth_element(blurs.begin(), quarter, blurs.end());
    q.blur_px = *quarter;
  }
  return q;
}

}  // namespace tapersight
