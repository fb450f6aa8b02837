// The accuracy and the intervals on random scans, in small: bench_scan does the same at length.
#include <gtest/gtest.h>

#include <cmath>

#include "bench/issue_scenes.h"

namespace tapersight::testing {
namespace {

std::vector<Trial> trials(Edges edges, int count, bool wall) {
  SceneOptions options;
  options.small = true;
  std::vector<Trial> all;
  for (int i = 0; i < count; ++i) {
    ScanScene scene = issue_scene(700 + static_cast<std::uint64_t>(i), edges, options);
    if (!wall) scene.strips.front().wall = {};
    all.push_back(run_trial(scene));
  }
  return all;
}

// White roughness: the generalised least squares become the ordinary ones, var = sigma^2 / sum t^2.
TEST(BestTaperVariance, IsTheTextbooksForUncorrelatedRoughness) {
  StripScene strip;
  strip.length_mm = 200;
  strip.left.roughness_um = strip.right.roughness_um = 10;
  strip.left.correlation_mm = strip.right.correlation_mm = 1e-3;
  const double n = 2000;
  const double sum_t2 = 0.1 * 0.1 * n * (n * n - 1) / 12;
  const double variance = (0.01 * 0.01 + 0.0003 * 0.0003) / sum_t2;
  EXPECT_NEAR(best_taper_variance(strip) / (2 * variance), 1, 1e-6);
}

// Exponential correlation over c: about L / (2 c) independent places, var = 12 r^2 2 c / L^3, and a little
// less at the ends (geometry of a long edge, L / c = 200).
TEST(BestTaperVariance, CountsTheIndependentPlacesOfACorrelatedEdge) {
  StripScene strip;
  strip.length_mm = 200;
  strip.left.roughness_um = strip.right.roughness_um = 20;
  strip.left.correlation_mm = strip.right.correlation_mm = 1;
  const double variance = 12 * 0.02 * 0.02 * 2 * 1 / std::pow(200.0, 3);
  EXPECT_NEAR(best_taper_variance(strip) / (2 * variance), 1, 0.05);
}

TEST(Accuracy, SmoothEdges) {
  const Summary s = summarise(trials(Edges::kSmooth, 24, false));
  EXPECT_EQ(s.refused, 0);
  EXPECT_LE(s.median_thou, 0.1);  // 0.07 over the bench's 200 scans, half of them at 600 dpi
  EXPECT_LE(s.worst_thou, 0.6);
  EXPECT_GE(s.covered, 0.83);  // of 24 with 95 % each, fewer than 20 have a chance of 1 %
}

TEST(Accuracy, RoughEdges) {
  const Summary s = summarise(trials(Edges::kRough, 10, false));
  EXPECT_EQ(s.refused, 0);
  EXPECT_LE(s.over_best, 1.8);  // 1.3 over many; the rms of 10 varies by 22 %
  EXPECT_GE(s.covered, 0.8);
}

// A narrow side wall in view may widen the interval, never fool it.
TEST(Accuracy, IntervalsHoldWithSideWallsInView) {
  const Summary s = summarise(trials(Edges::kSmooth, 10, true));
  EXPECT_GE(s.covered, 0.8);
}

}  // namespace
}  // namespace tapersight::testing
