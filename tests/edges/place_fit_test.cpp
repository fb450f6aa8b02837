#include "edges/place_fit.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

namespace tapersight {
namespace {

constexpr double kBlur = 0.8;

// A scan line's light with the edge at `edge` px: a face of tone 1 + fluctuation on a ground of 0.2.
struct FaceLine {
  static constexpr double kFine = 0.02;
  std::vector<double> face;  // from the edge inward

  Eigen::VectorXd light(double x0, int n) const {
    Eigen::VectorXd y = Eigen::VectorXd::Constant(n, 0.2);
    for (int i = 0; i < n; ++i)
      for (std::size_t c = 0; c < face.size(); ++c) {
        const double t = (static_cast<double>(c) + 0.5) * kFine;
        y[i] += (face[c] - 0.2) * kFine * BlurredStep::exact(x0 + i - t, kBlur).slope;
      }
    return y;
  }
};

FaceLine fibrous(std::mt19937_64& random, double figure, double correlation_px) {
  std::normal_distribution<double> normal;
  const double keep = std::exp(-FaceLine::kFine / correlation_px);
  FaceLine line;
  double f = normal(random);
  for (int c = 0; c < 900; ++c) {
    line.face.push_back(1 + 0.8 * figure * f);  // in parts of the step of 0.8
    f = keep * f + std::sqrt(1 - keep * keep) * normal(random);
  }
  return line;
}

// One step of the estimator from the true place: by how much it is wrong, px.
double error_of(const PlaceEstimator& estimator, const BlurredStep& edge, double x0,
                const Eigen::VectorXd& light) {
  Eigen::VectorXd r = light;
  for (int i = 0; i < r.size(); ++i) r[i] -= 0.2 + 0.8 * edge.value(x0 + i);
  return estimator.at(x0).row(2).dot(r) / 0.8;
}

TEST(PlaceEstimator, LeavesNothingOverWhereTheModelIsExact) {
  const BlurredStep edge(kBlur);
  const PlaceEstimator estimator(edge, {4, 4}, {}, {});
  const FaceLine even{std::vector<double>(900, 1.0)};
  for (double x0 = -4.49; x0 < -3.5; x0 += 0.07)
    EXPECT_NEAR(error_of(estimator, edge, x0, even.light(x0, 9)), 0, 2e-4) << x0;
}

TEST(PlaceEstimator, FindsASmallMoveWhateverThePhase) {
  const BlurredStep edge(kBlur);
  const PlaceEstimator estimator(edge, {4, 4}, {}, {});
  for (double x0 = -4.49; x0 < -3.5; x0 += 0.07) {
    Eigen::VectorXd moved(9);
    for (int i = 0; i < 9; ++i) moved[i] = 0.2 + 0.8 * edge.value(x0 + i - 0.05);
    EXPECT_NEAR(error_of(estimator, edge, x0, moved), 0.05, 0.004) << x0;
  }
}

// Against simulated fibres: the stated effect of the figure is the one found, and it is smaller than that of
// plain least squares, which is the same estimator told that there is only noise.
TEST(PlaceEstimator, StatesWhatFibresDoAndBeatsPlainLeastSquares) {
  const BlurredStep edge(kBlur);
  Disturbance fibres;
  fibres.figure = 0.08;
  fibres.figure_px = 1.4;
  fibres.noise = 0.01;
  fibres.coherent_lines = 16;
  Disturbance only_noise;
  only_noise.figure = 0;
  const PlaceEstimator best(edge, {4, 4}, fibres, {});
  const PlaceEstimator plain(edge, {4, 4}, only_noise, {});
  std::mt19937_64 random(7);
  double best_square = 0;
  double plain_square = 0;
  constexpr int kLines = 1500;
  for (int i = 0; i < kLines; ++i) {
    const double x0 = -4.45 + 0.9 * i / kLines;
    const Eigen::VectorXd light = fibrous(random, fibres.figure, fibres.figure_px).light(x0, 9);
    best_square += std::pow(error_of(best, edge, x0, light), 2) / kLines;
    plain_square += std::pow(error_of(plain, edge, x0, light), 2) / kLines;
  }
  EXPECT_NEAR(std::sqrt(best_square) / best.figure_px(), 1, 0.08);
  EXPECT_LT(std::sqrt(best_square), 0.5 * std::sqrt(plain_square));
}

TEST(PlaceEstimator, FollowsTheEdgeWhileTheLineBesideStays) {
  const BlurredStep edge(kBlur);
  const PlaceEstimator estimator(edge, {5, 4}, {}, {0.3, 1.5, 1.2});
  const double x0 = -5;
  Eigen::VectorXd moved(10);
  for (int i = 0; i < 10; ++i) moved[i] = 0.7 * (edge.value(x0 + i - 0.05) - edge.value(x0 + i));
  EXPECT_NEAR(estimator.at(x0).row(2).dot(moved), 0.05, 0.004);
}

}  // namespace
}  // namespace tapersight
