// The bound is the textbook's, and the traced edges come near it with intervals that hold.
#include <gtest/gtest.h>

#include <cmath>

#include "bench/edge_bound.h"
#include "bench/edge_limits.h"
#include "bench/issue_scenes.h"

namespace tapersight::testing {
namespace {

EdgeView plain_view() {
  EdgeView view;  // 100 levels of contrast, code values as light
  view.encoding.transfer = EncodingScene::Transfer::kLinear;
  view.ground = 50 / 255.0;
  view.face = 150 / 255.0;
  view.noise_levels = 2;
  view.rounded = false;
  view.rows = 500;
  view.lean = 0.02;
  return view;
}

// One row: sigma_p = n / C sqrt(2 sqrt(pi) s), s^2 = b^2 + 1/12, from the Fisher information of a Gaussian
// step (derived; agrees with the discrete sum to 0.4 % for b >= 0.5).
TEST(EdgeBound, IsTheClosedFormOfAGaussianStep) {
  for (const double blur : {0.5, 0.7, 1.0, 1.5, 2.0}) {
    EdgeView view = plain_view();
    view.blur_px = blur;
    const double s = std::sqrt(blur * blur + 1.0 / 12);
    EXPECT_NEAR(edge_bound(view).place_sd_px / (2.0 / 100 * std::sqrt(2 * std::sqrt(M_PI) * s)), 1, 0.005)
        << blur;
  }
}

// N rows: sqrt(12 / (N (N^2 - 1))) of one row's, the levels and the blur costing an angle nothing.
TEST(EdgeBound, OfAnAngleIsThatOfALineThroughTheRows) {
  const EdgeView view = plain_view();
  const EdgeBound bound = edge_bound(view);
  EXPECT_NEAR(bound.lean_u / (bound.place_sd_px * std::sqrt(12 / (500.0 * (500.0 * 500.0 - 1)))), 1, 0.005);
  EXPECT_NEAR(bound.lean_u, 1.190e-5, 0.01e-5);  // worked by hand: C 100, n 2, b 1, N 500
}

TEST(EdgeBound, CountsRoundingAsNoise) {
  EdgeView view = plain_view();
  view.noise_levels = 0.5;
  const double without = edge_bound(view).lean_u;
  view.rounded = true;
  EXPECT_NEAR(edge_bound(view).lean_u / without, std::sqrt((0.25 + 1.0 / 12) / 0.25), 1e-6);
}

// White noise only: the best linear unbiased slope is the ordinary one, var = 12 s^2 d / L^3.
TEST(BestSlope, OfWhiteNoiseIsOrdinaryLeastSquares) {
  const double white = 1e-6;
  EXPECT_NEAR(best_slope_variance(EdgeScene(), 100, white) / (12 * white / 1e6), 1, 1e-4);
}

// Efficiency on 160 trials scatters by 11 %: the limits leave three times that below what bench_limits shows.
void expect_near_the_limit(const LimitCell& cell, double least_efficiency) {
  const LimitResult r = run_cell(cell, 160, 7);
  EXPECT_EQ(r.failed, 0);
  EXPECT_GT(r.efficiency(), least_efficiency);
  EXPECT_LT(r.efficiency(), 1.4);  // nobody beats the bound
  EXPECT_GT(r.coverage(), 0.95 - 3.5 * 0.0172);
  EXPECT_GT(r.mean_u_square, 0.75 * r.mean_square);  // and the intervals are no wider than they must be
  EXPECT_LT(r.mean_u_square, 2 * r.mean_square);
}

TEST(EdgeLimits, SharpAndClean) {
  expect_near_the_limit({0.7, 1}, 0.6);
}

TEST(EdgeLimits, BlurredAndNoisy) {
  expect_near_the_limit({1.5, 6}, 0.55);
}

TEST(EdgeLimits, Rough) {
  expect_near_the_limit({0.8, 1.5, 15, 1, false}, 0.65);
}

}  // namespace
}  // namespace tapersight::testing
