#include "edges/place_fit.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "numeric/dense.h"

namespace tapersight {
namespace {

constexpr int kPhases = 16;
constexpr double kFinePx = 0.125;  // the face is divided this finely

double x0_of(const FitWindow& window, int phase) {
  return -window.outward_px - 0.5 + (phase + 0.5) / kPhases;
}

// Covariance of the samples that a face of unit standard deviation causes: it is blurred and ends at the
// edge.
Eigen::MatrixXd figure_covariance(double x0, int samples, const BlurredStep& edge, double correlation_px) {
  const int cells = static_cast<int>(std::ceil((x0 + samples + 4 * edge.blur_px() + 1) / kFinePx));
  Eigen::MatrixXd response(samples, cells);
  for (int i = 0; i < samples; ++i)
    for (int c = 0; c < cells; ++c) response(i, c) = kFinePx * edge.slope(x0 + i - (c + 0.5) * kFinePx);
  Eigen::MatrixXd correlated(samples, cells);  // response * C, C(a, b) = decay^|a - b|, by two passes
  const double decay = std::exp(-kFinePx / correlation_px);
  Eigen::VectorXd left = Eigen::VectorXd::Zero(samples);
  for (int c = 0; c < cells; ++c) {
    left = decay * left + response.col(c);
    correlated.col(c) = left;
  }
  Eigen::VectorXd right = Eigen::VectorXd::Zero(samples);
  for (int c = cells - 1; c >= 0; --c) {
    correlated.col(c) += right;
    right = decay * (right + response.col(c));
  }
  return product(correlated, response.transpose());
}

// The same of growth rings of unit standard deviation: smooth, so with a correlation that is flat at 0.
Eigen::MatrixXd rings_covariance(double x0, int samples, double blur, double length_px) {
  constexpr double kCellPx = 0.25;
  const int cells = static_cast<int>(std::ceil((x0 + samples + 4 * blur + 1) / kCellPx));
  Eigen::MatrixXd response(samples, cells), correlation(cells, cells);
  for (int i = 0; i < samples; ++i)
    for (int c = 0; c < cells; ++c)
      response(i, c) = kCellPx * BlurredStep::exact(x0 + i - (c + 0.5) * kCellPx, blur).slope;
  for (int apart = 0; apart < cells; ++apart) {
    const double h = std::sqrt(3.0) * kCellPx * apart / length_px;
    correlation.diagonal(apart).setConstant((1 + h) * std::exp(-h));
    correlation.diagonal(-apart) = correlation.diagonal(apart);
  }
  return product(product(response, correlation), response.transpose());
}

// What a raised strip's surroundings add: rings on the face, a slope of the ground, a second line.
void add_surroundings(double x0, double blur, const Disturbance& d, Eigen::MatrixXd& figure) {
  const auto n = figure.rows();
  if (d.rings > 0) figure += d.rings * d.rings * rings_covariance(x0, static_cast<int>(n), blur, d.rings_px);
  const auto add = [&](double sd, const auto& light_at) {
    if (!(sd > 0)) return;
    Eigen::VectorXd light(n);
    for (Eigen::Index i = 0; i < n; ++i) light[i] = light_at(x0 + static_cast<double>(i));
    figure += sd * sd * light * light.transpose();
  };
  add(d.ground_slope, [&](double x) {
    const BlurredStep::Exact e = BlurredStep::exact(x, blur);
    return x * (1 - e.value) - (blur * blur + 1.0 / 12) * e.slope;
  });
  add(d.second, [&](double x) { return BlurredStep::exact(x - d.second_px, blur).value; });
}

}  // namespace

double noise_shape(double ground, double value) {
  constexpr double kDarkest = 0.01;  // of a step: below, rounding to whole codes is the noise
  const double middle = std::max(kDarkest, std::abs(ground + 0.5));
  return std::pow(std::max(kDarkest, std::abs(ground + value)) / middle, 0.7 * 1.4 / 2.4);
}

PlaceEstimator::PlaceEstimator(const BlurredStep& edge, FitWindow window, const Disturbance& disturbance,
                               const LineBeside& beside)
    : window_(window) {
  const int n = window.samples();
  const double noise = std::max(disturbance.noise, 1e-3);
  double variance = 0;
  double whole_variance = 0;
  for (int phase = 0; phase < kPhases; ++phase) {
    const double x0 = x0_of(window, phase);
    Eigen::MatrixXd figure =
        disturbance.figure * disturbance.figure * figure_covariance(x0, n, edge, disturbance.figure_px);
    add_surroundings(x0, edge.blur_px(), disturbance, figure);
    Eigen::MatrixX3d model(n, 3);
    Eigen::VectorXd shape(n);
    for (int i = 0; i < n; ++i) {
      const double x = x0 + i;
      const double other = beside.part == 0 ? 0 : BlurredStep::exact(x + beside.gap_px, beside.blur_px).value;
      model.row(i) << 1, (1 - beside.part) * edge.value(x) + beside.part * other,
          -(1 - beside.part) * edge.slope(x);
      shape[i] = noise_shape(disturbance.ground, model(i, 1));
    }
    Eigen::MatrixXd covariance = figure;
    covariance.diagonal() += (noise * noise / std::max(1.0, disturbance.coherent_lines)) * shape.cwiseAbs2();
    noise_.push_back(shape);
    const Eigen::MatrixX3d weighted = solve_symmetric(covariance, model);
    const Eigen::Matrix3d normal = model.transpose() * weighted;
    operators_.emplace_back(solve_symmetric(normal, weighted.transpose()));
    whole_variance += normal.inverse()(2, 2) / kPhases;
    const auto place = operators_.back().row(2);
    variance += (place * figure * place.transpose()).value() / kPhases;
  }
  figure_px_ = std::sqrt(variance);
  place_sd_px_ = std::sqrt(whole_variance);
}

std::size_t PlaceEstimator::phase_of(double x0) const {
  const auto phase = static_cast<int>(std::floor((x0 + window_.outward_px + 0.5) * kPhases));
  return static_cast<std::size_t>(std::clamp(phase, 0, kPhases - 1));
}

}  // namespace tapersight
