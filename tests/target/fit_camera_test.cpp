// A camera's view of the sheet: recovered from noisy saddles, told apart from a scanner, derivatives right.
#include "target/fit_camera.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <array>
#include <cmath>

#include "base/rng.h"
#include "base/units.h"
#include "numeric/descriptive.h"
#include "target/fit_plane.h"
#include "target/sheet_layout.h"

namespace tapersight {
namespace {

// A phone 400 mm above the sheet, tilted: picture_px of a sheet point.
CameraView tilted_view() {
  CameraView view;
  view.principal_px = {2030, 1500};
  view.radius_px = 2520;
  view.k1 = 0.03;
  view.homography << 12, 150, 105, -148, 10, 148, 0.08, -0.11, 1;
  return view;
}

Eigen::Vector2d picture_of(const CameraView& view, const Eigen::Vector2d& sheet) {
  Eigen::Vector2d p = view.principal_px;
  for (int i = 0; i < 50; ++i) p += view.derivative(p).inverse() * (sheet - view.sheet_from_picture(p));
  return p;
}

std::vector<Correspondence> points_of(const CameraView& view, Rng& rng, double noise_px) {
  std::vector<Correspondence> points;
  for (const Saddle& s : sheet_layout(Paper::kA4).saddles)
    points.push_back({picture_of(view, s.at_mm) + noise_px * Eigen::Vector2d(rng.normal(), rng.normal()),
                      s.at_mm, s.block, s.row, s.column, 1});
  return points;
}

TEST(CameraView, DerivativesAgreeWithFiniteDifferences) {
  const CameraView view = tilted_view();
  const Eigen::Vector2d p(1200, 2100);
  const Eigen::MatrixXd j = view.by_parameters(p);
  const Eigen::VectorXd parameters = view.parameters();
  for (int k = 0; k < CameraView::kParameters; ++k) {
    const double h = 1e-5 * std::max(1.0, std::abs(parameters[k]));
    Eigen::VectorXd more = parameters;
    Eigen::VectorXd less = parameters;
    more[k] += h;
    less[k] -= h;
    const Eigen::Vector2d slope =
        (view.with(more).sheet_from_picture(p) - view.with(less).sheet_from_picture(p)) / (2 * h);
    EXPECT_LT((slope - j.col(k)).norm(), 1e-5 * (1 + slope.norm())) << k;
  }
  const double h = 1e-3;
  for (int k = 0; k < 2; ++k) {
    const Eigen::Vector2d step = h * Eigen::Vector2d::Unit(k);
    const Eigen::Vector2d slope =
        (view.sheet_from_picture(p + step) - view.sheet_from_picture(p - step)) / (2 * h);
    EXPECT_LT((slope - view.derivative(p).col(k)).norm(), 1e-8);
  }
}

TEST(FitCamera, RecoversTheViewWithinTheNoise) {
  Rng rng(11);
  const CameraView truth = tilted_view();
  const CameraFit fit = fit_camera(points_of(truth, rng, 0.05), 4032, 3024);
  ASSERT_TRUE(fit.good);
  EXPECT_NEAR(fit.view.k1, truth.k1, 0.006);
  for (double y = 30; y < 270; y += 40) {
    const Eigen::Vector2d p(105, y);
    EXPECT_LT((fit.view.sheet_from_picture(picture_of(truth, p)) - p).norm(), 0.006)
        << y;  // mm, about 0.07 px
  }
}

TEST(FitCamera, ExplainsAPhotoFarBetterThanAScannerDoes) {
  Rng rng(12);
  const auto points = points_of(tilted_view(), rng, 0.05);
  const CameraFit camera = fit_camera(points, 4032, 3024);
  const auto plane = fit_plane(points);
  ASSERT_TRUE(camera.good);
  ASSERT_TRUE(plane.ok());
  const double px_per_mm = std::sqrt(plane->px_per_mm_x * plane->px_per_mm_y);
  EXPECT_LT(camera.left_out_rms_mm, 0.3 * plane->left_out_rms_px / px_per_mm);
}

TEST(FitCamera, IsNotFooledByOutliers) {
  Rng rng(13);
  auto points = points_of(tilted_view(), rng, 0.05);
  for (std::size_t i = 3; i < points.size(); i += 19) points[i].picture_px += Eigen::Vector2d(-4, 6);
  const CameraFit fit = fit_camera(points, 4032, 3024);
  ASSERT_TRUE(fit.good);
  EXPECT_GE(fit.points_rejected, 9);
  EXPECT_LT(fit.residual_rms_mm, 0.008);
}

// What two lines of one picture 20 mm apart, parallel on the sheet, lean to each other by a fitted view.
double forged_taper(const CameraView& fitted, const CameraView& truth) {
  Eigen::Vector2d run[2];
  for (int k = 0; k < 2; ++k) {
    const double x = 95 + 20 * k;
    run[k] = fitted.sheet_from_picture(picture_of(truth, {x, 240})) -
             fitted.sheet_from_picture(picture_of(truth, {x, 50}));
  }
  return (run[0].x() * run[1].y() - run[0].y() * run[1].x()) / (run[0].norm() * run[1].norm());
}

double u_by_parts(const CameraFit& fit, const CameraView& truth) {
  std::vector<double> tapers;
  for (const CameraView& view : fit.without_part) tapers.push_back(forged_taper(view, truth));
  return jackknife_u(tapers);
}

// A smooth field over the sheet: waves of about this length in all directions.
class SmoothField {
 public:
  SmoothField(Rng& rng, double length_mm) {
    for (Wave& w : waves_) {
      const double k = 2 * kPi / length_mm * std::abs(1 + 0.4 * rng.normal()),
                   towards = rng.uniform(0, 2 * kPi);
      w = {{k * std::cos(towards), k * std::sin(towards)}, rng.uniform(0, 2 * kPi), rng.normal()};
    }
  }
  double at(const Eigen::Vector2d& p) const {
    double sum = 0;
    for (const Wave& w : waves_) sum += w.size * std::sin(w.k.dot(p) + w.phase);
    return sum / std::sqrt(3.0);
  }

 private:
  struct Wave {
    Eigen::Vector2d k;
    double phase, size;
  };
  std::array<Wave, 6> waves_;
};

// Paper that is not flat moves its points away from the camera's foot, a print that is not even moves them
// anywhere, both smoothly over 60 to 250 mm. (Longer waves show in no residual.)
TEST(FitCamera, ViewsWithoutAPartTellWhatAnUnevenSheetForges) {
  constexpr int kSheets = 40;
  constexpr double kWavePx = 0.5;
  Rng rng(14);
  const CameraView truth = tilted_view();
  double forged = 0, told = 0, worst_even = 0;
  for (int sheet = 0; sheet < kSheets; ++sheet) {
    auto points = points_of(truth, rng, 0.02);
    if (sheet % 10 == 0) worst_even = std::max(worst_even, u_by_parts(fit_camera(points, 4032, 3024), truth));
    const double length = 60 * std::pow(250.0 / 60, rng.uniform());
    const SmoothField up(rng, length), right(rng, length), down(rng, length);
    for (auto& p : points)
      p.picture_px += sheet % 2 == 0 ? Eigen::Vector2d(4 * kWavePx * up.at(p.sheet_mm) *
                                                       (p.picture_px - truth.principal_px) / truth.radius_px)
                                     : kWavePx * Eigen::Vector2d(right.at(p.sheet_mm), down.at(p.sheet_mm));
    const CameraFit uneven = fit_camera(points, 4032, 3024);
    ASSERT_TRUE(uneven.good);
    forged += std::pow(forged_taper(uneven.view, truth), 2);
    told += std::pow(u_by_parts(uneven, truth), 2);
  }
  const double ratio = std::sqrt(forged / told);
  EXPECT_GT(ratio, 0.4);
  EXPECT_LT(ratio, 1.3);
  EXPECT_LT(worst_even, 1.4e-5);  // 0.1 thou over 7.5 in
}

}  // namespace
}  // namespace tapersight
