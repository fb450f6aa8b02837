#include "imaging/saddle_fit.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <vector>

#include "imaging/picture.h"

namespace tapersight {
namespace {

using Vector7 = Eigen::Matrix<double, 7, 1>;
using Matrix7 = Eigen::Matrix<double, 7, 7>;
using Jacobian = Eigen::Matrix<double, Eigen::Dynamic, 7>;

constexpr double kSettledPx = 1e-3;  // the next step would be far smaller yet: convergence is quadratic

struct Sample {
  double u, v, light;  // relative to the window's centre pixel
};

std::vector<Sample> window(const cv::Mat& grey, int cu, int cv_, int radius) {
  std::vector<Sample> samples;
  if (cu < radius || cv_ < radius || cu + radius >= grey.cols || cv_ + radius >= grey.rows) return samples;
  const auto& light = light_of_code();
  samples.reserve(static_cast<std::size_t>(4 * radius * radius));
  for (int dv = -radius; dv <= radius; ++dv) {
    const uchar* row = grey.ptr<uchar>(cv_ + dv) + cu;
    for (int du = -radius; du <= radius; ++du)
      if (du * du + dv * dv <= radius * radius)
        samples.push_back(
            {static_cast<double>(du), static_cast<double>(dv), static_cast<double>(light[row[du]])});
  }
  return samples;
}

// Parameters: point u, v; the lines' angles; blur; mean; half contrast (signed).
struct Normal {
  Matrix7 hessian = Matrix7::Zero();
  Vector7 gradient = Vector7::Zero();
  double cost = 0;
};

// `jacobian` and `residual`: room for a row per sample.
Normal accumulate(const std::vector<Sample>& samples, const Vector7& p, Jacobian& jacobian,
                  Eigen::VectorXd& residual) {
  const double c1 = std::cos(p[2]);
  const double s1 = std::sin(p[2]);
  const double c2 = std::cos(p[3]);
  const double s2 = std::sin(p[3]);
  const double inverse = 1 / (M_SQRT2 * p[4]);
  const double two_over_root_pi = M_2_SQRTPI;
  Eigen::Index row = 0;
  for (const Sample& s : samples) {
    const double du = s.u - p[0];
    const double dv = s.v - p[1];
    // Signed distances from line 1 (along the sheet's x) and line 2 (along its y), and positions along them.
    const double across_1 = -s1 * du + c1 * dv;
    const double along_1 = c1 * du + s1 * dv;
    const double across_2 = -s2 * du + c2 * dv;
    const double along_2 = c2 * du + s2 * dv;
    const double z1 = across_1 * inverse;
    const double z2 = across_2 * inverse;
    const double e1 = std::abs(z1) > 4 ? std::copysign(1.0, z1) : std::erf(z1);
    const double e2 = std::abs(z2) > 4 ? std::copysign(1.0, z2) : std::erf(z2);
    const double g1 = std::abs(z1) > 4 ? 0 : two_over_root_pi * std::exp(-z1 * z1) * inverse * e2;
    const double g2 = std::abs(z2) > 4 ? 0 : two_over_root_pi * std::exp(-z2 * z2) * inverse * e1;
    residual[row] = s.light - (p[5] + p[6] * e1 * e2);
    jacobian.row(row) << p[6] * (g1 * s1 + g2 * s2), p[6] * (-g1 * c1 - g2 * c2), p[6] * g1 * -along_1,
        p[6] * g2 * -along_2, p[6] * (g1 * across_1 + g2 * across_2) * (-1 / p[4]), 1, e1 * e2;
    ++row;
  }
  Normal n;
  n.hessian.noalias() = jacobian.transpose() * jacobian;
  n.gradient.noalias() = jacobian.transpose() * residual;
  n.cost = residual.squaredNorm();
  return n;
}

}  // namespace

std::optional<SaddleFit> fit_saddle(const cv::Mat& grey, const SaddleGuess& guess) {
  const int cu = static_cast<int>(std::lround(guess.at_px.x()));
  const int cv_ = static_cast<int>(std::lround(guess.at_px.y()));
  const std::vector<Sample> samples = window(grey, cu, cv_, guess.radius_px);
  if (samples.empty()) return std::nullopt;
  const auto [low, high] = std::minmax_element(
      samples.begin(), samples.end(), [](const Sample& a, const Sample& b) { return a.light < b.light; });
  const double range = high->light - low->light;
  if (range < 0.04) return std::nullopt;

  // Quadrant (-,-) of (line 1, line 2) coordinates. across_1 > 0 lies on the side of +line 2 for the usual
  // orientation, across_2 > 0 on the side of -line 1; e1 * e2 is negative where the two coordinates agree.
  const double handedness = std::sin(guess.angle_2 - guess.angle_1) > 0 ? 1 : -1;
  Vector7 p;
  p << guess.at_px.x() - cu, guess.at_px.y() - cv_, guess.angle_1, guess.angle_2, guess.blur_px,
      (low->light + high->light) / 2, (guess.dark_first ? 0.5 : -0.5) * range * handedness;
  const Vector7 start = p;
  Jacobian jacobian(static_cast<Eigen::Index>(samples.size()), 7);
  Eigen::VectorXd residual(jacobian.rows());
  Normal now = accumulate(samples, p, jacobian, residual);
  double lambda = 1e-3;
  for (int iteration = 0; iteration < 20; ++iteration) {
    Matrix7 damped = now.hessian;
    damped.diagonal() *= 1 + lambda;
    const Vector7 step = damped.ldlt().solve(now.gradient);
    Vector7 next = p + step;
    next[4] = std::clamp(next[4], 0.2, static_cast<double>(guess.radius_px));
    const Normal then = accumulate(samples, next, jacobian, residual);
    if (then.cost < now.cost) {
      const double gain = (now.cost - then.cost) / now.cost;
      p = next;
      now = then;
      lambda = std::max(lambda / 10, 1e-9);
      if (step.head<2>().norm() < kSettledPx || gain < 1e-7) break;
    } else {
      lambda *= 10;
      if (lambda > 1e6) break;
    }
  }
  SaddleFit fit;
  fit.at_px = {cu + p[0], cv_ + p[1]};
  fit.angle_1 = p[2];
  fit.angle_2 = p[3];
  fit.blur_px = p[4];
  fit.contrast = 2 * std::abs(p[6]);
  fit.residual = std::sqrt(now.cost / static_cast<double>(samples.size())) / std::max(fit.contrast, 1e-9);
  const bool stayed = (p.head<2>() - start.head<2>()).norm() < 0.6 * guess.radius_px &&
                      std::abs(p[2] - start[2]) < 0.2 && std::abs(p[3] - start[3]) < 0.2;
  const bool looks_right = p[6] * start[6] > 0 && fit.contrast > 0.04 && fit.residual < 0.12 &&
                           fit.blur_px < 0.6 * guess.radius_px;
  if (!stayed || !looks_right) return std::nullopt;
  return fit;
}

}  // namespace tapersight
