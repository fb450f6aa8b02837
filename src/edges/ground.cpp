#include "edges/ground.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <vector>

#include "numeric/dense.h"

namespace tapersight {
namespace {

using Vector6 = Eigen::Matrix<double, 6, 1>;

constexpr int kStep = 3;  // between the places that the surface is fitted to, px

Vector6 terms(const cv::Mat& code, int x, int y) {
  const double a = 2.0 * x / code.cols - 1;
  const double b = 2.0 * y / code.rows - 1;
  Vector6 t;
  t << 1, a, b, a * a, a * b, b * b;
  return t;
}

// The most frequent tone among the sure pixels, smoothed over 7 codes.
int mode_of(const cv::Mat& code, const cv::Mat& sure) {
  std::vector<double> histogram(256, 0.0);
  for (int y = 0; y < code.rows; ++y)
    for (int x = 0; x < code.cols; ++x)
      if (sure.at<uchar>(y, x)) histogram[code.at<uchar>(y, x)] += 1;
  int best = 0;
  double most = -1;
  for (int c = 0; c < 256; ++c) {
    double sum = 0;
    for (int k = std::max(0, c - 3); k <= std::min(255, c + 3); ++k)
      sum += histogram[static_cast<std::size_t>(k)];
    if (sum > most) {
      most = sum;
      best = c;
    }
  }
  return best;
}

}  // namespace

Ground model_ground(const cv::Mat& code, const cv::Mat& sure, const cv::Mat& valid) {
  Vector6 surface = Vector6::Zero();
  surface[0] = mode_of(code, sure);
  double limit = 16;
  double sigma = 4;
  for (int pass = 0; pass < 5; ++pass) {
    Eigen::Matrix<double, 6, 6> normal = 1e-6 * Eigen::Matrix<double, 6, 6>::Identity();
    Vector6 right = Vector6::Zero();
    std::vector<double> errors;
    for (int y = 0; y < code.rows; y += kStep)
      for (int x = 0; x < code.cols; x += kStep) {
        if (!valid.at<uchar>(y, x)) continue;
        const Vector6 t = terms(code, x, y);
        const double error = code.at<uchar>(y, x) - t.dot(surface);
        if (std::abs(error) > limit) continue;
        normal.noalias() += t * t.transpose();
        right += error * t;
        errors.push_back(std::abs(error));
      }
    if (errors.size() < 50) break;
    // The first pass only shifts the level: a tilted or curved surface might run off into the strip's tone.
    if (pass == 0)
      surface[0] += right[0] / normal(0, 0);
    else
      surface += solve_symmetric(normal, right);
    const auto middle = errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2);
    std::nth_element(errors.begin(), middle, errors.end());
    sigma = std::max(0.7, 1.4826 * *middle);
    limit = std::clamp(4 * sigma, 5.0, 16.0);
  }
  Ground ground;
  ground.sigma = sigma;
  ground.code.create(code.size(), CV_32FC1);
  for (int y = 0; y < code.rows; ++y) {
    // Along a row the surface is a parabola.
    const double b = 2.0 * y / code.rows - 1;
    const double level = surface[0] + b * (surface[2] + b * surface[5]);
    const double lean = surface[1] + b * surface[4];
    auto* row = ground.code.ptr<float>(y);
    for (int x = 0; x < code.cols; ++x) {
      const double a = 2.0 * x / code.cols - 1;
      row[x] = static_cast<float>(std::clamp(level + a * (lean + a * surface[3]), 0.0, 255.0));
    }
  }
  return ground;
}

}  // namespace tapersight
