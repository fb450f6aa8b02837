// The maps from picture to sheet: inverse, derivative, stretching and the propagation of their covariance,
// each against a numerical or an independent way to the same figure.
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <cmath>

#include "base/rng.h"
#include "model/sheet_map.h"

namespace tapersight {
namespace {

PlaneMap bent_scanner() {
  PlaneMap map;
  map.order_u = 3;
  map.order_v = 4;
  map.centre_px = {1240, 1754};
  map.scale_px = {1240, 1754};
  map.coefficients.resize(8, 2);
  map.coefficients << 105, 148.5,             // the middle
      104.9, -1.2, 0.03, 0.01, -0.05, 0.004,  // along the sensor: scale, turn, and two bends
      1.3, 148.4, 0.002, 0.05, 0.001, -0.03, 0.002, 0.02;
  map.unit_covariance = Eigen::MatrixXd::Zero(8, 8);
  for (int i = 0; i < 8; ++i)
    for (int k = 0; k < 8; ++k) map.unit_covariance(i, k) = std::pow(0.5, std::abs(i - k)) / 200;
  map.sigma_mm = 0.004;
  return map;
}

CameraView tilted_camera() {
  CameraView view;
  view.principal_px = {2010, 1490};
  view.radius_px = 2500;
  view.k1 = 0.04;
  view.k2 = -0.01;
  view.homography << 180, 6, 105, -5, 176, 150, 0.08, -0.05, 1;
  return view;
}

class AnyMap : public ::testing::TestWithParam<SheetMap> {};

TEST_P(AnyMap, TheInverseLeadsBack) {
  for (const double u : {150.0, 1200.0, 2300.0})
    for (const double v : {200.0, 1700.0, 3300.0}) {
      const Eigen::Vector2d there = GetParam().sheet_from_picture({u, v});
      EXPECT_LT((GetParam().picture_from_sheet(there) - Eigen::Vector2d(u, v)).norm(), 1e-8);
    }
}

TEST_P(AnyMap, TheDerivativeIsTheDifferenceQuotient) {
  const double h = 1e-3;
  for (const double u : {150.0, 2300.0})
    for (const double v : {200.0, 3300.0}) {
      const Eigen::Matrix2d d = GetParam().derivative({u, v});
      const auto at = [&](double du, double dv) { return GetParam().sheet_from_picture({u + du, v + dv}); };
      EXPECT_LT((d.col(0) - (at(h, 0) - at(-h, 0)) / (2 * h)).norm(), 1e-8);
      EXPECT_LT((d.col(1) - (at(0, h) - at(0, -h)) / (2 * h)).norm(), 1e-8);
    }
}

TEST_P(AnyMap, StretchingMultipliesTheSheet) {
  SheetMap wider = GetParam();
  wider.stretch(1.01, 0.98);
  const Eigen::Vector2d before = GetParam().sheet_from_picture({700, 2500});
  const Eigen::Vector2d after = wider.sheet_from_picture({700, 2500});
  EXPECT_NEAR(after.x(), 1.01 * before.x(), 1e-9);
  EXPECT_NEAR(after.y(), 0.98 * before.y(), 1e-9);
}

INSTANTIATE_TEST_SUITE_P(ScannerAndCamera, AnyMap,
                         ::testing::Values(SheetMap(bent_scanner()), SheetMap(tilted_camera())));

// Law of propagation against drawing maps at random from their covariance (JCGM 101:2008).
TEST(PlaneMap, UncertaintyIsThatOfMapsDrawnFromTheCovariance) {
  const PlaneMap map = bent_scanner();
  const std::vector<Eigen::Vector2d> places = {{300, 300}, {310, 3200}, {900, 320}, {890, 3190}};
  const std::vector<double> weights = {1, -1, -1, 1};
  const Eigen::MatrixXd root = map.unit_covariance.llt().matrixL();
  Rng rng(7);
  double square = 0;
  const int draws = 20000;
  for (int n = 0; n < draws; ++n) {
    Eigen::VectorXd z(8);
    for (int i = 0; i < 8; ++i) z[i] = rng.normal();
    PlaneMap drawn = map;
    drawn.coefficients.col(0) += map.sigma_mm * (root * z);
    double sum = 0;
    for (std::size_t i = 0; i < places.size(); ++i)
      sum += weights[i] * (drawn.sheet_from_picture(places[i]).x() - map.sheet_from_picture(places[i]).x());
    square += sum * sum;
  }
  const double u = map.uncertainty_of(places, weights);
  EXPECT_GT(u, 1e-5);
  EXPECT_NEAR(std::sqrt(square / draws) / u, 1, 0.02);
}

}  // namespace
}  // namespace tapersight
