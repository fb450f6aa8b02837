// The calibration's model follows what the scanner does, and its stated uncertainty is honest.
#include "target/fit_plane.h"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>
#include <functional>

#include "base/rng.h"
#include "target/sheet_layout.h"

namespace tapersight {
namespace {

using Distortion = std::function<Eigen::Vector2d(const Eigen::Vector2d& glass_mm)>;

// Saddles as a 300 dpi scanner would show them: picture = 11.8 px/mm * (glass + distortion) + noise.
std::vector<Correspondence> points_of(Rng& rng, const Distortion& distortion, double noise_px) {
  std::vector<Correspondence> points;
  for (const Saddle& s : sheet_layout(Paper::kA4).saddles) {
    const Eigen::Vector2d glass = s.at_mm + distortion(s.at_mm);
    points.push_back({11.8 * glass + noise_px * Eigen::Vector2d(rng.normal(), rng.normal()), s.at_mm, s.block,
                      s.row, s.column, 1});
  }
  return points;
}

Eigen::Vector2d none(const Eigen::Vector2d& /*p*/) {
  return Eigen::Vector2d::Zero();
}

TEST(FitPlane, StaysAffineOnAStraightScanner) {
  Rng rng(1);
  int affine = 0;
  for (int k = 0; k < 20; ++k) affine += fit_plane(points_of(rng, none, 0.03))->map.name() == "affine";
  EXPECT_GE(affine, 18);
}

TEST(FitPlane, FollowsLensAndCarriage) {
  Rng rng(2);
  const Distortion bent = [](const Eigen::Vector2d& p) {
    const double x = (p.x() - 105) / 55;
    return Eigen::Vector2d(0.1 * x * x * x, 0.03 * std::sin(p.y() / 30));
  };
  const auto fit = fit_plane(points_of(rng, bent, 0.03));
  ASSERT_TRUE(fit.ok());
  EXPECT_LT(fit->residual_rms_px, 0.05);
  // Within the channel, where no fiducials are: to 0.1 px.
  for (double y = 40; y < 260; y += 20)
    for (double x = 85; x <= 125; x += 10) {
      const Eigen::Vector2d p(x, y);
      EXPECT_LT((fit->map.sheet_from_picture(11.8 * (p + bent(p))) - p).norm() * 11.8, 0.12) << x << " " << y;
    }
}

// A scale across that changes along the sheet is seen with its sign, whatever the sheet's turn, and its
// uncertainty is that of the scatter.
TEST(FitPlane, SeesAScaleThatChangesAlongTheSheet) {
  constexpr double kGradient = 2.4e-6;  // per mm: 0.03 % over 125 mm
  Rng rng(7);
  const Eigen::Vector2d middle(105, 148);
  const Distortion growing = [&](const Eigen::Vector2d& p) {
    const Eigen::Vector2d d = p - middle;
    return Eigen::Vector2d(kGradient * d.x() * d.y(), 0);
  };
  for (const double turn_deg : {0.0, 2.0, 90.0, 180.0}) {
    const Eigen::Matrix2d turn = Eigen::Rotation2Dd(turn_deg * M_PI / 180).toRotationMatrix();
    double sum = 0, squares = 0, stated = 0;
    const int trials = 60;
    for (int k = 0; k < trials; ++k) {
      auto points = points_of(rng, growing, 0.03);
      for (auto& p : points) p.picture_px = turn * p.picture_px;
      const auto fit = fit_plane(points);
      ASSERT_TRUE(fit.ok());
      sum += fit->cross_gradient.per_mm / trials;
      squares += std::pow(fit->cross_gradient.per_mm - kGradient, 2) / trials;
      stated += fit->cross_gradient.u / trials;
    }
    EXPECT_NEAR(sum, kGradient, 0.02 * kGradient) << turn_deg;
    EXPECT_NEAR(std::sqrt(squares), stated, 0.3 * stated) << turn_deg;
  }
}

TEST(FitPlane, InverseUndoesTheMap) {
  Rng rng(3);
  const Distortion bent = [](const Eigen::Vector2d& p) {
    return Eigen::Vector2d(1e-5 * p.y() * p.y() / 10, 0);
  };
  const auto fit = fit_plane(points_of(rng, bent, 0.02));
  ASSERT_TRUE(fit.ok());
  for (double y = 30; y < 270; y += 35) {
    const Eigen::Vector2d p(100, y);
    EXPECT_LT((fit->map.sheet_from_picture(fit->map.picture_from_sheet(p)) - p).norm(), 1e-9);
  }
}

TEST(FitPlane, DropsPointsThatAreFarOff) {
  Rng rng(4);
  std::vector<Correspondence> points = points_of(rng, none, 0.03);
  for (std::size_t i = 0; i < points.size(); i += 17) points[i].picture_px += Eigen::Vector2d(1.5, -1);
  const auto fit = fit_plane(points);
  ASSERT_TRUE(fit.ok());
  EXPECT_GE(fit->points_rejected, 11);
  EXPECT_LT(fit->residual_rms_px, 0.04);
}

std::vector<Correspondence> some_of(const std::function<bool(const Correspondence&)>& seen) {
  Rng rng(5);
  std::vector<Correspondence> kept;
  for (const auto& p : points_of(rng, none, 0.03))
    if (seen(p)) kept.push_back(p);
  return kept;
}

TEST(FitPlane, OfASheetThatIsCutShortItSaysHowFarItIsSeen) {
  const std::vector<Correspondence> all = some_of([](const auto&) { return true; });
  const auto y_of = [&](int row) {
    for (const auto& p : all)
      if (p.row == row) return p.sheet_mm.y();
    return 0.0;
  };
  // The right block from row 8 on, the left one up to row 22: both from 8 to 22.
  const auto fit = fit_plane(some_of([](const auto& p) { return p.block == 1 ? p.row >= 8 : p.row <= 22; }));
  ASSERT_TRUE(fit.ok());
  EXPECT_FALSE(fit->seen_whole);
  EXPECT_NEAR(fit->seen_low_mm, y_of(5), 1e-9);
  EXPECT_NEAR(fit->seen_high_mm, y_of(25), 1e-9);
  const auto whole = fit_plane(some_of([](const auto& p) { return p.row >= 3 && p.row <= 28; }));
  ASSERT_TRUE(whole.ok());
  EXPECT_TRUE(whole->seen_whole);
}

TEST(FitPlane, RefusesTooFewRows) {
  EXPECT_TRUE(fit_plane(some_of([](const auto& p) { return p.row >= 10 && p.row < 18; })).ok());
  for (const auto& kept : {some_of([](const auto& p) { return p.row >= 10 && p.row < 17; }),
                           some_of([](const auto& p) { return p.block == 0; }),
                           some_of([](const auto& p) { return (p.row < 17) == (p.block == 0); })}) {
    const auto fit = fit_plane(kept);
    ASSERT_FALSE(fit.ok());
    EXPECT_EQ(fit.failure().code, "target-covered");
  }
}

// The covariance is a claim: the scatter of a mapped distance over many noisy scans must agree with it.
TEST(FitPlane, StatedUncertaintyAgreesWithTheScatter) {
  Rng rng(6);
  const std::vector<Eigen::Vector2d> pictures = {
      {11.8 * 95, 11.8 * 60}, {11.8 * 115, 11.8 * 60}, {11.8 * 95, 11.8 * 230}, {11.8 * 115, 11.8 * 230}};
  const std::vector<double> weights = {-1, 1, 1, -1};  // change of a width along the strip
  double squares = 0;
  double stated = 0;
  const int trials = 400;
  const auto width_change = [&](const PlaneMap& map) {
    double sum = 0;
    for (std::size_t i = 0; i < 4; ++i) sum += weights[i] * map.sheet_from_picture(pictures[i]).x();
    return sum;
  };
  // A lens so bent that a cubic is always chosen: the affine model has no width change at all.
  const Distortion bent = [](const Eigen::Vector2d& p) {
    return Eigen::Vector2d(0.2 * std::pow((p.x() - 105) / 55, 3), 0.2 * std::pow((p.y() - 148) / 124, 3));
  };
  const auto level = fit_plane(points_of(rng, bent, 1e-4));
  const double truth = width_change(level->map);
  for (int k = 0; k < trials; ++k) {
    const auto fit = fit_plane(points_of(rng, bent, 0.05));
    squares += std::pow(width_change(fit->map) - truth, 2);
    stated += std::pow(fit->map.uncertainty_of(pictures, weights), 2);
  }
  // A separable map of an upright sheet has the same widths everywhere along it: both must vanish together.
  EXPECT_LT(std::sqrt(squares / trials), 1e-6 + 3 * std::sqrt(stated / trials));
  EXPECT_LT(std::sqrt(stated / trials), 1e-6 + 3 * std::sqrt(squares / trials));
}

}  // namespace
}  // namespace tapersight
